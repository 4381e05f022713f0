package store

import (
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

func undo(t *testing.T, path string) error {
	t.Helper()
	return tryUpdate(path, start, "oops", func(tx *Tx) error { _, err := tx.Undo(); return err })
}

func redo(t *testing.T, path string) error {
	t.Helper()
	return tryUpdate(path, start, "oops --redo", func(tx *Tx) error { _, err := tx.Redo(); return err })
}

// The journal is walked as two stacks would be: undo and redo give the same
// states as a model that keeps every state it was in.
func TestUndoAndRedoFollowAModel(t *testing.T) {
	const seed = 20260106
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	path := newFile(t)
	type state = float64
	now := state(0)
	var back, forth []state
	for i := range 250 {
		switch n := rng.IntN(10); {
		case n < 4:
			next := float64(i%15) + 1.5
			if next == now {
				continue
			}
			putWood(t, path, "apple", next)
			back, forth, now = append(back, now), nil, next
		case n < 8 && len(back) > 0:
			if err := undo(t, path); err != nil {
				t.Fatalf("step %d: %v", i, err)
			}
			forth = append(forth, now)
			now, back = back[len(back)-1], back[:len(back)-1]
		case n >= 8:
			err := redo(t, path)
			if len(forth) == 0 {
				if !errors.Is(err, jobs.ErrConflict) {
					t.Fatalf("step %d: nothing to bring back, got %v", i, err)
				}
				continue
			}
			if err != nil {
				t.Fatalf("step %d: %v", i, err)
			}
			back = append(back, now)
			now, forth = forth[len(forth)-1], forth[:len(forth)-1]
		}
		if got := abrasion(t, path, "apple"); got != now {
			t.Fatalf("step %d: the file has %g, the model %g", i, got, now)
		}
	}
	mustBeSound(t, path)
}

func TestUndoEndsBeforeTheFirstChange(t *testing.T) {
	path := newFile(t)
	if err := undo(t, path); err != nil { // takes the set-up back
		t.Fatal(err)
	}
	err := undo(t, path)
	if !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("got %v", err)
	}
	if err := redo(t, path); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, path)
}

func TestUndoRefusesWhatChangedSince(t *testing.T) {
	path := newFile(t)
	putWood(t, path, "apple", 1)
	putWood(t, path, "apple", 2)
	err := tryUpdate(path, start, "odd", func(tx *Tx) error { // take back the older of the two
		for c, err := range Changes(tx, true) {
			if err != nil {
				return err
			}
			if c.Seq == 2 {
				return tx.reverse(c)
			}
		}
		return errors.New("no change 2")
	})
	if !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("got %v", err)
	}
}

func TestNumbersAreNeverGivenTwice(t *testing.T) {
	path := newFile(t)
	add := func() (id uint64) {
		update(t, path, start, "spent", func(tx *Tx) (err error) {
			if id, err = NextID(tx, Entries); err != nil {
				return err
			}
			return Put(tx, Entries, jobs.Entry{ID: id, Operation: "drill", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1"}}, From: start, Written: start})
		})
		return id
	}
	first := add()
	if err := undo(t, path); err != nil {
		t.Fatal(err)
	}
	if second := add(); second <= first {
		t.Errorf("number %d after %d", second, first)
	}
}

// The clock may be set back: changes keep their order.
func TestClockSetBackKeepsTheOrder(t *testing.T) {
	path := newFile(t)
	for i, now := range []time.Time{start.Add(time.Hour), start.AddDate(0, 0, -30), start.Add(2 * time.Hour)} {
		update(t, path, now, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", float64(i+1))) })
	}
	view(t, path, func(tx *Tx) error {
		var seqs []uint64
		for c, err := range Changes(tx, false) {
			if err != nil {
				return err
			}
			seqs = append(seqs, c.Seq)
		}
		if diff := cmp.Diff([]uint64{1, 2, 3, 4}, seqs); diff != "" {
			t.Error(diff)
		}
		return nil
	})
	if err := undo(t, path); err != nil {
		t.Fatal(err)
	}
	if got := abrasion(t, path, "apple"); got != 2 {
		t.Errorf("after oops: %g", got)
	}
	mustBeSound(t, path)
}

func TestHistoryOfOneRecord(t *testing.T) {
	path := newFile(t)
	for i := range 3 {
		putWood(t, path, "apple", float64(i+1))
		putWood(t, path, "pear", float64(i+1))
	}
	view(t, path, func(tx *Tx) error {
		of, err := tx.FindRecord("wood", "apple")
		if err != nil {
			return err
		}
		changes, err := tx.History(of, 0)
		if err != nil {
			return err
		}
		if len(changes) != 3 || changes[0].What() != `wood "apple"` || changes[2].What() != `+ wood "apple"` {
			t.Errorf("got %+v", changes)
		}
		var none *jobs.NotFoundError
		if _, err := tx.FindRecord("woad", "apple"); !errors.As(err, &none) || len(none.Near) == 0 {
			t.Errorf("a noun that is none: %v", err)
		}
		return nil
	})
}
