package workshop

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// DataImportAsk takes in an export, or with As a list whose rows become records:
// all of them or none, as one change.
type DataImportAsk struct {
	Asked
	File           string   `json:"file" word:"FILE"`
	As             string   `json:"as,omitempty" flag:"as" arg:"LIST" help:"a list of entries, uses, lots or past-jobs"`
	Map            []string `json:"map,omitempty" flag:"map" arg:"COLUMN=FIELD" help:"a column whose head is a field needs none"`
	Set            []string `json:"set,omitempty" flag:"set" arg:"FIELD=VALUE" help:"where a row has none"`
	Dates          string   `json:"dates,omitempty" flag:"dates" help:"order of dates with points or slashes: dmy or mdy"`
	Sheet          string   `json:"sheet,omitempty" flag:"sheet" arg:"NAME" help:"the sheet, else the first"`
	SkipDuplicates bool     `json:"skip_duplicates,omitempty" flag:"skip-duplicates" help:"leave out rows that are there already"`
	DryRun         bool     `json:"dry_run,omitempty" flag:"dry-run" help:"show what would be made, change nothing"`
	Replace        bool     `json:"replace,omitempty" flag:"replace" help:"an export: keep the present file beside it"`
	// Head and Rows are the list as it was read, by column and by field.
	Head []string   `json:"head,omitempty"`
	Rows []BringRow `json:"rows,omitempty"`
	// Unused are columns of the list that no field takes.
	Unused []string `json:"unused_columns,omitempty"`
}

// ImportResult is what became of an import.
type ImportResult struct {
	Meta
	Brought
	Kept   bool          `json:"kept"`
	DryRun bool          `json:"dry_run,omitempty"`
	Unused []string      `json:"unused_columns"`
	File   string        `json:"file,omitempty"` // the workshop file that an export became
	Placed bool          `json:"placed,omitempty"`
	Was    string        `json:"was,omitempty"`
	Health *store.Health `json:"health,omitempty"`
}

// Found says that rows were rejected or an export does not hold together.
func (r *ImportResult) Found() bool {
	return len(r.Rejected) > 0 || r.Health != nil && !r.Health.Sound()
}

// DataImport takes in an export or a list.
var DataImport = DefineOnFile("data import", "NOT CHANGED", (*Workshop).dataImport)

// listIn makes records of the rows of a list.
var listIn = Define("data import", "NOT CHANGED", Writes, (*Book).listIn)

// journal leaves the rows out: the records that they became are there.
func (a *DataImportAsk) journal() any {
	kept := *a
	kept.Rows, kept.Head = nil, nil
	return &kept
}

// Load reads the list that the ask names. An export is read by the verb.
func (a *DataImportAsk) Load(l Loader) error {
	if a.As == "" {
		for flag, set := range map[string]bool{"map": len(a.Map) > 0, "set": len(a.Set) > 0, "dates": a.Dates != "", "sheet": a.Sheet != "", "skip-duplicates": a.SkipDuplicates} {
			if set {
				r := &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "--" + flag + " is for lists"}
				for _, kind := range BringKinds() {
					r.Type = append(r.Type, "data import "+a.File+" --as "+kind)
				}
				return r
			}
		}
		return nil
	}
	if !slices.Contains(BringKinds(), a.As) {
		return &jobs.FieldError{Field: "as", Value: a.As, Want: strings.Join(BringKinds(), ", ") + ", such as " + BringKinds()[0]}
	}
	if a.Dates != "" && a.Dates != "dmy" && a.Dates != "mdy" {
		return &jobs.FieldError{Field: "dates", Value: a.Dates, Want: "dmy or mdy, such as dmy"}
	}
	list, err := l.readList(a.File, a.Sheet)
	if err != nil {
		return err
	}
	fields, err := mapColumns(list.head, a.Map, a.As)
	if err != nil {
		return err
	}
	preset, err := presets(a.Set, a.As)
	if err != nil {
		return err
	}
	if err := needed(fields, preset, a.As); err != nil {
		return err
	}
	a.Head, a.Rows, a.Unused = list.head, list.rowsBy(fields, preset, a.As), unused(list.head, fields)
	return nil
}

// errNotKept ends the transaction of a list that is not to be kept.
var errNotKept = errors.New("not kept")

func (w *Workshop) dataImport(ask *DataImportAsk, res *ImportResult) error {
	res.DryRun = ask.DryRun
	if ask.As == "" {
		return w.wholeIn(ask, res)
	}
	got, err := w.Do(listIn, ask)
	if err == nil {
		*res = *got.(*ImportResult)
		return nil
	}
	var rejected *rejectedList
	if errors.As(err, &rejected) {
		*res = *rejected.res
		return nil
	}
	return err
}

// rejectedList carries the result of a list that was not kept out of its
// transaction.
type rejectedList struct{ res *ImportResult }

func (*rejectedList) Error() string { return errNotKept.Error() }

func (b *Book) listIn(ask *DataImportAsk, res *ImportResult) error {
	got, err := b.BringIn(ask.As, ask.Rows, BringOptions{SkipDuplicates: ask.SkipDuplicates, Dates: ask.Dates})
	if err != nil {
		return err
	}
	res.Brought, res.Unused, res.DryRun = got, append([]string{}, ask.Unused...), ask.DryRun
	if len(got.Rejected) > 0 || ask.DryRun {
		return &rejectedList{res}
	}
	res.Kept = true
	return nil
}

// wholeIn takes an export in. It is never put over a file without a word.
func (w *Workshop) wholeIn(ask *DataImportAsk, res *ImportResult) error {
	if store.Exists(w.Path) && !ask.Replace && !ask.DryRun {
		return jobs.Refuse("file", fmt.Sprintf("there is a workshop file at %s already", w.Path), "data import "+ask.File+" --replace", "data import "+ask.File+" --file other.db")
	}
	g, err := store.StageImport(w.Path, ask.File, w.In)
	if err != nil {
		return err
	}
	defer g.Discard()
	health, err := g.Check(Derived)
	if err != nil {
		return err
	}
	health.Path = ask.File
	res.Health, res.File, res.Unused = &health, w.Path, []string{}
	res.Create, res.Rejected = []Creation{}, []Rejected{}
	if !health.Sound() {
		return nil
	}
	return w.place(g, ask.DryRun, &res.Placed, &res.Was)
}
