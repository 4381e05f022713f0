package workshop

import (
	"path/filepath"
	"testing"
	"time"

	"bookmatch/jobs/store"
)

// start is the first evening of every invented shop.
var start = time.Date(2026, 1, 6, 18, 30, 0, 0, time.UTC)

func clockAt(t time.Time) func() time.Time { return func() time.Time { return t } }

// newFile makes a file with a shop and what a shop begins with.
func newFile(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.db")
	do(t, path, start, ShopSetup, &ShopSetupAsk{Settings: map[string][]string{"name": {"Lime Tree Lane"}, "currency": {"EUR"}}})
	return path
}

// do runs a verb at an instant and gives its result. A refusal ends the test.
func do(t testing.TB, path string, now time.Time, v Verb, ask Ask) Result {
	t.Helper()
	r, err := At(path, clockAt(now)).Do(v, ask)
	if err != nil {
		t.Fatalf("%s: %v", v.Name, err)
	}
	return r
}

// refuse runs a verb that must be refused and gives the refusal's error.
func refuse(t testing.TB, path string, now time.Time, v Verb, ask Ask) error {
	t.Helper()
	r, err := At(path, clockAt(now)).Do(v, ask)
	if err == nil {
		t.Fatalf("%s was not refused: %+v", v.Name, r)
	}
	return err
}

// update runs fn on a book in one writing transaction.
func update(t testing.TB, path string, now time.Time, command string, fn func(*Book) error) {
	t.Helper()
	if err := tryUpdate(path, now, command, fn); err != nil {
		t.Fatal(err)
	}
}

func tryUpdate(path string, now time.Time, command string, fn func(*Book) error) error {
	s, err := store.Open(path, store.Options{Now: clockAt(now), Create: true, Command: command})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.Update(func(tx *store.Tx) error {
		b, err := Open(tx)
		if err != nil {
			return err
		}
		return fn(b)
	})
}

// view runs fn on a book long after everything happened.
func view(t testing.TB, path string, fn func(*Book) error) {
	t.Helper()
	s, err := store.Open(path, store.Options{Now: clockAt(start.AddDate(30, 0, 0)), ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.View(func(tx *store.Tx) error {
		b, err := Open(tx)
		if err != nil {
			return err
		}
		return fn(b)
	}); err != nil {
		t.Fatal(err)
	}
}

// mustBeSound checks every record, index and figure of the file.
func mustBeSound(t testing.TB, path string) {
	t.Helper()
	h, err := store.Check(path, Derived)
	if err != nil {
		t.Fatal(err)
	}
	if !h.Sound() {
		t.Fatalf("%d troubles, first %v", len(h.Troubles), h.Troubles[0])
	}
}
