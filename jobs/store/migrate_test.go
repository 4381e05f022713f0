package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
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
			if v, err := readVersion(tx.btx, path); err != nil || v != schemaVersion+2 {
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

func TestSchemaNumberThatCannotBe(t *testing.T) {
	for _, v := range []string{"", "x", "0", "-1", "1.5"} {
		path := newFile(t)
		raw(t, path, func(tx *bolt.Tx) error { return tx.Bucket([]byte(bucketMeta)).Put([]byte(keySchema), []byte(v)) })
		if _, err := Open(path, Options{}); !errors.Is(err, ErrDamaged) {
			t.Errorf("schema %q: %v", v, err)
		}
	}
}

// The numbers of the steps follow each other, the last is what this program
// writes, and each schema that changed documents has a fixture of them.
func TestEveryMigrationHasAFixture(t *testing.T) {
	if len(migrations) != schemaVersion-1 {
		t.Fatalf("%d migrations lead to schema %d", len(migrations), schemaVersion)
	}
	documents := []int{1}
	for i, m := range migrations {
		if m.to != i+2 {
			t.Errorf("migration %d leads to schema %d", i, m.to)
		}
		if m.run != nil {
			documents = append(documents, m.to)
		}
	}
	for _, v := range documents {
		if _, err := os.Stat(fixture(v)); err != nil {
			t.Errorf("schema %d has no fixture: %v", v, err)
		}
	}
	if last := documents[len(documents)-1]; last != documentSchema {
		t.Errorf("an export says schema %d, the documents are of %d", documentSchema, last)
	}
}

// A file of schema 1 has no cards, no classes of bits and no causes, one of schema 2
// no packed ages. Opening it makes them, keeps the records and the journal as they
// were, and a copy.
func TestOlderSchemasAreMigrated(t *testing.T) {
	for _, c := range []struct {
		from     int
		readOnly bool
	}{{1, false}, {1, true}, {2, false}, {2, true}} {
		path := filepath.Join(t.TempDir(), "shop.db")
		grow(t, path, size{entries: 200, necks: 8, bits: 20, bitUses: 120, supplies: 2, lots: 4}, 3)
		was := export(t, path)
		toSchema(t, path, c.from)
		s, err := Open(path, Options{Now: at(start), ReadOnly: c.readOnly})
		if err != nil {
			t.Fatal(err)
		}
		copied := fmt.Sprintf("shop.db.v%d.bak", c.from)
		if filepath.Base(s.Before) != copied {
			t.Errorf("the copy is %q", s.Before)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if h := mustBeSound(t, path); h.Schema != schemaVersion {
			t.Errorf("schema %d", h.Schema)
		}
		if !bytes.Equal(was, export(t, path)) {
			t.Error("the records are not as they were")
		}
		if diff := cmp.Diff([]string{"shop.db", copied}, names(t, filepath.Dir(path))); diff != "" {
			t.Errorf("files (-want +got):\n%s", diff)
		}
	}
}

// Commands that come at once to a file of an older schema wait for the one that
// brings it up, and find the new file: what each of them writes is there.
func TestManyComeToAnOlderFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 400, necks: 8, bits: 20, bitUses: 120, supplies: 4, lots: 20}, 3)
	toSchema(t, path, 1)
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
			s, err := Open(name, Options{Now: at(start), Timeout: 20 * time.Second})
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
	mustBeSound(t, path)
	view(t, path, func(tx *Tx) error {
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

// What was amiss in an old file is told when it is brought up: the indexes made
// anew would no longer miss a record that is gone.
func TestDamageBeforeMigratingIsTold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, small, 4)
	toSchema(t, path, 2)
	raw(t, path, func(tx *bolt.Tx) error {
		k, _ := tx.Bucket([]byte(Entries.bucket)).Cursor().First()
		return tx.Bucket([]byte(Entries.bucket)).Delete(k)
	})
	s, err := Open(path, Options{Now: at(start)})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if len(s.BeforeTroubles) == 0 || !strings.Contains(fmt.Sprint(s.BeforeTroubles), "among the records") {
		t.Errorf("told: %v", s.BeforeTroubles)
	}
	sound := newFile(t)
	toSchema(t, sound, 1)
	if s, err = Open(sound, Options{Now: at(start)}); err != nil || len(s.BeforeTroubles) > 0 {
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

// added is what each schema added to a file: buckets of indexes.
var added = map[int][]string{
	2: {BitsByClass, EntriesByCause, BitCards, BitsBySet},
	3: {BitAges},
}

// toSchema takes out of a file what the schemas after one added.
func toSchema(t *testing.T, path string, version int) {
	t.Helper()
	raw(t, path, func(tx *bolt.Tx) error {
		for v := version + 1; v <= schemaVersion; v++ {
			for _, name := range added[v] {
				if err := tx.DeleteBucket([]byte(name)); err != nil {
					return err
				}
			}
		}
		return tx.Bucket([]byte(bucketMeta)).Put([]byte(keySchema), []byte(strconv.Itoa(version)))
	})
}

// Looking at a file of schema 1, or putting it in place of another, does not
// change it and leaves nothing beside it.
func TestLookingDoesNotMigrate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 200, necks: 8, bits: 20, bitUses: 120, supplies: 2, lots: 4}, 3)
	old := filepath.Join(filepath.Dir(path), "old.db")
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(old, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	toSchema(t, old, 1)
	was := fileText(t, old)
	if h := mustBeSound(t, old); h.Schema != 1 {
		t.Errorf("schema %d", h.Schema)
	}
	g, err := Stage(path, old)
	if err != nil {
		t.Fatal(err)
	}
	if h, err := g.Check(); err != nil || !h.Sound() {
		t.Fatalf("%v %v", h.Troubles, err)
	}
	if loss, err := g.Lost(5); err != nil || len(loss.Changes)+loss.More+loss.Apart > 0 {
		t.Errorf("%+v %v", loss, err)
	}
	if _, err := g.Place(start); err != nil {
		t.Fatal(err)
	}
	if fileText(t, old) != was || fileText(t, path) != was {
		t.Error("a file was changed by being looked at")
	}
	if got := names(t, filepath.Dir(path)); len(got) != 3 { // the file, the old one, the replaced one
		t.Errorf("files %v", got)
	}
	// Damage to what is there is found all the same.
	if err := os.WriteFile(old, []byte(strings.ReplaceAll(was, `"holes":6`, `"holes":7`)), 0o600); err != nil {
		t.Fatal(err)
	}
	if h, err := Check(old); err != nil || h.Sound() {
		t.Errorf("a changed use was not found: %v", err)
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

// A migration that was cut off after its copy finds that copy again.
func TestCutOffMigrationCopiesOnce(t *testing.T) {
	path := newFile(t)
	toSchema(t, path, 1)
	s, err := Open(path, Options{Now: at(start), ReadOnly: true, AsIs: true})
	if err != nil {
		t.Fatal(err)
	}
	first, _, err := s.copyAside(1)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	was := fileText(t, first)
	if s, err = Open(path, Options{Now: at(start)}); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if s.Before != first || fileText(t, first) != was {
		t.Errorf("copies %q, then %q", first, s.Before)
	}
	if diff := cmp.Diff([]string{"shop.db", "shop.db.v1.bak"}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	if kept, err := Kept(path); err != nil || len(kept) != 1 || kept[0] != "shop.db.v1.bak" {
		t.Errorf("kept %v, %v", kept, err)
	}
}
