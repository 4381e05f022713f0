package workshop

import (
	"errors"
	"io"
	"path/filepath"
	"strconv"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// What the file says of itself, in the words of the store.
type (
	Health = store.Health // what a check saw
	Copy   = store.Copy   // a dated backup
	Loss   = store.Loss   // what a file has that a backup lacks
	Past   = store.Past   // a change as the history shows it
)

// DataBackupAsk makes a dated copy of the file.
type DataBackupAsk struct {
	Asked
	To   string `json:"to,omitempty" flag:"to" arg:"FOLDER" help:"into FOLDER and not beside the file"`
	Keep *int   `json:"keep,omitempty" flag:"keep" arg:"N" help:"keep the newest N copies there"`
}

// BackupResult is the copy that was made and what it looks like.
type BackupResult struct {
	Meta
	store.Backed
	Kept int `json:"kept"` // copies kept there at most, 0 all
}

// DataCheckAsk looks a file over.
type DataCheckAsk struct {
	Asked
	File string `json:"file,omitempty" word:"[FILE]"`
}

// CheckResult is what a check saw.
type CheckResult struct {
	Meta
	store.Health
}

// Found says that the check found problems.
func (r *CheckResult) Found() bool { return !r.Sound() }

// Found says that the copy is not sound.
func (r *BackupResult) Found() bool { return !r.Health.Sound() }

// DataHistoryAsk asks for the changes of the file, or of one record.
type DataHistoryAsk struct {
	Asked
	Record string   `json:"record,omitempty" word:"[RECORD]"`
	Name   []string `json:"name,omitempty" word:"[NAME]..."`
	Last   *int     `json:"last,omitempty" flag:"last" arg:"N" help:"at most N changes, 0 for all (20 if not given)"`
}

// HistoryResult is changes, newest first.
type HistoryResult struct {
	Meta
	Changes []store.Past `json:"changes"`
}

// DataBackup makes a copy, DataCheck looks at the file, DataHistory lists changes.
var (
	DataBackup  = DefineOnFile("data backup", "NOT SAVED", (*Workshop).dataBackup)
	DataCheck   = DefineOnFile("data check", "", (*Workshop).dataCheck)
	DataHistory = Define("data history", "", Long, (*Book).dataHistory)
)

func (w *Workshop) dataBackup(ask *DataBackupAsk, res *BackupResult) error {
	if ask.Keep != nil && *ask.Keep < 1 {
		return &jobs.FieldError{Field: "keep", Value: strconv.Itoa(*ask.Keep), Want: "1 or more, such as 14"}
	}
	var shop jobs.Shop
	var day jobs.Day
	err := w.look(func(tx *store.Tx) (err error) {
		shop, err = tx.Shop()
		day = shop.Evening(tx.Now)
		return err
	})
	if err != nil {
		return err
	}
	switch {
	case ask.Keep != nil:
		res.Kept = *ask.Keep
	case ask.To == "":
		res.Kept = shop.BackupKeep
	}
	res.Backed, err = store.Backup(w.Path, ask.To, day, res.Kept, Derived)
	if res.Removed == nil {
		res.Removed = []string{}
	}
	return err
}

// look runs fn in a reading transaction of its own.
func (w *Workshop) look(fn func(*store.Tx) error) error {
	s, err := store.Open(w.Path, store.Options{Now: w.Now, ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(fn)
}

func (w *Workshop) dataCheck(ask *DataCheckAsk, res *CheckResult) (err error) {
	path := w.Path
	if ask.File != "" {
		path = ask.File
	}
	res.Health, err = store.Check(path, Derived)
	return err
}

func (b *Book) dataHistory(ask *DataHistoryAsk, res *HistoryResult) error {
	last := 20
	if ask.Last != nil {
		if last = *ask.Last; last < 0 {
			return &jobs.FieldError{Field: "last", Value: strconv.Itoa(last), Want: "0 or more, such as 20"}
		}
	}
	var of store.RecordName
	if ask.Record != "" {
		name := "shop"
		switch len(ask.Name) {
		case 1:
			name = ask.Name[0]
		case 2:
			name = ask.Name[0] + " " + ask.Name[1]
		}
		var err error
		if of, err = b.FindRecord(ask.Record, name); err != nil {
			return err
		}
	}
	past, err := b.History(of, last)
	res.Changes = append([]store.Past{}, past...)
	for i := range res.Changes {
		res.Changes[i].At = b.Wall(res.Changes[i].At)
	}
	return err
}

// DataRestoreAsk puts a copy in the place of the file. Without one it lists them.
type DataRestoreAsk struct {
	Asked
	From   string `json:"from,omitempty" word:"[BACKUP]"`
	DryRun bool   `json:"dry_run,omitempty" flag:"dry-run" help:"check it and list what would be lost, change nothing"`
}

// RestoreResult is a list of copies, or what became of one.
type RestoreResult struct {
	Meta
	File   string        `json:"file"`
	Copies []store.Copy  `json:"copies"`
	Kept   []string      `json:"kept"` // files that a restore or an import replaced
	From   string        `json:"from,omitempty"`
	Placed bool          `json:"placed"`
	Was    string        `json:"was,omitempty"` // where the replaced file is kept
	Lost   *store.Loss   `json:"lost,omitempty"`
	Health *store.Health `json:"health,omitempty"`
}

// Found says that the copy is not sound, so that nothing was changed.
func (r *RestoreResult) Found() bool { return r.Health != nil && !r.Health.Sound() }

// DataRestore goes back to a copy.
var DataRestore = DefineOnFile("data restore", "NOT CHANGED", (*Workshop).dataRestore)

// lostShown is how many lost changes a restore lists.
const lostShown = 12

func (w *Workshop) dataRestore(ask *DataRestoreAsk, res *RestoreResult) error {
	copies, err := store.Copies(w.Path, "")
	if err != nil {
		return err
	}
	kept, err := store.Kept(w.Path)
	if err != nil {
		return err
	}
	res.File, res.Copies, res.Kept = w.Path, append([]store.Copy{}, copies...), append([]string{}, kept...)
	if ask.From == "" {
		return nil
	}
	if res.From, err = w.copyNamed(ask.From, copies); err != nil {
		return err
	}
	g, err := store.Stage(w.Path, res.From)
	if err != nil {
		return err
	}
	defer g.Discard()
	health, err := g.Check(Derived)
	if err != nil {
		return err
	}
	health.Path = res.From
	res.Health = &health
	if !health.Sound() {
		return nil
	}
	loss, err := g.Lost(lostShown)
	if errors.Is(err, store.ErrMissing) {
		loss, err = store.Loss{Unknown: "there is no file in its place"}, nil
	}
	if err != nil {
		return err
	}
	res.Lost = &loss
	return w.place(g, ask.DryRun, &res.Placed, &res.Was)
}

// place puts a staged file in the place of the present one unless it is a dry run.
func (w *Workshop) place(g *store.Staged, dry bool, placed *bool, was *string) (err error) {
	if !dry {
		*was, err = g.Place(w.Now())
		*placed = err == nil
	}
	return err
}

// copyNamed finds a copy by its path, by its name next to the file, or by its day.
func (w *Workshop) copyNamed(from string, copies []store.Copy) (string, error) {
	if day, err := jobs.ParseDay("copy", from); err == nil && !store.Exists(from) {
		for _, k := range copies { // the newest of that day
			if k.Day == day {
				return k.Path, nil
			}
		}
		return "", &jobs.Refusal{Code: "missing", Class: jobs.Missing, Why: "there is no backup of " + day.Noon().Format("2 Jan 2006"), Type: []string{"data restore"}}
	}
	if !store.Exists(from) && filepath.Base(from) == from {
		if beside := filepath.Join(filepath.Dir(w.Path), from); store.Exists(beside) {
			return beside, nil
		}
	}
	return from, nil
}

// Export writes the whole file as one JSON document.
func (w *Workshop) Export(to io.Writer) error {
	return Refused("NOT SAVED", store.Export(w.Path, to))
}

// ExportSchema is the JSON Schema of that document.
func ExportSchema() ([]byte, error) { return store.ExportSchema() }
