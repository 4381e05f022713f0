package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

func names(t *testing.T, dir string) (out []string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}

func TestBackupKeepsTheNewest(t *testing.T) {
	path := newFile(t)
	dir := filepath.Dir(path)
	foreign := filepath.Join(dir, "shop.db.2026-01-01.old")
	if err := os.WriteFile(foreign, []byte("keep me"), 0o600); err != nil {
		t.Fatal(err)
	}
	var removed []string
	for _, day := range []jobs.Day{"2026-01-06", "2026-01-08", "2026-01-08", "2026-01-13"} {
		b, err := Backup(path, "", day, 3)
		if err != nil {
			t.Fatal(err)
		}
		mustBeSound(t, b.Copy.Path)
		removed = append(removed, b.Removed...)
	}
	want := []string{"shop.db", "shop.db.2026-01-01.old", "shop.db.2026-01-08-2.bak", "shop.db.2026-01-08.bak", "shop.db.2026-01-13.bak", "shop.db.state"}
	if diff := cmp.Diff(want, names(t, dir)); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{filepath.Join(dir, "shop.db.2026-01-06.bak")}, removed); diff != "" {
		t.Errorf("removed (-want +got):\n%s", diff)
	}
	all, err := Copies(path, "")
	if err != nil || len(all) != 3 || all[0].Day != "2026-01-13" || all[1].No != 2 {
		t.Errorf("copies: %+v, %v", all, err)
	}
}

// A writer goes on while the copy is made; the copy is one picture: each change
// is in it whole or not at all.
func TestBackupWhileInUse(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	stop, done := make(chan struct{}), make(chan error, 1)
	go func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			err := tryUpdate(path, start, "wood set", func(tx *Tx) error {
				for _, n := range []string{"apple", "pear"} {
					if err := Put(tx, Woods, wood(n, 1+float64(i%7))); err != nil {
						return err
					}
				}
				return nil
			})
			if err != nil {
				done <- err
				return
			}
			time.Sleep(10 * time.Millisecond) // else nobody else gets the lock
		}
	}()
	var copies []string
	for range 8 {
		b, err := Backup(path, "", "2026-01-06", 0)
		if err != nil {
			t.Fatal(err)
		}
		copies = append(copies, b.Copy.Path)
	}
	close(stop)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	for _, c := range copies {
		mustBeSound(t, c)
		if a, b := abrasion(t, c, "apple"), abrasion(t, c, "pear"); a != b {
			t.Errorf("%s holds half a change: %g and %g", c, a, b)
		}
	}
}

