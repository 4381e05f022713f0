package main

import (
	"bookmatch/cmd/words"
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// papersOf plays the demo into a folder and gives a function that types a
// command on its evening.
func papersOf(t *testing.T) (dir string, say func(typed ...string) string) {
	t.Helper()
	dir = t.TempDir()
	var out, noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &noise, Now: func() time.Time { return demoNow }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return filepath.Join(dir, "demo.db")
		}
		return ""
	}}
	say = func(typed ...string) string {
		t.Helper()
		out.Reset()
		noise.Reset()
		e.Code = 0
		if code := run(context.Background(), typed, e); code != words.ExitDone && code != words.ExitFound {
			t.Fatalf("bookmatch %s: exit %d: %s", strings.Join(typed, " "), code, noise.String())
		}
		return out.String()
	}
	files, err := demoFiles()
	if err != nil {
		t.Fatal(err)
	}
	for name, raw := range files.presented {
		if err := os.WriteFile(filepath.Join(dir, name), raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir, say
}

// outside runs the checker, which reads with openpyxl and reckons with
// LibreOffice. Where tests must be complete (CI is set) it has to be there.
func outside(t *testing.T, args ...string) string {
	t.Helper()
	for _, need := range [][]string{{"soffice", "--version"}, {"/usr/bin/python3", "-c", "import openpyxl"}} {
		if err := exec.Command(need[0], need[1:]...).Run(); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s does not run, but CI asks for every check: %v", strings.Join(need, " "), err)
			}
			t.Skip(need[0] + " is not installed")
		}
	}
	cmd := exec.Command("/usr/bin/python3", append([]string{"../../testdata/reports/check_workbooks.py"}, args...)...)
	var out, bad bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &bad
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s%s", err, out.String(), bad.String())
	}
	return strings.TrimSpace(out.String())
}

// Every workbook of the demo, read by openpyxl and reckoned by LibreOffice:
// cached values agree to 0.005, no cell is an error, no chart is empty or
// nameless, every sheet is one page wide with its header repeated.
func TestDemoWorkbooks(t *testing.T) {
	t.Parallel()
	if testing.Short() || os.Getenv("CI") == "" {
		t.Skip("starts LibreOffice: for CI")
	}
	dir, say := papersOf(t)
	say("report", "neck", "--out", filepath.Join(dir, "queue.xlsx"))
	say("tonight", "--until", "22:00", "--out", filepath.Join(dir, "tonight.xlsx"))
	files, err := filepath.Glob(filepath.Join(dir, "*.xlsx"))
	if err != nil || len(files) < 8 {
		t.Fatalf("%d workbooks (%v)", len(files), err)
	}
	t.Log("\n" + outside(t, files...))

	// An input changed in the workbook gives what the program gives.
	say("shop", "set", "labour", "41.50")
	var doc struct {
		Cost struct{ Total string }
	}
	if err := json.Unmarshal([]byte(say("report", "neck", "swift", "--json")), &doc); err != nil {
		t.Fatal(err)
	}
	want := doc.Cost.Total
	got := outside(t, "--set", "labour_rate=41.5", "--read", "groups|total|amount (EUR)", filepath.Join(dir, "neck-swift.xlsx"))
	if !within(got, want, 0.005) {
		t.Errorf("cost of swift at 41.50 an hour: the workbook reckons %s, the program %s", got, want)
	}
}

// TestDemoReportsFit: no line of a report is longer than a screen of 80 columns.
func TestDemoReportsFit(t *testing.T) {
	d := newDemoShop(t)
	d.columns = 0
	for _, typed := range [][]string{{"evening", "--from", "2026-01-01"}, {"neck", "swift"}, {"neck"}, {"bits"}, {"supplies"}, {"quote", "Q3"}, {"quote", "Q3", "--customer"}, {"year", "2026"}} {
		text := d.say(append([]string{"report"}, typed...)...)
		if text == "" {
			t.Errorf("%v prints nothing", typed)
		}
		for _, line := range strings.Split(text, "\n") {
			if n := len([]rune(line)); n > 80 {
				t.Errorf("%v: a line of %d: %s", typed, n, line)
			}
		}
	}
}

func within(a, b string, tol float64) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	return errX == nil && errY == nil && math.Abs(x-y) <= tol
}
