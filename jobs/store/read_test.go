package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// Every reading through an index gives what reading all records and choosing
// gives.
func TestIndexesGiveWhatTheRecordsSay(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 400, necks: 10, bits: 5, bitUses: 40, supplies: 4, lots: 10}, 9)
	view(t, path, func(tx *Tx) error {
		all, err := All(tx, Entries)
		if err != nil {
			return err
		}
		byTime(all)
		shop, err := tx.Shop()
		if err != nil {
			return err
		}
		ids := func(es []jobs.Entry, keep func(jobs.Entry) bool) (out []uint64) {
			for _, e := range es {
				if keep(e) {
					out = append(out, e.ID)
				}
			}
			return out
		}
		any := func(jobs.Entry) bool { return true }
		same := func(what string, got []jobs.Entry, err error, keep func(jobs.Entry) bool) {
			t.Helper()
			want := ids(all, keep)
			if len(want) == 0 {
				t.Errorf("%s: nothing to find", what)
			}
			if diff := cmp.Diff(want, ids(got, any)); diff != "" || err != nil {
				t.Errorf("%s: %v (-want +got):\n%s", what, err, diff)
			}
		}
		mid := all[len(all)/2]
		neck, op := mid.Shares[0].Neck, mid.Operation
		day := jobs.EveningOf(mid.From, shop.Location(), shop.DayEnds)
		onDay := func(e jobs.Entry) bool { return jobs.EveningOf(e.From, shop.Location(), shop.DayEnds) == day }
		for what, f := range map[string]struct {
			filter EntryFilter
			keep   func(jobs.Entry) bool
		}{
			"all":              {EntryFilter{}, any},
			"of a neck":        {EntryFilter{Neck: neck}, func(e jobs.Entry) bool { return e.ShareOf(neck) >= 0 }},
			"of an operation":  {EntryFilter{Operation: op}, func(e jobs.Entry) bool { return e.Operation == op }},
			"of an evening":    {EntryFilter{From: day, To: day}, onDay},
			"neck and evening": {EntryFilter{Neck: neck, From: day, To: day}, func(e jobs.Entry) bool { return onDay(e) && e.ShareOf(neck) >= 0 }},
			"first time":       {EntryFilter{Class: jobs.First}, func(e jobs.Entry) bool { return e.Class == jobs.First }},
		} {
			got, err := tx.FindEntries(f.filter, shop)
			byTime(got)
			same(what, got, err, f.keep)
		}
		got, err := tx.EntriesBetween(mid.From, all[len(all)-1].From)
		same("between", got, err, func(e jobs.Entry) bool { return !e.From.Before(mid.From) && e.From.Before(all[len(all)-1].From) })
		got, err = tx.LatestEntries(7)
		same("latest", got, err, func(e jobs.Entry) bool {
			return slices.ContainsFunc(all[len(all)-7:], func(x jobs.Entry) bool { return x.ID == e.ID })
		})
		got, err = tx.Evening(shop, day)
		same("evening", got, err, onDay)
		if e, err := tx.Entry(mid.ID); err != nil || e.ID != mid.ID {
			t.Errorf("entry %d: %+v, %v", mid.ID, e, err)
		}
		if _, err := tx.Entry(1 << 40); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("an entry that is not there: %v", err)
		}
		necks, err := All(tx, Necks)
		if err != nil {
			return err
		}
		bench, err := tx.BenchNecks()
		if err != nil || len(bench) == 0 || len(bench) > len(necks) {
			t.Errorf("%d of %d necks are on the bench, %v", len(bench), len(necks), err)
		}
		if n, err := tx.FindNeck(necks[0].Code); err != nil || n.Code != necks[0].Code {
			t.Errorf("by code: %+v, %v", n, err)
		}
		if _, err := tx.FindNeck("zzzz"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("a neck that is not there: %v", err)
		}
		if got := tx.NeckNames(map[string]bool{necks[0].Code: true}); len(got) != 1 {
			t.Errorf("names: %v", got)
		}
		return nil
	})
}

// The entry that is on is found, and dropping it takes along what hangs on it.
func TestRunningEntryAndDrop(t *testing.T) {
	path := crashFile(t)
	id, err := appendPair(path)
	if err != nil {
		t.Fatal(err)
	}
	update(t, path, start, "on", func(tx *Tx) error {
		if _, on, err := tx.RunningEntry(); on || err != nil {
			t.Errorf("on before: %v, %v", on, err)
		}
		e, err := tx.Entry(id)
		if err != nil {
			return err
		}
		e.To = nil
		if err := Put(tx, Entries, e); err != nil {
			return err
		}
		running, on, err := tx.RunningEntry()
		if !on || running.ID != id {
			t.Errorf("running: %+v, %v", running, on)
		}
		return err
	})
	update(t, path, start, "entry drop", func(tx *Tx) error {
		e, err := tx.Entry(id)
		if err != nil {
			return err
		}
		if !tx.Changed() {
			uses, holes, err := tx.DropEntry(e)
			if len(uses) != 1 || len(holes) != 0 || !tx.Changed() {
				t.Errorf("dropped with %v, %v", uses, holes)
			}
			return err
		}
		return nil
	})
	view(t, path, func(tx *Tx) error {
		past, err := tx.EntryHistory(nil, func(jobs.Entry) bool { return true })
		if len(past[id]) != 3 || past[id][2].After != nil {
			t.Errorf("history: %+v", past[id])
		}
		for noun, name := range map[string]string{"entry": fmt.Sprint(id), "supply use": "1", "neck": "N1"} {
			of, err := tx.FindRecord(noun, name)
			if err != nil {
				return err
			}
			if changes, err := tx.History(of, 0); err != nil || len(changes) == 0 {
				t.Errorf("%s %s: %d changes, %v", noun, name, len(changes), err)
			}
		}
		return err
	})
	mustBeSound(t, path)
}