func TestBackupOfTheEvening(t *testing.T) {
	path := newFile(t)
	dir := filepath.Dir(path)
	try := func(now time.Time) *Copy {
		t.Helper()
		c, err := BackupEvening(path, at(now))
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if c := try(start); c == nil || filepath.Base(c.Path) != "shop.db.2026-01-06.bak" {
		t.Errorf("first of the evening: %+v", c)
	}
	if c := try(start.Add(2 * time.Hour)); c != nil {
		t.Errorf("second of the evening: %+v", c)
	}
	if c := try(start.Add(9 * time.Hour)); c != nil { // 03:30, still that evening
		t.Errorf("after midnight: %+v", c)
	}
	if c := try(start.AddDate(0, 0, 2)); c == nil {
		t.Error("the next evening made none")
	}
	update(t, path, start, "shop set backup-keep 0", func(tx *Tx) error {
		shop, err := tx.Shop()
		if err != nil {
			return err
		}
		shop.BackupKeep = 0
		return Put(tx, Shops, shop)
	})
	if c := try(start.AddDate(0, 0, 4)); c != nil {
		t.Errorf("switched off: %+v", c)
	}
	want := []string{"shop.db", "shop.db.2026-01-06.bak", "shop.db.2026-01-08.bak", "shop.db.state"}
	if diff := cmp.Diff(want, names(t, dir)); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

func TestBackupOfADamagedFileIsRefused(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 600, necks: 20, bits: 10, bitUses: 100, supplies: 10, lots: 40}, 3)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	kinds := pageKinds(image, os.Getpagesize())
	leaves := kinds["leaf"]
	for _, p := range leaves[len(leaves)/2:] {
		image[p*os.Getpagesize()] ^= 0xFF
	}
	if err := os.WriteFile(path, image, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Backup(path, "", "2026-01-06", 1)
	if !errors.Is(err, ErrDamaged) {
		t.Errorf("got %v", err)
	}
	if diff := cmp.Diff([]string{"shop.db"}, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

func TestRestoreTellsWhatIsLost(t *testing.T) {
	path := newFile(t)
	made, err := Backup(path, "", "2026-01-06", 0)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		putWood(t, path, fmt.Sprintf("wood-%d", i), 1)
	}
	g, err := Stage(path, made.Copy.Path)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Discard()
	loss, err := g.Lost(3)
	if err != nil {
		t.Fatal(err)
	}
	var lost []string
	for _, c := range loss.Changes {
		lost = append(lost, c.Words())
	}
	if diff := cmp.Diff([]string{"wood set wood-4", "wood set wood-3", "wood set wood-2"}, lost); diff != "" || loss.More != 2 || loss.Apart != 0 {
		t.Errorf("%+v\n%s", loss, diff)
	}
	kept, err := g.Place(start)
	if err != nil {
		t.Fatal(err)
	}
	if got := abrasion(t, kept, "wood-4"); got != 1 {
		t.Error("the replaced file was not kept as it was")
	}
	if got := abrasion(t, path, "wood-0"); got != 0 {
		t.Error("the copy is not in place")
	}
	// And back again: what the copy lacks is not lost, what the file got since is.
	putWood(t, path, "plum", 1)
	back, err := Stage(path, kept)
	if err != nil {
		t.Fatal(err)
	}
	defer back.Discard()
	loss, err = back.Lost(10)
	if err != nil || len(loss.Changes) != 1 || loss.Apart != 5 {
		t.Errorf("%+v, %v", loss, err)
	}
}

func TestRestoreRefusesTheFileItself(t *testing.T) {
	path := newFile(t)
	if _, err := Stage(path, path); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("got %v", err)
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	if _, err := Stage(path, link); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("through a link: %v", err)
	}
	// The file is reached through a link: what the link leads to is not written over.
	other := newFile(t)
	if _, err := Stage(link, other); !errors.Is(err, jobs.ErrConflict) || !strings.Contains(err.Error(), link+" is a link to "+path) {
		t.Errorf("placing over a link: %v", err)
	}
}

func TestRestoreWaitsForAWriter(t *testing.T) {
	path, other := newFile(t), newFile(t)
	g, err := Stage(path, other)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Discard()
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(150*time.Millisecond, func() { s.Close() })
	began := time.Now()
	if _, err := g.Place(start); err != nil {
		t.Fatal(err)
	}
	if time.Since(began) < 100*time.Millisecond {
		t.Error("the file was replaced under a writer")
	}
}

// A file of another name beside it is no copy, however its end is dated.
func TestCopyOf(t *testing.T) {
	for name, want := range map[string]struct {
		n  int
		ok bool
	}{
		"shop.db.2027-03-02.bak":      {1, true},
		"shop.db.2027-03-02-2.bak":    {2, true},
		"shop.db.2027-03-02-1.bak":    {0, false},
		"2027-03-02.bak":              {0, false},
		"other.db.2027-03-02.bak":     {0, false},
		"shop.db.2027-02-30.bak":      {0, false},
		"shop.db.2027-03-02.bak.copy": {0, false},
		"shop.db.v1.bak":              {0, false},
	} {
		if _, n, ok := copyOf(name, "shop.db"); ok != want.ok || (ok && n != want.n) {
			t.Errorf("%s: number %d, a copy %v; want %d, %v", name, n, ok, want.n, want.ok)
		}
	}
}

// The next command that writes removes what commands that are gone left under
// passing names, and nothing else; data check names it.
func TestLeftoversAreSwept(t *testing.T) {
	path := newFile(t)
	dir := filepath.Dir(path)
	old, now := time.Now().Add(-2*time.Hour), time.Now()
	const nobody = 1 << 30 // no process can have this number
	gone, mine := fmt.Sprintf("-%d-5", nobody), fmt.Sprintf("-%d-5", os.Getpid())
	for name, age := range map[string]time.Time{"shop.db.copying" + gone: now, "shop.db.importing" + gone: now, "shop.db.new" + mine: old,
		"shop.db.copying" + mine: now, "shop.db.copying-mine": old, "other.db.copying" + gone: old, "shop.db.v1.bak": old} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(filepath.Join(dir, name), age, age); err != nil {
			t.Fatal(err)
		}
	}
	left := []string{"shop.db.copying" + gone, "shop.db.importing" + gone, "shop.db.new" + mine}
	if diff := cmp.Diff(left, mustBeSound(t, path).Left); diff != "" {
		t.Errorf("left behind (-want +got):\n%s", diff)
	}
	putWood(t, path, "apple", 1)
	want := []string{"other.db.copying" + gone, "shop.db", "shop.db.copying" + mine, "shop.db.copying-mine", "shop.db.v1.bak"}
	if diff := cmp.Diff(want, names(t, dir)); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}
