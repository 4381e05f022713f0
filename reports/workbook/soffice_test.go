package workbook

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"bookmatch/reports"
	"bookmatch/reports/screen"

	"github.com/xuri/excelize/v2"
)

// office finds the independent reader and calculator. Where tests must be
// complete (CI is set) its absence is a failure. Elsewhere one test starts it: that
// takes seconds.
func office(t testing.TB) string {
	t.Helper()
	if os.Getenv("CI") == "" && t.Name() != "TestWorkbookFollowsInput" {
		t.Skip("started once without CI")
	}
	for _, name := range []string{"soffice", "libreoffice"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("LibreOffice is not installed, but CI asks for every check")
	}
	t.Skip("LibreOffice is not installed")
	return ""
}

// convert lets LibreOffice read a file and write it in another form. Its
// profile lies in the test's own folder.
func convert(t testing.TB, file, form string) string {
	t.Helper()
	bin, dir := office(t), t.TempDir()
	cmd := exec.Command(bin, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--norestore",
		"--convert-to", form, "--outdir", dir, file)
	done := make(chan error, 1)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { done <- cmd.Wait() }()
	select {
	case err := <-done:
		if err != nil {
			t.Fatalf("LibreOffice: %v\n%s", err, out.String())
		}
	case <-time.After(3 * time.Minute):
		cmd.Process.Kill()
		t.Fatal("LibreOffice did not end within three minutes")
	}
	ext, _, _ := strings.Cut(form, ":")
	made := filepath.Join(dir, strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))+"."+ext)
	if _, err := os.Stat(made); err != nil {
		t.Fatalf("LibreOffice wrote nothing: %v\n%s", err, out.String())
	}
	return made
}

// stripCache returns a copy of the workbook whose formula cells hold no
// value, so that what LibreOffice writes is its own reckoning and cannot be
// ours handed on.
func stripCache(t testing.TB, file string, change map[string]float64) string {
	t.Helper()
	f, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for y := range rows {
			for x := range rows[y] {
				at := ref(x+1, y+1)
				formula, err := f.GetCellFormula(sheet, at)
				if err != nil {
					t.Fatal(err)
				}
				if formula == "" {
					continue
				}
				if err := f.SetCellValue(sheet, at, nil); err != nil {
					t.Fatal(err)
				}
				if err := f.SetCellFormula(sheet, at, formula); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	for name, v := range change {
		found := false
		for _, d := range f.GetDefinedName() {
			if d.Name == name {
				sheet, at, _ := strings.Cut(d.RefersTo, "!")
				if err := f.SetCellValue(strings.Trim(sheet, "'"), strings.ReplaceAll(at, "$", ""), v); err != nil {
					t.Fatal(err)
				}
				found = true
			}
		}
		if !found {
			t.Fatalf("the workbook has no input named %q", name)
		}
	}
	to := filepath.Join(t.TempDir(), "bare.xlsx")
	if err := f.SaveAs(to); err != nil {
		t.Fatal(err)
	}
	return to
}

// sameRecalculated fails when a value that LibreOffice reckons differs from
// the cached one by more than 0.005, or when any cell is an error. It returns
// the number of formula cells compared.
func sameRecalculated(t testing.TB, file string) int {
	t.Helper()
	again := convert(t, stripCache(t, file, nil), "xlsx")
	ours, theirs := openBook(t, file), openBook(t, again)
	n := 0
	for _, sheet := range ours.GetSheetList() {
		rows, err := ours.GetRows(sheet, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for y := range rows {
			for x := range rows[y] {
				at := ref(x+1, y+1)
				got, err := theirs.GetCellValue(sheet, at, excelize.Options{RawCellValue: true})
				if err != nil {
					t.Fatal(err)
				}
				kind, _ := theirs.GetCellType(sheet, at)
				if kind == excelize.CellTypeError || strings.HasPrefix(got, "#") || strings.HasPrefix(got, "Err:") {
					t.Errorf("%s!%s is an error: %s", sheet, at, got)
				}
				formula, _ := ours.GetCellFormula(sheet, at)
				if formula == "" {
					continue
				}
				n++
				if !near(rows[y][x], got, 0.005) {
					t.Errorf("%s!%s =%s: cached %s, LibreOffice reckons %s", sheet, at, formula, rows[y][x], got)
				}
			}
		}
	}
	return n
}

func near(a, b string, tol float64) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX != nil || errY != nil {
		return a == b
	}
	return math.Abs(x-y) <= tol
}

func openBook(t testing.TB, file string) *excelize.File {
	t.Helper()
	f, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// writeBook puts a report into a file of the test.
func writeBook(t testing.TB, r reports.Report) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), r.Name+".xlsx")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := Write(f, r); err != nil {
		t.Fatal(err)
	}
	return file
}

// readCSV reads a table back with the standard library's reader.
func readCSV(t testing.TB, r reports.Report, table string) [][]string {
	t.Helper()
	var b bytes.Buffer
	if err := screen.CSV(&b, r, table); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
