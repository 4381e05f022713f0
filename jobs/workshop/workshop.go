// Package workshop is everything one can ask of the shop. Each verb takes an
// Ask, runs in one transaction, calls a pure decision of jobs, costing or
// layout, writes, and answers with a Result. It prints and draws nothing.
package workshop

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Workshop is a handle on the shop's file. Every Do opens the file late and
// closes it early, so that other programs can use it in between.
type Workshop struct {
	Path string
	Now  func() time.Time
	// Typed is the command as it was typed, for the journal. It may be empty.
	Typed string
	// In is what an import named "-" reads. Nil is nothing.
	In io.Reader

	open    *store.Store // kept open by Keep
	written bool
}

// At gives a handle on the file at path. A nil clock is the machine's.
func At(path string, now func() time.Time) *Workshop {
	if now == nil {
		now = time.Now
	}
	return &Workshop{Path: path, Now: now}
}

// Keep holds the file open for many verbs in a row, without waiting for the
// disk, until done is called. It is for files that can be made again.
func (w *Workshop) Keep() (done func() error, err error) {
	s, err := store.Open(w.Path, store.Options{Now: w.Now, Create: true})
	if err != nil {
		return nil, err
	}
	if err := s.Bulk(true); err != nil {
		s.Close()
		return nil, err
	}
	w.open = s
	return func() error {
		w.open = nil
		return errors.Join(s.Bulk(false), s.Close())
	}, nil
}

// Kept is the file that is held open, or nil.
func (w *Workshop) Kept() *store.Store { return w.open }

// Read runs fn on a book at an instant, for who plays on a file that is kept open.
func (w *Workshop) Read(now time.Time, fn func(*Book) error) error {
	return w.open.Session(func() time.Time { return now }, "").View(func(tx *store.Tx) error {
		b, err := Open(tx)
		if err != nil {
			return err
		}
		return fn(b)
	})
}

// session opens the file for a verb.
func (w *Workshop) session(v Verb) (*store.Store, error) {
	if w.open != nil {
		return w.open.Session(w.Now, w.Typed), nil
	}
	o := store.Options{Now: w.Now, ReadOnly: !v.Writes(), Create: v.Mode&Creates != 0, Command: w.Typed}
	if v.Mode&Long != 0 {
		return store.OpenLong(w.Path, o)
	}
	return store.Open(w.Path, o)
}

// Do runs a verb. A refusal is a *jobs.Refusal with all its parts; any other
// error is a fault of the machine or of the program.
func (w *Workshop) Do(v Verb, ask Ask) (Result, error) {
	if v.onFile != nil {
		r := v.NewResult()
		r.meta().Made = w.Now().UTC().Truncate(time.Second)
		return answer(r, v, v.onFile(w, ask, r))
	}
	if t, ok := ask.(interface{ Try() error }); ok && w.open == nil && !store.Exists(w.Path) {
		if err := t.Try(); err != nil { // a refusal must leave no file behind
			return nil, refused(v, err)
		}
	}
	s, err := w.session(v)
	if err != nil {
		return nil, refused(v, err)
	}
	defer s.Close()
	r := v.NewResult()
	if !v.Writes() {
		err = s.View(func(tx *store.Tx) error { return v.on(tx, ask, r) })
		r.meta().Warnings = append(r.meta().Warnings, s.Warnings()...)
		return answer(r, v, err)
	}
	err = s.Update(func(tx *store.Tx) error {
		if again, err := v.again(tx, ask, r); again || err != nil {
			return err
		}
		if err := v.says(tx, ask); err != nil {
			return err
		}
		if err := v.on(tx, ask, r); err != nil || !tx.Changed() {
			return err
		}
		r.meta().Change = tx.NextChange()
		return v.keep(tx, ask, r)
	})
	w.written = w.written || err == nil && v.Mode&Creates == 0
	r.meta().Warnings = append(r.meta().Warnings, s.Warnings()...)
	return answer(r, v, err)
}

func answer(r Result, v Verb, err error) (Result, error) {
	if err != nil {
		return nil, refused(v, err)
	}
	return r, nil
}

// on runs the verb in a transaction.
func (v Verb) on(tx *store.Tx, ask Ask, r Result) error {
	b, err := newBook(tx, v, ask)
	if err != nil {
		return err
	}
	m := r.meta()
	m.Currency, m.Zone, m.ZonesBefore, m.Made = string(b.Shop.Currency), b.Shop.Zone, b.Shop.ZonesBefore, b.Now
	m.ShopName, m.Paper, m.Font, m.Country, m.Units, m.Page = b.Shop.Name, string(b.Shop.Paper), b.Shop.Font, b.Shop.Country, b.Shop.Units, b.Shop.PageAddress
	if err := v.run(b, ask, r); err != nil {
		return err
	}
	if m.Change == 0 {
		m.Change = tx.NextChange() - 1
	}
	m.Warnings = append(m.Warnings, b.warns...)
	return nil
}

// again gives the first answer to a token that was used before. A change that
// was taken back is a refusal of code "taken-back".
func (v Verb) again(tx *store.Tx, ask Ask, r Result) (bool, error) {
	token := ask.asked().Token
	if token == "" {
		return false, nil
	}
	body, change, undone, err := tx.Answer(token, v.Name)
	switch {
	case err != nil || body == nil:
		return false, err
	case undone:
		return true, jobs.Refuse("taken-back", fmt.Sprintf("this was done as change %d and taken back since", change), "oops --redo")
	}
	return true, json.Unmarshal(body, r)
}

// says leaves verb, ask, asker and reason to the journal. The token is no part of
// what was asked.
func (v Verb) says(tx *store.Tx, ask Ask) error {
	a := ask.asked()
	tx.Verb, tx.By = v.Name, a.By
	if w, ok := ask.(interface{ why() string }); ok {
		tx.Why = w.why()
	}
	kept := *a
	a.Token, a.By, a.Seen = "", "", 0
	var told any = ask
	if j, ok := ask.(interface{ journal() any }); ok {
		told = j.journal()
	}
	raw, err := json.Marshal(told)
	*a = kept
	tx.Ask = raw
	return err
}

// keep stores the answer to a token in the transaction of the change.
func (v Verb) keep(tx *store.Tx, ask Ask, r Result) error {
	token := ask.asked().Token
	if token == "" {
		return nil
	}
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return tx.PutAnswer(token, v.Name, body)
}

// Copy makes the copy of the evening where one is due. Call it when the answer
// has been shown, so that nobody waits for it at the bench.
func (w *Workshop) Copy() error {
	if !w.written || w.open != nil {
		return nil
	}
	_, err := store.BackupEvening(w.Path, w.Now, Derived)
	return err
}
