package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

func dataCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "data", Usage: "the file itself: copies, checks, export and import, history",
		Subcommands: []*cli.Command{
			{Name: "backup", Usage: "write a dated copy and check it", Action: e.dataBackup,
				Description: "The first command of an evening that writes makes a copy beside the file of its own accord\n(shop set backup-keep N keeps N of them; 0 makes none). This makes one more.",
				Flags: []cli.Flag{
					&cli.StringFlag{Name: "to", Usage: "into `FOLDER` instead of beside the file", TakesFile: true},
					&cli.IntFlag{Name: "keep", Usage: "keep the newest `N` there; as backup-keep beside the file, all elsewhere"},
				}},
			{Name: "restore", Usage: "put a copy in the place of the file; without one, list them", ArgsUsage: "[COPY or DATE]", Action: e.dataRestore,
				Description: "The copy is checked first. The file that it replaces is kept beside it, and what it had that the copy\nhas not is told.",
				Flags: []cli.Flag{
					&cli.BoolFlag{Name: "dry-run", Usage: "check and tell, change nothing"},
				}},
			{Name: "check", Usage: "look at every page, record, index, change and figure; exit code 4 when something is wrong", ArgsUsage: "[FILE]", Action: e.dataCheck},
			{Name: "export", Usage: "the whole file as one JSON document", Action: e.dataExport, Flags: []cli.Flag{
				&cli.StringFlag{Name: "out", Usage: "into `FILE` instead of to standard output", TakesFile: true},
				&cli.BoolFlag{Name: "force", Usage: "replace FILE"},
				&cli.BoolFlag{Name: "schema", Usage: "print the JSON Schema of the document instead"},
			}},
			dataImportCommand(e),
			{Name: "history", Usage: "every change, newest first; or those of one record", ArgsUsage: "[RECORD NAME]", Action: e.dataHistory,
				Description: "RECORD is entry, neck, operation, lot ... and NAME its number or code: data history entry 12.",
				Flags: []cli.Flag{
					&cli.IntFlag{Name: "last", Value: 20, Usage: "at most `N` changes; 0 for all"},
				}},
		},
	}
}

func (e *env) dataBackup(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	s, err := e.open(c, store.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	var shop jobs.Shop
	var day jobs.Day
	err = s.View(func(tx *store.Tx) (err error) {
		shop, err = tx.Shop()
		day = shop.Evening(tx.Now)
		return err
	})
	keep := 0
	if c.IsSet("keep") {
		if keep = c.Int("keep"); keep < 1 {
			err = errors.Join(err, &jobs.FieldError{Field: "keep", Value: strconv.Itoa(keep), Want: "1 or more"})
		}
	} else if c.String("to") == "" {
		keep = shop.BackupKeep
	}
	if err != nil {
		s.Close()
		return err
	}
	s.Close() // let others in before the long look
	made, err := store.Backup(s.Path(), c.String("to"), day, keep, workshop.Derived)
	if err != nil {
		return err
	}
	if wantJSON(c) {
		made.Removed = orEmpty(made.Removed)
		return e.PrintJSON(made)
	}
	e.Say("copy %s, %s", made.Copy.Path, fileSize(made.Copy.Bytes))
	for _, r := range made.Removed {
		e.Say("removed %s, beyond the %d kept", filepath.Base(r), keep)
	}
	e.sayHealth(made.Health)
	return nil
}

func orEmpty(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func fileSize(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d kB", (n+1023)>>10)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
}

// sayHealth prints what a check saw and sets the exit code.
func (e *env) sayHealth(h store.Health) {
	records := 0
	for _, r := range h.Records {
		records += r.Records
	}
	if h.Sound() {
		for _, name := range h.Left {
			e.Say("left behind by a command that was cut off, removed by the next that writes: %s", name)
		}
		e.Say("sound: %d records, %d index entries, %d changes, schema %d", records, h.Indexed, h.Changes, h.Schema)
		return
	}
	e.Found()
	for _, t := range h.Troubles {
		e.Say("%s: %s", t.Where, t.Text)
	}
	e.Say("%s found", jobs.CountText(len(h.Troubles)+h.More, "trouble"))
}

func (e *env) dataCheck(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	path, err := e.path(c)
	if err != nil {
		return err
	}
	if len(w) == 1 {
		path = w[0]
	}
	h, err := store.Check(path, workshop.Derived)
	if err != nil {
		return err
	}
	if wantJSON(c) {
		if !h.Sound() {
			e.Found()
		}
		return e.PrintJSON(h)
	}
	e.Say("file %s, %s", path, fileSize(h.Bytes))
	e.sayHealth(h)
	if !h.Sound() {
		e.Hint("see the copies with: bookmatch data restore")
	}
	return nil
}

func (e *env) dataExport(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	if c.Bool("schema") {
		schema, err := store.ExportSchema()
		if err == nil {
			_, err = e.Out.Write(schema)
		}
		return err
	}
	out := c.String("out")
	if out == "-" {
		out = ""
	}
	if out == "" && e.isTerminal() {
		return usagef("add --out FILE, or send it on: bookmatch data export | ...", "an export is not for the screen")
	}
	if err := e.notTheFile(c, out); err != nil {
		return err
	}
	path, err := e.path(c)
	if err != nil {
		return err
	}
	if out == "" {
		return e.sendOn(path)
	}
	write := func(w io.Writer) error { return store.Export(path, w) }
	if err := writePrivate(out, c.Bool("force"), write); err != nil {
		return err
	}
	info, err := os.Stat(out)
	if err != nil {
		return err
	}
	e.Say("export %s, %s; it holds customers' names", out, fileSize(info.Size()))
	return nil
}

// sendOn exports into a file without a name first: an export that fails on the way
// sends nothing.
func (e *env) sendOn(path string) error {
	f, err := os.CreateTemp("", "bookmatch-export-*") // mode 0600
	if err != nil {
		return err
	}
	defer f.Close()
	if err := os.Remove(f.Name()); err != nil { // it goes with the program, however that ends
		return err
	}
	if err := store.Export(path, f); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	_, err = io.Copy(e.Out, f)
	return err
}

// notTheFile refuses to write over the workshop's file.
func (e *env) notTheFile(c *cli.Context, out string) error {
	path, err := e.Path(c.String("file"))
	if err != nil || out == "" {
		return err
	}
	a, errA := os.Stat(path)
	b, errB := os.Stat(out)
	if errA == nil && errB == nil && os.SameFile(a, b) {
		return &jobs.ConflictError{What: out + " is the workshop file itself", How: "name another file"}
	}
	return nil
}

// writePrivate writes a file that only the builder may read, under a passing
// name first. A link in its place is replaced, not followed.
func writePrivate(path string, force bool, write func(io.Writer) error) error {
	if info, err := os.Lstat(path); err == nil {
		if info.IsDir() {
			return &jobs.FieldError{Field: "out", Value: path, Want: "the name of a file, not of a folder"}
		}
		if !force {
			return &jobs.ConflictError{What: path + " is there already", How: "add --force to replace it"}
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
