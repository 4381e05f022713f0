package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A long look at a large file is one at a copy: a change goes through beside it, the
// look sees the file as it was, and nothing is left behind.
func TestLongLookIsAtACopy(t *testing.T) {
	defer func(from int64) { copiedFrom = from }(copiedFrom)
	copiedFrom = 0
	path := newFile(t)
	update(t, path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", 2)) })
	s, err := OpenLong(path, Options{Now: at(start), Timeout: DefaultTimeout})
	if err != nil {
		t.Fatal(err)
	}
	if err := tryUpdate(path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", 3)) }); err != nil {
		t.Errorf("a change beside a long look: %v", err)
	}
	abrasion := func(s *Store) (out float64) {
		if err := s.View(func(tx *Tx) error {
			w, _, err := Get(tx, Woods, "apple")
			out = w.Abrasion
			return err
		}); err != nil {
			t.Fatal(err)
		}
		return out
	}
	if f := abrasion(s); f != 2 {
		t.Errorf("the look sees an abrasion of %g, want that of its beginning", f)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	now, err := OpenLong(path, Options{Now: at(start)})
	if err != nil {
		t.Fatal(err)
	}
	if f := abrasion(now); f != 3 {
		t.Errorf("the next look sees %g", f)
	}
	now.Close()
	if found, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*")); len(found) != 1 {
		t.Errorf("left behind: %v", found)
	}

	gone := filepath.Join(t.TempDir(), "none.db")
	if _, err := OpenLong(gone, Options{}); !errors.Is(err, ErrMissing) {
		t.Errorf("no file: %v", err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	torn := filepath.Join(t.TempDir(), "torn.db")
	if err := os.WriteFile(torn, raw[:len(raw)/3], 0o600); err != nil {
		t.Fatal(err)
	}
	_, plain := Open(torn, Options{ReadOnly: true})
	if _, err := OpenLong(torn, Options{}); err == nil != (plain == nil) || plain != nil && !errors.Is(err, ErrDamaged) {
		t.Errorf("a torn file: %v, opened plainly: %v", err, plain)
	}
}
