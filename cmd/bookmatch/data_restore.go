package main

import (
	"errors"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// lostShown is how many lost changes a restore lists.
const lostShown = 12

func (e *env) dataRestore(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	path, err := e.path(c)
	if err != nil {
		return err
	}
	copies, err := store.Copies(path, "")
	if err != nil {
		return err
	}
	if len(w) == 0 {
		return e.listCopies(c, path, copies)
	}
	from := w[0]
	if day, err := jobs.ParseDay("copy", from); err == nil && !store.Exists(from) {
		found := false
		for _, k := range copies { // the newest of that day
			if k.Day == day && !found {
				from, found = k.Path, true
			}
		}
		if !found {
			return &jobs.NotFoundError{Noun: "copy of", Value: string(day)}
		}
	}
	now, err := e.Clock()
	if err != nil {
		return err
	}
	if !store.Exists(from) && filepath.Base(from) == from { // as the list names them
		if beside := filepath.Join(filepath.Dir(path), from); store.Exists(beside) {
			from = beside
		}
	}
	g, err := store.Stage(path, from)
	if err != nil {
		return err
	}
	defer g.Discard()
	health, err := g.Check()
	if err != nil {
		return err
	}
	if !health.Sound() {
		health.Path = from
		e.sayHealth(health)
		e.Warn("%s is not sound; nothing was changed", from)
		return nil
	}
	loss, err := g.Lost(lostShown)
	if errors.Is(err, store.ErrMissing) {
		loss, err = store.Loss{Unknown: "there is no file in its place"}, nil
	}
	if err != nil {
		return err
	}
	kept := ""
	if !c.Bool("dry-run") {
		if kept, err = g.Place(now); err != nil {
			return err
		}
	}
	if wantJSON(c) {
		return e.PrintJSON(struct {
			From   string       `json:"from"`
			Placed bool         `json:"placed"`
			Kept   string       `json:"kept,omitempty"`
			Lost   store.Loss   `json:"lost"`
			Health store.Health `json:"health"`
		}{from, !c.Bool("dry-run"), kept, loss, health})
	}
	e.sayHealth(health)
	e.sayLoss(loss)
	switch {
	case c.Bool("dry-run"):
		e.Say("nothing was changed; without --dry-run %s is put in place", from)
	case kept == "":
		e.Say("%s is in place", from)
	default:
		e.Say("%s is in place; what was there is kept as %s", from, kept)
		e.Say("to go back: bookmatch data restore %s", kept)
	}
	return nil
}

// sayLoss tells what the replaced file had that the copy has not.
func (e *env) sayLoss(l store.Loss) {
	switch {
	case l.Unknown != "":
		e.Say("what is lost cannot be told: %s", l.Unknown)
	case len(l.Changes) == 0:
		e.Say("nothing is lost: the copy has every change of the file")
	default:
		e.Say("lost since the copy: %d changes", len(l.Changes)+l.More)
		for _, ch := range l.Changes {
			e.Say("  %d  %s  %s", ch.Seq, ch.At.Format("2006-01-02 15:04 UTC"), ch.Words())
		}
		if l.More > 0 {
			e.Say("  and %d before those", l.More)
		}
	}
	if l.Apart > 0 {
		e.Say("the copy has %d changes that the file has not", l.Apart)
	}
}

func (e *env) listCopies(c *cli.Context, path string, copies []store.Copy) error {
	kept, err := store.Kept(path)
	if err != nil {
		return err
	}
	if wantJSON(c) {
		if copies == nil {
			copies = []store.Copy{}
		}
		return e.PrintJSON(struct {
			File   string       `json:"file"`
			Copies []store.Copy `json:"copies"`
			Kept   []string     `json:"kept"`
		}{path, copies, orEmpty(kept)})
	}
	if len(copies) == 0 && len(kept) == 0 {
		e.Say("no copies lie beside %s", path)
		return nil
	}
	t := reports.Table{Name: "copies", Columns: []reports.Column{{Key: "copy", Header: "copy"}, {Key: "size", Header: "size"}, {Key: "made", Header: "written"}}}
	for _, k := range copies {
		t.Add(reports.Text(filepath.Base(k.Path)), reports.Text(fileSize(k.Bytes)), reports.Text(k.Made.Format("2006-01-02 15:04 UTC")))
	}
	t.Empty = "no dated copies"
	if len(copies) > 0 {
		t.Note("put one in place with: bookmatch data restore DATE")
	}
	if len(kept) > 0 {
		t.Note("kept from a restore or a change of schema, put in place with bookmatch data restore FILE: %s", strings.Join(kept, ", "))
	}
	return e.print(reports.Report{Name: "copies", Title: "copies of " + path, Zone: time.UTC, Sections: reports.Sections(t)})
}

func (e *env) dataHistory(c *cli.Context) error {
	w, err := typedWords(c, 0, 3)
	if err != nil {
		return err
	}
	last := c.Int("last")
	if last < 0 {
		return &jobs.FieldError{Field: "last", Value: c.String("last"), Want: "0 or more"}
	}
	var past []store.Past
	zone := time.UTC
	err = e.view(c, func(tx *workshop.Book) error {
		var of store.RecordName
		if shop, err := tx.Shop, error(nil); err == nil {
			zone = shop.Location()
		}
		if len(w) > 0 {
			name := "shop"
			switch len(w) {
			case 2:
				name = w[1]
			case 3:
				name = w[1] + " " + w[2]
			}
			if of, err = tx.FindRecord(w[0], name); err != nil {
				return err
			}
		}
		past, err = tx.History(of, last)
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(struct {
			Changes []store.Past `json:"changes"`
		}{past})
	}
	t := reports.Table{Name: "history", Columns: []reports.Column{
		{Key: "change", Header: "no", Kind: reports.KindCount}, {Key: "at", Header: "when"}, {Key: "command", Header: "command", Max: 34}, {Key: "records", Header: "records"},
	}}
	for _, p := range past {
		command := p.Words()
		if p.Undone {
			command += " (taken back)"
		}
		t.Add(reports.Count(int(p.Seq)), reports.Text(p.At.In(zone).Format("2006-01-02 15:04")), reports.Text(command), reports.Text(p.What()))
	}
	return e.print(reports.Report{Name: "history", Title: "changes, newest first", Zone: zone, Sections: reports.Sections(t)})
}

// importWhole takes an export in; it is never put over a file without a word.
func (e *env) importWhole(c *cli.Context, from string) error {
	path, err := e.path(c)
	if err != nil {
		return err
	}
	now, err := e.Clock()
	if err != nil {
		return err
	}
	dry := c.Bool("dry-run")
	if store.Exists(path) && !c.Bool("replace") && !dry {
		return &jobs.ConflictError{What: "there is a workshop file at " + path, How: "add --replace to keep it beside and put the import in its place, or name a new file with --file"}
	}
	g, err := store.StageImport(path, from, e.In)
	if err != nil {
		return err
	}
	defer g.Discard()
	health, err := g.Check()
	if err != nil {
		return err
	}
	if !health.Sound() {
		e.sayHealth(health)
		e.Warn("%s does not hold together; nothing was imported", from)
		return nil
	}
	kept := ""
	if !dry {
		if kept, err = g.Place(now); err != nil {
			return err
		}
	}
	if wantJSON(c) {
		return e.PrintJSON(struct {
			From   string       `json:"from"`
			Placed bool         `json:"placed"`
			Kept   string       `json:"kept,omitempty"`
			Health store.Health `json:"health"`
		}{from, !dry, kept, health})
	}
	e.sayHealth(health)
	switch {
	case dry:
		e.Say("nothing was changed; without --dry-run it becomes %s", path)
	case kept != "":
		e.Say("imported into %s; what was there is kept as %s", path, kept)
	default:
		e.Say("imported into %s", path)
	}
	return nil
}
