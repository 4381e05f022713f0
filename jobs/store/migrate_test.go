package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

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
		{schemaVersion + 1, "woods have a source", edit(func(m map[string]any) { m["source"] = "migrated" })},
		{schemaVersion + 2, "woods have no title", func(tx *Tx) error {
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
			if h, err := readHead(tx.btx, path); err != nil || h.Schema != schemaVersion+2 {
				t.Errorf("head %+v, %v", h, err)
			}
			h := Health{Path: path}
			h.look(tx, true, nil) // the journal leads to the new state, the indexes are whole
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
		if got := digest(t, fmt.Sprintf("%s.v%d.bak", path, schemaVersion)); got != was {
			t.Error("the copy is not the file as it was")
		}
		after, err := os.ReadFile(path)
		if err != nil || bytes.Equal(before, after) {
			t.Errorf("nothing was migrated: %v", err)
		}
		// To this program the file is a newer one now.
		if _, err := Open(path, Options{ReadOnly: readOnly}); !errors.Is(err, ErrNewer) || !strings.Contains(err.Error(), fmt.Sprintf("schema %d, this program knows %d", schemaVersion+2, schemaVersion)) {
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
	if !errors.Is(err, stop) || !strings.Contains(err.Error(), fmt.Sprintf("migration to schema %d (woods have no title)", schemaVersion+2)) {
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
	if err := os.WriteFile(fmt.Sprintf("%s.v%d.bak", path, schemaVersion), []byte("older"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, Options{Now: at(start), plan: madeUpPlan(nil)})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if diff := cmp.Diff([]string{"shop.db", fmt.Sprintf("shop.db.v%d-2.bak", schemaVersion), fmt.Sprintf("shop.db.v%d.bak", schemaVersion)}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

func TestHeadThatCannotBe(t *testing.T) {
	for _, doc := range []string{"", "{", `{"schema":0,"made":"2026-01-06T18:30:00Z"}`, `{"schema":-1,"made":"2026-01-06T18:30:00Z"}`, `{"schema":1.5}`, `{"schema":1,"made":"x"}`} {
		path := newFile(t)
		raw(t, path, func(tx *bolt.Tx) error {
			return tx.Bucket([]byte(bucketMeta)).Put([]byte(keyHead), seal([]byte(keyHead), []byte(doc)))
		})
		if _, err := Open(path, Options{}); !errors.Is(err, ErrDamaged) {
			t.Errorf("head %q: %v", doc, err)
		}
	}
	path := newFile(t)
	raw(t, path, func(tx *bolt.Tx) error { return tx.Bucket([]byte(bucketMeta)).Delete([]byte(keyHead)) })
	if _, err := Open(path, Options{}); !errors.Is(err, ErrDamaged) {
		t.Errorf("no head: %v", err)
	}
}

// The numbers of the steps follow each other, the last is what this program
// writes, and each schema has a fixture.
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

// Commands that come at once to a file of an older schema wait for the one that
// brings it up, and find the new file: what each of them writes is there.
func TestManyComeToAnOlderFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 400, necks: 8, bits: 20, bitUses: 120, supplies: 4, lots: 20}, 3)
	link := filepath.Join(filepath.Dir(path), "link.db")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			name := path
			if i%2 == 1 {
				name = link
			}
			s, err := Open(name, Options{Now: at(start), Timeout: 20 * time.Second, plan: madeUpPlan(nil)})
			if err == nil {
				err = s.Update(func(tx *Tx) error {
					return Put(tx, Woods, jobs.Wood{Name: fmt.Sprintf("apple-%d", i), Abrasion: 1})
				})
				err = errors.Join(err, s.Close())
			}
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	planned(t, path, func(tx *Tx) error {
		h := Health{Path: path}
		if h.look(tx, true, nil); !h.Sound() {
			t.Errorf("after migrating: %v", h.Troubles)
		}
		for i := range 8 {
			if _, ok, err := Get(tx, Woods, fmt.Sprintf("apple-%d", i)); !ok {
				t.Errorf("apple-%d is not there, %v", i, err)
			}
		}
		return nil
	})
	if got := names(t, filepath.Dir(path)); len(got) != 3 { // the file, the link, one copy
		t.Errorf("files %v", got)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link became a file: %v", err)
	}
	// Written anew, the file has hardly a page that is free.
	raw(t, path, func(tx *bolt.Tx) error {
		free, all := 0, 0
		for ; ; all++ {
			p, err := tx.Page(all)
			if err != nil {
				return err
			}
			if p == nil {
				break
			}
			if p.Type == "free" {
				free++
			}
		}
		if all < 100 || free > all/4 {
			t.Errorf("%d of %d pages are free", free, all)
		}
		return nil
	})
}

// planned reads a file that the made-up plan has brought up.
func planned(t *testing.T, path string, fn func(*Tx) error) {
	t.Helper()
	s, err := Open(path, Options{Now: at(start), ReadOnly: true, plan: madeUpPlan(nil)})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.View(fn); err != nil {
		t.Fatal(err)
	}
}

// TornHoleCost in an old file is told when it is brought up.
func TestDamageBeforeMigratingIsTold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, small, 4)
	raw(t, path, func(tx *bolt.Tx) error {
		b := tx.Bucket([]byte(bucketJournal))
		v := bytes.Clone(b.Get(idKey(3)))
		v[len(v)-3] ^= 1
		return b.Put(idKey(3), v)
	})
	s, err := Open(path, Options{Now: at(start), plan: madeUpPlan(nil)})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if len(s.BeforeTroubles) != 1 || !strings.Contains(fmt.Sprint(s.BeforeTroubles), "change 3 in the workshop file is damaged") {
		t.Errorf("told: %v", s.BeforeTroubles)
	}
	sound := newFile(t)
	if s, err = Open(sound, Options{Now: at(start), plan: madeUpPlan(nil)}); err != nil || len(s.BeforeTroubles) > 0 {
		t.Fatalf("a sound file: %v, %v", s.BeforeTroubles, err)
	}
	s.Close()
}

// A migration that fails takes away the copy it made, not one that was there; what
// is no plain file under a copy's name is passed over.
func TestFailedMigrationKeepsWhatWasThere(t *testing.T) {
	path := newFile(t)
	copied := fmt.Sprintf("%s.v%d.bak", path, schemaVersion)
	if err := os.Mkdir(copied, 0o700); err != nil {
		t.Fatal(err)
	}
	stop := errors.New("no")
	plan := func() error {
		_, err := Open(path, Options{Now: at(start), plan: madeUpPlan(stop)})
		return err
	}
	if err := plan(); !errors.Is(err, stop) {
		t.Fatal(err)
	}
	if got := names(t, filepath.Dir(path)); len(got) != 2 {
		t.Errorf("files %v", got)
	}
	if err := os.Remove(copied); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, Options{Now: at(start), ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, made, err := s.copyAside(schemaVersion); err != nil || !made {
		t.Fatal(made, err)
	}
	s.Close()
	if err := plan(); !errors.Is(err, stop) {
		t.Fatal(err)
	}
	if _, err := os.Stat(copied); err != nil {
		t.Errorf("a copy that was there is gone: %v", err)
	}
}

// Every bucket made from others is known as one by its name.
func TestIndexesAreNamedSo(t *testing.T) {
	records := map[string]bool{bucketJournal: true, bucketAnswers: true}
	for _, c := range collections {
		records[c.name()] = true
	}
	for _, name := range bucketNames() {
		if strings.HasPrefix(name, indexPrefix) == records[name] {
			t.Errorf("%s: a record? %v", name, records[name])
		}
	}
}

// A migration that was cut off after its copy finds that copy again.
func TestCutOffMigrationCopiesOnce(t *testing.T) {
	path := newFile(t)
	s, err := Open(path, Options{Now: at(start), ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	first, _, err := s.copyAside(schemaVersion)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	was := fileText(t, first)
	if s, err = Open(path, Options{Now: at(start), plan: madeUpPlan(nil)}); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if s.Before != first || fileText(t, first) != was {
		t.Errorf("copies %q, then %q", first, s.Before)
	}
	copied := fmt.Sprintf("shop.db.v%d.bak", schemaVersion)
	if diff := cmp.Diff([]string{"shop.db", copied}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	if kept, err := Kept(path); err != nil || len(kept) != 1 || kept[0] != copied {
		t.Errorf("kept %v, %v", kept, err)
	}
}

func fileText(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
