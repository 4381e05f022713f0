package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

func wood(name string, abrasion float64) jobs.Wood {
	return jobs.Wood{Name: name, Title: name, Abrasion: abrasion, Source: "set in a test"}
}

func putWood(t *testing.T, path, name string, abrasion float64) {
	t.Helper()
	update(t, path, start, "wood set "+name, func(tx *Tx) error { return Put(tx, Woods, wood(name, abrasion)) })
}

func abrasion(t *testing.T, path, name string) (f float64) {
	t.Helper()
	view(t, path, func(tx *Tx) error {
		w, ok, err := Get(tx, Woods, name)
		if ok {
			f = w.Abrasion
		}
		return err
	})
	return f
}

func TestOpenRefusesWhatIsNoWorkshopFile(t *testing.T) {
	dir := t.TempDir()
	name := func(n string) string { return filepath.Join(dir, n) }
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(os.WriteFile(name("empty"), nil, 0o600))
	must(os.WriteFile(name("text"), []byte(strings.Repeat("not a workshop\n", 1000)), 0o600))
	must(os.WriteFile(name("short"), []byte("short"), 0o600))
	must(os.Mkdir(name("folder"), 0o700))
	must(os.Symlink(name("nothing"), name("dangling")))
	must(os.Symlink(name("loop"), name("loop")))
	must(syscall.Mkfifo(name("pipe"), 0o600))
	for _, n := range []string{"empty", "text", "short", "folder", "dangling", "loop", "pipe"} {
		for _, readOnly := range []bool{true, false} {
			s, err := Open(name(n), Options{ReadOnly: readOnly, Create: true, Timeout: 200 * time.Millisecond})
			if err == nil {
				s.Close()
			}
			if !errors.Is(err, ErrDamaged) {
				t.Errorf("%s, read only %v: got %v, want ErrDamaged", n, readOnly, err)
			}
		}
	}
	if _, err := os.Lstat(name("nothing")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("a file was made through a link that leads nowhere")
	}
	if _, err := Open(name("missing"), Options{}); !errors.Is(err, ErrMissing) {
		t.Errorf("missing: %v", err)
	}
	if list, _ := filepath.Glob(name("missing*")); len(list) > 0 {
		t.Errorf("opening a missing file left %v", list)
	}
}

func TestOpenFollowsALinkToAFile(t *testing.T) {
	path := newFile(t)
	link := filepath.Join(t.TempDir(), "link.db")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	putWood(t, link, "apple", 0.9)
	if got := abrasion(t, path, "apple"); got != 0.9 {
		t.Errorf("got %g through the link", got)
	}
}

func TestFilesAreTheBuildersOwn(t *testing.T) {
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	path := newFile(t)
	s, err := Open(path, Options{Now: at(start)})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.copyAside(1); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := Backup(path, "", "2026-01-06", 3); err != nil {
		t.Fatal(err)
	}
	g, err := Stage(path, copyName(filepath.Dir(path), "shop.db", "2026-01-06", 1))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := g.Place(start); err != nil {
		t.Fatal(err)
	}
	g.Discard()
	list, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range list {
		info, err := e.Info()
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, e.Name())
		if info.Mode() != 0o600 {
			t.Errorf("%s has mode %v", e.Name(), info.Mode())
		}
	}
	want := []string{"shop.db", "shop.db.2026-01-06.bak", "shop.db.replaced-20260106T183000Z", "shop.db.state", "shop.db.v1.bak"}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

// As root the mode of a file does not stop a write, so this is tried as a user
// without rights where the test runs as root.
func TestReadOnlyFileAndFolder(t *testing.T) {
	path := newFile(t)
	dir := filepath.Dir(path)
	if err := os.Chmod(path, 0o400); err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 {
		t.Log("running as root: the modes are tried by a child without rights, see TestCrashes")
		return
	}
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		t.Fatalf("reading a read-only file: %v", err)
	}
	s.Close()
	if _, err := Open(path, Options{}); !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "cannot be written") {
		t.Errorf("writing a read-only file: %v", err)
	}
	if err := os.Chmod(dir, 0o500); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o700)
	if _, err := Open(filepath.Join(dir, "other.db"), Options{Create: true}); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("making a file in a read-only folder: %v", err)
	}
}

