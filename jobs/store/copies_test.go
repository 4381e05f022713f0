package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// flipIn changes one bit of a stored value and not its sum.
func flipIn(t *testing.T, path, bucket string, key []byte) {
	t.Helper()
	raw(t, path, func(tx *bolt.Tx) error {
		b := tx.Bucket([]byte(bucket))
		v := bytes.Clone(b.Get(key))
		v[len(v)-3] ^= 1
		return b.Put(key, v)
	})
}

// With one copy kept, each backup of a day has the next number, and the
// one that stays is the one just made.
func TestBackupKeepsTheOneJustMade(t *testing.T) {
	path := newFile(t)
	dir := filepath.Join(t.TempDir(), "b3")
	for i := range 4 {
		putWood(t, path, "apple", float64(i+1))
		b, err := Backup(path, dir, "2026-01-06", 1)
		if err != nil {
			t.Fatal(err)
		}
		if b.Copy.No != i+1 || abrasion(t, b.Copy.Path, "apple") != float64(i+1) {
			t.Errorf("backup %d: number %d", i+1, b.Copy.No)
		}
		if got := names(t, dir); len(got) != 1 || got[0] != filepath.Base(b.Copy.Path) {
			t.Errorf("backup %d: files %v", i+1, got)
		}
	}
	// A clock set back makes a copy of an older day: it stays all the same.
	b, err := Backup(path, dir, "2025-01-06", 1)
	if err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); len(got) != 1 || got[0] != filepath.Base(b.Copy.Path) {
		t.Errorf("files %v", got)
	}
}

// The copy of the evening is due until one of its copies is known to be
// sound, whatever its number; manual copies count.
func TestEveningCopyIsDueUntilOneIsSound(t *testing.T) {
	path := newFile(t)
	due := func(now time.Time) bool {
		t.Helper()
		s, err := Open(path, Options{Now: at(now), ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		d, err := s.BackupDue()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	if !due(start) {
		t.Error("a fresh evening is not due")
	}
	for range 3 {
		if _, err := Backup(path, "", "2026-01-06", 2); err != nil {
			t.Fatal(err)
		}
	}
	if due(start) {
		t.Error("due after copies by hand")
	}
	for _, n := range names(t, filepath.Dir(path)) { // copies that nobody knows: one is looked at
		if strings.HasSuffix(n, ".state") {
			if err := os.Remove(filepath.Join(filepath.Dir(path), n)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if !due(start) {
		t.Error("copies that nobody looked at count")
	}
	if c, err := BackupEvening(path, at(start)); c != nil || err != nil {
		t.Errorf("made %v, %v", c, err)
	}
	if due(start) {
		t.Error("due after the look")
	}
	// What only has the name of a copy is none.
	fake := copyName(filepath.Dir(path), "shop.db", "2026-01-08", 1)
	if err := os.WriteFile(fake, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := BackupEvening(path, at(start.AddDate(0, 0, 2)))
	if err != nil || c == nil || c.No != 2 {
		t.Errorf("made %+v, %v", c, err)
	}
}

// TornHoleCost that daily reading does not see stops the copy of the evening;
// the next commands say so, until a copy is sound again.
func TestUnsoundEveningIsTold(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	if c, err := BackupEvening(path, at(start)); c == nil || err != nil {
		t.Fatalf("made %v, %v", c, err)
	}
	good := names(t, filepath.Dir(path))
	putWood(t, path, "apple", 1)
	flipIn(t, path, "lots", idKey(2))
	later := start.AddDate(0, 0, 2)
	if _, err := BackupEvening(path, at(later)); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "lot 2 in the workshop file is damaged") {
		t.Errorf("got %v", err)
	}
	if diff := cmp.Diff(good, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	warned := func() string {
		s, err := Open(path, Options{Now: at(later), ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		return fmt.Sprint(s.Warnings())
	}
	if got := warned(); !strings.Contains(got, "no copy of the evening could be kept") || !strings.Contains(got, "lot 2") {
		t.Errorf("warned: %s", got)
	}
	// Within the hour nothing is tried again; then it is.
	if c, err := BackupEvening(path, at(later.Add(time.Minute))); c != nil || err != nil {
		t.Errorf("tried again: %v, %v", c, err)
	}
	flipIn(t, path, "lots", idKey(2)) // as it was
	if c, err := BackupEvening(path, at(later.Add(2*time.Hour))); c == nil || err != nil {
		t.Errorf("made %v, %v", c, err)
	}
	if got := warned(); got != "[]" {
		t.Errorf("still warned: %s", got)
	}
}

// A file that fell back to its older meta page says so.
func TestFallbackToTheOlderMetaPageIsTold(t *testing.T) {
	path := newFile(t)
	putWood(t, path, "apple", 1)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for page := range 2 {
		hurt := bytes.Clone(image)
		hurt[page*os.Getpagesize()+pageHeader+20] ^= 1
		if err := os.WriteFile(path, hurt, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(path, Options{ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
		if want := fmt.Sprintf("meta page %d does not match its check sum", page); s.Fallback != want || !strings.Contains(fmt.Sprint(s.Warnings()), "the newest change may be missing") {
			t.Errorf("got %q, want %q", s.Fallback, want)
		}
		// A copy of it is sound: its meta pages are written fresh.
		if _, err := Backup(path, t.TempDir(), "2026-01-06", 0); err != nil {
			t.Errorf("backup: %v", err)
		}
	}
}

// A clock outside 2000 to 2199 writes nothing.
func TestClockThatCannotBe(t *testing.T) {
	path := newFile(t)
	was := digest(t, path)
	for _, now := range []time.Time{time.Unix(0, 0), time.Date(1999, 12, 31, 23, 59, 59, 0, time.UTC), time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC)} {
		err := tryUpdate(path, now, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", 1)) })
		if !errors.Is(err, jobs.ErrInvalid) || !strings.Contains(err.Error(), "BOOKMATCH_NOW") {
			t.Errorf("%s: %v", now, err)
		}
		fresh := filepath.Join(t.TempDir(), "shop.db")
		if _, err := Open(fresh, Options{Now: at(now), Create: true}); !errors.Is(err, jobs.ErrInvalid) || Exists(fresh) {
			t.Errorf("%s: a new file: %v", now, err)
		}
	}
	if digest(t, path) != was {
		t.Error("something was written")
	}
	for _, now := range []time.Time{time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2199, 12, 31, 0, 0, 0, 0, time.UTC)} {
		update(t, path, now, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", float64(now.Year())/200)) })
	}
}

func TestFullDiskIsSaidPlainly(t *testing.T) {
	for _, e := range []error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG} {
		err := noRoom(&os.PathError{Op: "write", Path: "shop.db", Err: e})
		if !errors.Is(err, ErrFull) || !errors.Is(err, e) || !strings.HasPrefix(err.Error(), "no space is left on the disk, nothing was kept") {
			t.Errorf("%v: %v", e, err)
		}
	}
	if err := noRoom(os.ErrNotExist); errors.Is(err, ErrFull) {
		t.Error("another error is said to be a full disk")
	}
}
