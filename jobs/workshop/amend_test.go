package workshop

import (
	"errors"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Times are typed on the evening of the entry, which runs past midnight. Entry 2
// ran from 19:00 to 19:40.
func TestTimesOfACorrection(t *testing.T) {
	for _, c := range []struct {
		name      string
		set       func(*EntryAmendAsk)
		min, away float64
		code      string // of the refusal
	}{
		{"a later end", func(a *EntryAmendAsk) { a.To = "20:10" }, 70, 0, ""},
		{"an end past midnight", func(a *EntryAmendAsk) { a.To = "00:30" }, 330, 0, ""},
		{"an earlier start", func(a *EntryAmendAsk) { a.From = "18:55" }, 45, 0, ""},
		{"both", func(a *EntryAmendAsk) { a.From, a.To = "20:00", "20:25" }, 25, 0, ""},
		{"an instant", func(a *EntryAmendAsk) { a.To = "2026-01-06T21:00:00+01:00" }, 60, 0, ""},
		{"two breaks", func(a *EntryAmendAsk) { a.Away = []string{"19:05-19:10", "19:20-19:30"} }, 25, 15, ""},
		{"a start after the end", func(a *EntryAmendAsk) { a.From = "19:50" }, 0, 0, "invalid"},
		{"an end before the start", func(a *EntryAmendAsk) { a.To = "18:30" }, 0, 0, "invalid"},
		{"a break outside the work", func(a *EntryAmendAsk) { a.Away = []string{"19:35-19:50"} }, 0, 0, "invalid"},
		{"no clock time", func(a *EntryAmendAsk) { a.To = "late" }, 0, 0, "invalid"},
		{"half a break", func(a *EntryAmendAsk) { a.Away = []string{"19:05-"} }, 0, 0, "invalid"},
		{"after now", func(a *EntryAmendAsk) { a.To = "2026-01-09T21:00:00Z" }, 0, 0, "invalid"},
	} {
		path := corrections(t)
		r, err := At(path, clockAt(later)).Do(EntryAmend, amend(2, c.set))
		var refused *jobs.Refusal
		switch {
		case c.code != "":
			if !errors.As(err, &refused) || refused.Code != c.code || refused.What != "NOT CHANGED" {
				t.Errorf("%s: got %+v, want a refusal %s", c.name, err, c.code)
			}
		case err != nil:
			t.Errorf("%s: %v", c.name, err)
		default:
			if e := r.(*CorrectedResult).Entry; e.ElapsedMin != c.min || e.AwayMin != c.away {
				t.Errorf("%s: %v min, %v away, want %v and %v", c.name, e.ElapsedMin, e.AwayMin, c.min, c.away)
			}
		}
	}
}

// "-" takes back what was said: a person, a rework, breaks.
func TestADashMeansNone(t *testing.T) {
	path := corrections(t)
	word := func(s string) *string { return &s }
	do(t, path, later, EntryAmend, amend(1, func(a *EntryAmendAsk) {
		a.Person, a.Rework, a.Payer, a.Note, a.Away = word("a friend"), word("glue"), word("customer"), word("lifted"), []string{"18:35-18:40"}
	}))
	r := do(t, path, later, EntryAmend, amend(1, func(a *EntryAmendAsk) {
		a.Person, a.Rework, a.Note, a.Away = word("-"), word("-"), word("-"), []string{"-"}
	})).(*CorrectedResult)
	if w := r.Was; w.Person != "a friend" || w.Cause != "glue" || w.Payer != "customer" || w.Note != "lifted" || w.AwayMin != 5 {
		t.Errorf("was %+v", w)
	}
	if e := r.Entry; e.Person != "" || e.Class != jobs.First || e.Cause != "" || e.Payer != "" || e.Note != "" || e.AwayMin != 0 {
		t.Errorf("is %+v", e)
	}
}

// An assumed end is confirmed without a reason.
func TestAnAssumedEndIsConfirmed(t *testing.T) {
	path := corrections(t)
	do(t, path, start.Add(80*time.Minute), On, &OnAsk{Operation: "glue-back", Necks: []string{"bo"}, Started: Started{Anyway: "a test"}})
	do(t, path, later, Off, &OffAsk{})
	if n := len(do(t, path, later, EntryList, &EntryListAsk{Assumed: true}).(*EntryListResult).Entries); n != 1 {
		t.Fatalf("%d assumed ends, want 1", n)
	}
	r := do(t, path, later, EntryAmend, &EntryAmendAsk{ID: 3, Confirm: true}).(*CorrectedResult)
	if r.Entry.Assumed || len(r.What) != 1 || r.What[0] != "end confirmed (was assumed)" {
		t.Errorf("got %+v", r)
	}
}

// Work on a closed neck is marked, with one warning for the neck.
func TestACorrectionAfterClosing(t *testing.T) {
	path := corrections(t)
	update(t, path, later, "neck finish ada", func(b *Book) error {
		n, _, err := store.Get(b.Tx, store.Necks, "N1")
		if err != nil {
			return err
		}
		n.Status, n.Closed = jobs.Finished, &b.Now
		return store.Put(b.Tx, store.Necks, n)
	})
	r := do(t, path, later, EntryAmend, amend(1, func(a *EntryAmendAsk) { a.Count = "120" })).(*CorrectedResult)
	late := 0
	for _, w := range r.Warnings {
		if w.Code == "late" {
			late++
		}
	}
	if !r.Entry.Late || late != 1 {
		t.Errorf("late %v, warnings %+v", r.Entry.Late, r.Warnings)
	}
	e := enter(t, path, later, "2026-01-05", "1900 block ada done, 1930 end")
	if !e.Entries[0].Late {
		t.Errorf("got %+v", e.Entries[0])
	}
}
