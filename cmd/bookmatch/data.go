package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func dataVerbs() []words.Command {
	return []words.Command{
		{Path: "data backup", Help: "make a dated backup and check it", Example: "data backup", Verb: workshop.DataBackup, View: reports.View(reports.BackupMade),
			Form: words.Form{Post: true, Without: []string{"to"}}},
		{Path: "data restore", Help: "go back to a backup; without a name, list them", Example: "data restore", Verb: workshop.DataRestore, View: reports.View(reports.Restored), Form: words.Form{None: true}},
		{Path: "data check", Help: "check the whole file; exit code 4 if something is wrong", Example: "data check", Verb: workshop.DataCheck, View: reports.View(reports.Checked)},
		{Path: "data export", Help: "write everything as one JSON document", Example: "data export --out shop.json", Act: dataExport, Flags: []cli.Flag{
			&cli.StringFlag{Name: "out", Usage: "into `FILE` and not to standard output", TakesFile: true},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE"},
			&cli.BoolFlag{Name: "schema", Usage: "print the JSON Schema of the document"},
		}},
		{Path: "data import", Help: "read an export, or a list of entries, uses or lots", Example: "data import shop.json --dry-run", Verb: workshop.DataImport, View: reports.View(reports.Imported),
			Form: words.Form{Post: true, Without: []string{"replace", "sheet"}, Needs: []string{"as"}}},
		{Path: "data history", Help: "every change, newest first", Example: "data history entry 12", Verb: workshop.DataHistory, View: reports.View(reports.History)},
	}
}

// notSaved is the refusal of an export.
func notSaved(why string, typed ...string) error {
	return &jobs.Refusal{Code: "export", Class: jobs.Conflict, What: "NOT SAVED", Why: why, Type: typed}
}

func dataExport(e *words.Env, c *cli.Context) error {
	if c.Args().Present() {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT SAVED", Why: fmt.Sprintf("%q is one word too many", c.Args().First()), Type: []string{"data export --out shop.json"}}
	}
	if c.Bool("schema") {
		schema, err := workshop.ExportSchema()
		if err == nil {
			_, err = e.Out.Write(schema)
		}
		return err
	}
	out := c.String("out")
	if out == "-" {
		out = ""
	}
	if out == "" && e.Columns > 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT SAVED", Why: "an export is not for the screen", Type: []string{"data export --out shop.json"}}
	}
	shop, err := e.Open(c.String("file"))
	if err != nil {
		return err
	}
	if out == "" {
		return sendOn(e, shop)
	}
	if sameFile(shop.Path, out) {
		return notSaved(out+" is the workshop file itself", "data export --out shop.json")
	}
	if err := writePrivate(out, c.Bool("force"), shop.Export); err != nil {
		return err
	}
	info, err := os.Stat(out)
	if err == nil {
		fmt.Fprintf(e.Out, "SAVED %s, %s. It holds customers' names.\n", out, reports.FileSize(info.Size()))
	}
	return err
}

// sendOn exports into a file without a name first: an export that fails on the way
// sends nothing.
func sendOn(e *words.Env, shop *workshop.Workshop) error {
	f, err := os.CreateTemp("", "bookmatch-export-*") // mode 0600
	if err != nil {
		return err
	}
	defer f.Close()
	if err := os.Remove(f.Name()); err != nil { // it goes with the program, however that ends
		return err
	}
	if err := shop.Export(f); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	_, err = io.Copy(e.Out, f)
	return err
}

// sameFile says that two names lead to one file.
func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// writePrivate writes a file that only the builder may read, under a passing
// name first. A link in its place is replaced, not followed.
func writePrivate(path string, force bool, write func(io.Writer) error) error {
	if info, err := os.Lstat(path); err == nil {
		if info.IsDir() {
			return &jobs.FieldError{Field: "out", Value: path, Want: "the name of a file, not of a folder, such as shop.json"}
		}
		if !force {
			return notSaved(path+" is there already", "data export --out "+path+" --force")
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
