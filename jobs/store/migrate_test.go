package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// A plan of two made-up steps: it gives every wood a source, then takes the
// titles away.
func madeUpPlan(fail error) []migration {
	edit := func(fn func(m map[string]any)) func(tx *Tx) error {
		return func(tx *Tx) error {
			return tx.rewrite("woods", func(_, value []byte) ([]byte, error) {
				var m map[string]any
				if err := json.Unmarshal(value, &m); err != nil {
					return nil, err
				}
				fn(m)
				return json.Marshal(m)
			})
		}
	}
	return []migration{
		{2, "woods have a source", edit(func(m map[string]any) { m["source"] = "migrated" })},
		{3, "woods have no title", func(tx *Tx) error {
			if err := edit(func(m map[string]any) { m["title"] = "" })(tx); err != nil {
				return err
			}
			return fail
		}},
	}
}

func TestMigrationCopiesAndGoesOn(t *testing.T) {
	for _, readOnly := range []bool{false, true} {
		path := newFile(t)
		grow(t, path, small, 1)
		putWood(t, path, "apple", 0.9)
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		was := digest(t, path)
		s, err := Open(path, Options{Now: at(start), ReadOnly: readOnly, plan: madeUpPlan(nil)})
		if err != nil {
			t.Fatal(err)
		}
		err = s.View(func(tx *Tx) error {
			w, _, err := Get(tx, Woods, "apple")
			if w.Source != "migrated" || w.Title != "" || w.Abrasion != 0.9 {
				t.Errorf("got %+v", w)
			}
			if v, err := readVersion(tx.btx, path); err != nil || v != 3 {
				t.Errorf("schema %d, %v", v, err)
			}
			h := Health{Path: path}
			h.look(tx) // the journal leads to the new state, the indexes are whole
			if !h.Sound() {
				t.Errorf("after migrating: %v", h.Troubles)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if !readOnly {
			err = s.Update(func(tx *Tx) error { _, err := tx.Undo(); return err })
			if !errors.Is(err, jobs.ErrConflict) {
				t.Errorf("a migration was taken back: %v", err)
			}
		}
		s.Close()
		if got := digest(t, path+".v1.bak"); got != was {
			t.Error("the copy is not the file as it was")
		}
		after, err := os.ReadFile(path)
		if err != nil || bytes.Equal(before, after) {
			t.Errorf("nothing was migrated: %v", err)
		}
		// This program has only schema 1: to it the file is a newer one now.
		if _, err := Open(path, Options{ReadOnly: readOnly}); !errors.Is(err, ErrNewer) || !strings.Contains(err.Error(), "schema 3, this program knows 1") {
			t.Errorf("newer file: %v", err)
		}
	}
}

func TestFailedMigrationLeavesTheOldFile(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	was := digest(t, path)
	stop := errors.New("no")
	_, err := Open(path, Options{Now: at(start), plan: madeUpPlan(stop)})
	if !errors.Is(err, stop) || !strings.Contains(err.Error(), "migration to schema 3 (woods have no title)") {
		t.Errorf("got %v", err)
	}
	if got := digest(t, path); got != was {
		t.Error("the file is not as it was")
	}
	mustBeSound(t, path)
	if diff := cmp.Diff([]string{"shop.db"}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

func TestMigrationKeepsAnOlderCopy(t *testing.T) {
	path := newFile(t)
	if err := os.WriteFile(path+".v1.bak", []byte("older"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, Options{Now: at(start), plan: madeUpPlan(nil)})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if diff := cmp.Diff([]string{"shop.db", "shop.db.v1-2.bak", "shop.db.v1.bak"}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

func TestSchemaNumberThatCannotBe(t *testing.T) {
	for _, v := range []string{"", "x", "0", "-1", "1.5"} {
		path := newFile(t)
		raw(t, path, func(tx *bolt.Tx) error { return tx.Bucket([]byte(bucketMeta)).Put([]byte(keySchema), []byte(v)) })
		if _, err := Open(path, Options{}); !errors.Is(err, ErrDamaged) {
			t.Errorf("schema %q: %v", v, err)
		}
	}
}

// Every step has a fixture of the version before it, the numbers follow each
// other, and the last is what this program writes.
func TestEveryMigrationHasAFixture(t *testing.T) {
	if len(migrations) != schemaVersion-1 {
		t.Fatalf("%d migrations lead to schema %d", len(migrations), schemaVersion)
	}
	for i, m := range migrations {
		if m.to != i+2 {
			t.Errorf("migration %d leads to schema %d", i, m.to)
		}
	}
	for v := 1; v <= schemaVersion; v++ {
		if _, err := os.Stat(fixture(v)); err != nil {
			t.Errorf("schema %d has no fixture: %v", v, err)
		}
	}
}