func TestUpdateKeepsAllOrNothing(t *testing.T) {
	path := newFile(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	stop := errors.New("stop")
	err = tryUpdate(path, start, "wood set", func(tx *Tx) error {
		if err := Put(tx, Woods, wood("apple", 0.9)); err != nil {
			return err
		}
		return stop
	})
	if !errors.Is(err, stop) {
		t.Fatalf("got %v", err)
	}
	if err := tryUpdate(path, start, "nothing", func(*Tx) error { return nil }); err != nil {
		t.Fatal(err)
	}
	err = tryUpdate(path, start, "there and back", func(tx *Tx) error {
		if err := Put(tx, Woods, wood("apple", 0.9)); err != nil {
			return err
		}
		return Delete(tx, Woods, wood("apple", 0))
	})
	if err != nil {
		t.Fatal(err)
	}
	after, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(before) != string(after) {
		t.Error("a failed, an empty and a void change altered the file")
	}
}

func TestPutRefusesWhatIsInvalid(t *testing.T) {
	path := newFile(t)
	err := tryUpdate(path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", -1)) })
	var field *jobs.FieldError
	if !errors.As(err, &field) || field.Field != "abrasion" {
		t.Errorf("got %v", err)
	}
}

func TestBusyFileSaysSo(t *testing.T) {
	path := newFile(t)
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	began := time.Now()
	_, err = Open(path, Options{Timeout: 150 * time.Millisecond})
	if !errors.Is(err, ErrBusy) {
		t.Errorf("got %v", err)
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("took %s", took)
	}
}

// A command that waits for a file which is replaced meanwhile must not write
// into the one that was put away.
func TestWriterThatWaitedGetsTheNewFile(t *testing.T) {
	path := newFile(t)
	putWood(t, path, "apple", 0.9)
	made, err := Backup(path, "", "2026-01-06", 0)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, Options{Now: at(start)})
	if err != nil {
		t.Fatal(err)
	}
	waited := make(chan error, 1)
	go func() {
		waited <- tryUpdate(path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("pear", 0.8)) })
	}()
	time.Sleep(80 * time.Millisecond) // it has opened the old file by now and waits
	if err := os.Rename(path, path+".old"); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(made.Copy.Path, path); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if err := <-waited; err != nil {
		t.Fatal(err)
	}
	if got := abrasion(t, path, "pear"); got != 0.8 {
		t.Errorf("the change went into the file that was put away (%g)", got)
	}
}

func TestLatestAndByWalkIndexesInOrder(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	view(t, path, func(tx *Tx) error {
		all, err := All(tx, Entries)
		if err != nil {
			return err
		}
		perNeck := 0
		for _, n := range []string{"N1", "N2", "N3"} {
			es, err := tx.NeckEntries(n)
			if err != nil {
				return err
			}
			for i, e := range es {
				if e.ShareOf(n) < 0 || i > 0 && e.From.Before(es[i-1].From) {
					t.Errorf("%s: entry %d out of place", n, e.ID)
				}
			}
			perNeck += len(es)
			newest, err := Latest(tx, Entries, EntriesByNeck, n, 2)
			if err != nil {
				return err
			}
			if diff := cmp.Diff(es[len(es)-1], newest[0]); diff != "" {
				t.Errorf("%s: newest (-want +got):\n%s", n, diff)
			}
		}
		if perNeck != len(all) {
			t.Errorf("the index by neck gives %d of %d entries", perNeck, len(all))
		}
		none, err := Latest(tx, Entries, EntriesByNeck, "N", 5) // a prefix of other names
		if err != nil || len(none) != 0 {
			t.Errorf("a part of a name finds %d entries, %v", len(none), err)
		}
		return nil
	})
}