// Codes that differ by capitals alone are one code, and records of an owner are
// read by owner and number.
func TestTakenAndOwned(t *testing.T) {
	path := oneOfEach(t)
	view(t, path, func(tx *Tx) error {
		for code, want := range map[string]string{"V1": "V1", "v1": "V1", "v2": ""} {
			if got := Taken(tx, Pieces, code); got != want {
				t.Errorf("%s is taken as %q, want %q", code, got, want)
			}
		}
		p, ok, err := GetPair(tx, Plans, "N7", 1)
		if !ok || p.Code != "K3M" {
			t.Errorf("plan %+v, %v, %v", p, ok, err)
		}
		last, ok, err := tx.CurrentPlan("N7")
		if diff := cmp.Diff(p, last); diff != "" || !ok {
			t.Errorf("current plan: %v, %v, %s", ok, err, diff)
		}
		if _, ok, err := tx.CurrentPlan("N1"); ok || err != nil {
			t.Errorf("a neck without a plan: %v, %v", ok, err)
		}
		of, err := tx.FindRecord("plan", "N7 1")
		if err != nil {
			return err
		}
		changes, err := tx.History(of, 0)
		if len(changes) != 1 || changes[0].What() != `+ plan "N7" 1` {
			t.Errorf("changes of the plan: %+v", changes)
		}
		return err
	})
}

// A session of an open file has a clock and words of its own.
func TestSessionsOfAnOpenFile(t *testing.T) {
	path := newFile(t)
	s, err := Open(path, Options{Now: at(start)})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Bulk(true); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		one := s.Session(at(start.AddDate(0, 0, i)), fmt.Sprintf("wood set %d", i))
		if due, err := one.BackupDue(); due || err != nil {
			t.Errorf("a session wants a copy: %v, %v", due, err)
		}
		if err := errors.Join(one.Update(func(tx *Tx) error { return Put(tx, Woods, wood("apple", float64(i+1))) }), one.Close()); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(s.Bulk(false), s.Close()); err != nil {
		t.Fatal(err)
	}
	if s.Path() != path {
		t.Errorf("path %s", s.Path())
	}
	view(t, path, func(tx *Tx) error {
		past, err := tx.History(RecordName{}, 1)
		if past[0].Words() != "wood set 2" || !past[0].At.Equal(start.AddDate(0, 0, 2)) {
			t.Errorf("got %+v", past[0].Change)
		}
		return err
	})
}

// A hook of derived figures finds what it finds, fails or panics: each is a
// trouble of the file.
func TestCheckRunsTheHooks(t *testing.T) {
	path := newFile(t)
	h, err := Check(path,
		func(tx *Tx, found func(string, ...any)) error { found("a figure is %d", 7); return nil },
		func(*Tx, func(string, ...any)) error { return errors.New("no figure") },
		func(*Tx, func(string, ...any)) error { panic("odd") })
	if err != nil {
		t.Fatal(err)
	}
	var text []string
	for _, x := range h.Troubles {
		text = append(text, x.Where+": "+x.Text)
	}
	if diff := cmp.Diff([]string{"derived: a figure is 7", "derived: no figure", "derived: a figure cannot be worked out: odd"}, text); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Answers go through a migration, and their index is made anew.
func TestAnswersAreMigrated(t *testing.T) {
	path := newFile(t)
	once(t, path, "t1", start, 2)
	s, err := Open(path, Options{Now: at(start), plan: madeUpPlan(nil)})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if got := s.Warnings(); len(got) != 1 || !strings.Contains(got[0].Text, filepath.Base(s.Before)) {
		t.Errorf("warned: %v", got)
	}
	err = s.Update(func(tx *Tx) error {
		if body, change, _, err := tx.Answer("t1", "wood set"); body == nil || change != 2 || err != nil {
			t.Errorf("answer %s of change %d, %v", body, change, err)
		}
		h := Health{Path: path}
		if h.look(tx, true, nil); !h.Sound() {
			t.Errorf("after migrating: %v", h.Troubles)
		}
		tx.Now = start.Add(answersFor + time.Hour)
		if err := tx.sweepAnswers(); err != nil {
			return err
		}
		if body, _, _, err := tx.Answer("t1", "wood set"); body != nil || err != nil {
			t.Errorf("swept, and there: %s, %v", body, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
