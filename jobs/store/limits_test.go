package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// What an import would refuse is not written.
func TestTooLargeIsNotWritten(t *testing.T) {
	path := newFile(t)
	big := wood("apple", 1)
	big.Title = strings.Repeat("x", maxRecord)
	if err := tryUpdate(path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, big) }); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("a record: %v", err)
	}
	mustBeSound(t, path)
	if scale() == 1 {
		return // a change of 128 MB takes some seconds
	}
	err := tryUpdate(path, start, "wood set", func(tx *Tx) error {
		w := wood("apple", 1)
		w.Title = strings.Repeat("x", maxRecord/2)
		for i := range 2*maxChange/maxRecord + 1 {
			w.Name = fmt.Sprintf("apple-%d", i)
			if err := Put(tx, Woods, w); err != nil {
				return err
			}
		}
		return nil
	})
	if !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("a change: %v", err)
	}
	mustBeSound(t, path)
}

// An import reads a plain file, or what is sent on, up to a limit.
func TestImportsEnd(t *testing.T) {
	path := newFile(t)
	doc := export(t, path)
	other := filepath.Join(t.TempDir(), "shop.db")
	g, err := StageImport(other, "-", bytes.NewReader(doc))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := g.Place(start); err != nil {
		t.Fatal(err)
	}
	g.Discard()
	if !bytes.Equal(doc, export(t, other)) {
		t.Error("what was sent on is not what came in")
	}
	for _, from := range []string{"/dev/zero", filepath.Dir(path)} {
		var field *jobs.FieldError
		if _, err := StageImport(other, from, nil); !errors.As(err, &field) || !strings.Contains(err.Error(), "plain file") {
			t.Errorf("%s: %v", from, err)
		}
	}
	zero, err := os.Open("/dev/zero")
	if err != nil {
		t.Fatal(err)
	}
	defer zero.Close()
	if _, err := importSource(other, "-", zero, 1<<20); err == nil || !strings.Contains(err.Error(), "at most 1 MB") {
		t.Errorf("without an end: %v", err)
	}
	long := filepath.Join(t.TempDir(), "long.json")
	if err := os.WriteFile(long, make([]byte, 1<<20+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := importSource(other, long, nil, 1<<20); err == nil || !strings.Contains(err.Error(), "at most 1 MB") {
		t.Errorf("a long file: %v", err)
	}
	if got := names(t, filepath.Dir(other)); len(got) != 1 {
		t.Errorf("left %v", got)
	}
}

// Nothing is left where a copy is looked at, and a check needs no right to write
// beside the file.
func TestLooksLeaveNothing(t *testing.T) {
	path := newFile(t)
	before := names(t, filepath.Dir(path))
	mustBeSound(t, path)
	digest(t, path)
	if diff := cmp.Diff(before, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	if err := Export(path, &cutOff{}); !errors.Is(err, errCut) {
		t.Errorf("a reader that goes away: %v", err)
	}
	if diff := cmp.Diff(before, names(t, filepath.Dir(path))); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
}

var errCut = errors.New("cut off")

// cutOff is a reader that goes away, such as head.
type cutOff struct{}

func (cutOff) Write([]byte) (int, error) { return 0, errCut }
