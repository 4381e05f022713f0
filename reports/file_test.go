package reports_test

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"bookmatch/reports"
)

func TestWriteFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.xlsx")
	put := func(s string, force bool, fail error) error {
		return reports.WriteFile(path, force, func(w io.Writer) error {
			fmt.Fprint(w, s)
			return fail
		})
	}
	read := func() string { b, _ := os.ReadFile(path); return string(b) }
	if err := put("first", false, nil); err != nil || read() != "first" {
		t.Fatalf("%v, file holds %q", err, read())
	}
	if err := put("second", false, nil); err == nil || read() != "first" {
		t.Errorf("overwritten without force: %v, %q", err, read())
	}
	if err := put("broken", true, os.ErrDeadlineExceeded); err == nil || read() != "first" {
		t.Errorf("a failed write left %q (%v)", read(), err)
	}
	if err := put("third", true, nil); err != nil || read() != "third" {
		t.Errorf("%v, file holds %q", err, read())
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*")); len(left) != 1 {
		t.Errorf("temporary files stay: %v", left)
	}
	if err := reports.WriteFile(filepath.Dir(path), true, nil); err == nil {
		t.Error("a folder was replaced")
	}
}
