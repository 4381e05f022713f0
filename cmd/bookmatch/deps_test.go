package main

import (
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// house gives for each package what it may import, without "bookmatch/". A row
// that ends in "?" is of a package that need not be there.
func house() map[string]string {
	const rooms = " costing/estimate costing/bitlife costing/stock costing/schedule costing/quote"
	return map[string]string{
		"costing/money":      "",
		"layout":             "",
		"jobs":               "costing/money",
		"costing/estimate":   "jobs",
		"costing/bitlife":    "costing/money jobs",
		"costing/stock":      "costing/money jobs",
		"costing/schedule":   "jobs costing/estimate",
		"costing/quote":      "costing/money jobs costing/estimate costing/bitlife costing/stock costing/schedule",
		"jobs/store":         "costing/money jobs",
		"jobs/workshop":      "costing/money layout jobs jobs/store" + rooms,
		"reports/plain":      "",
		"reports/draw":       "",
		"reports":            "costing/money layout jobs jobs/workshop reports/draw reports/plain costing/bitlife costing/stock costing/quote",
		"reports/paper":      "layout jobs jobs/workshop reports reports/draw reports/plain",
		"reports/screen":     "jobs reports reports/plain",
		"reports/workbook":   "jobs reports reports/plain",
		"reports/html":       "reports reports/draw reports/plain reports/paper",
		"reports/reporttest": "costing/money reports reports/draw",
		"cmd/words":          "costing/money jobs jobs/workshop reports reports/plain",
		"cmd/bm":             "cmd/words",
		"cmd/page":           "costing/money layout jobs jobs/workshop reports reports/html reports/paper reports/workbook cmd/words",
		"cmd/bookmatch":      "jobs jobs/workshop reports reports/paper reports/plain reports/screen reports/workbook reports/draw cmd/words cmd/page",
	}
}

// libraries gives for each third-party module the packages that may know it.
func libraries() map[string]string {
	return map[string]string{
		"go.etcd.io/bbolt":                     "jobs/store",
		"github.com/olekukonko/tablewriter":    "reports/screen",
		"github.com/xuri/excelize/v2":          "reports/workbook",
		"codeberg.org/go-pdf/fpdf":             "reports/paper",
		"rsc.io/qr":                            "reports/draw",
		"github.com/go-fonts/liberation":       "reports/paper",
		"golang.org/x/image":                   "reports/paper",
		"golang.org/x/text":                    "reports/paper",
		"github.com/clipperhouse/displaywidth": "reports/plain",
		"github.com/clipperhouse/uax29/v2":     "reports/plain",
		"github.com/google/renameio/v2":        "reports",
		"github.com/pelletier/go-toml/v2":      "layout",
		"golang.org/x/term":                    "cmd/words",
		"github.com/urfave/cli/v2":             "cmd/words cmd/bookmatch",
		"gonum.org/v1/gonum":                   "layout costing/estimate costing/bitlife costing/stock",
		"github.com/shopspring/decimal":        "costing/money costing/bitlife costing/stock costing/quote jobs jobs/store jobs/workshop reports reports/workbook cmd/words",
	}
}

// TestHouse keeps the direction of imports. A package may import only what its
// row names, and a library only the packages of its own row know.
func TestHouse(t *testing.T) {
	may, libs := house(), libraries()
	pure := strings.Fields("jobs layout costing/money costing/estimate costing/bitlife costing/stock costing/schedule costing/quote")
	seen := map[string]bool{}
	for _, p := range listPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, "bookmatch/")
		row, known := may[name]
		if !known {
			t.Errorf("%s has no place in the house: give it a row in this test and in DEVELOPERS.md", p.ImportPath)
			continue
		}
		seen[name] = true
		for _, imp := range p.Imports {
			if short, own := strings.CutPrefix(imp, "bookmatch/"); own {
				if !slices.Contains(strings.Fields(row), short) {
					t.Errorf("%s imports %s: a package may import only what stands above it (%s)", name, short, row)
				}
			} else if strings.Contains(strings.Split(imp, "/")[0], ".") {
				lib := slices.IndexFunc(slices.Sorted(maps.Keys(libs)), func(l string) bool { return imp == l || strings.HasPrefix(imp, l+"/") })
				if lib < 0 {
					t.Errorf("%s imports %s: no row says who may know this library", name, imp)
				} else if rooms := libs[slices.Sorted(maps.Keys(libs))[lib]]; !slices.Contains(strings.Fields(rooms), name) {
					t.Errorf("%s imports %s: only %s knows it", name, imp, rooms)
				}
			}
			if slices.Contains(pure, name) && slices.Contains([]string{"os", "os/exec", "net", "net/http", "math/rand", "io/ioutil"}, imp) {
				t.Errorf("%s imports %s: pure packages take values and give values", name, imp)
			}
		}
	}
	for name, row := range may {
		if !seen[name] && !strings.HasSuffix(row, "?") {
			t.Errorf("%s is not there, but has a row", name)
		}
	}
}

// TestCommandsHoldNoRules reads the source of the commands: they write no record,
// build no table and ask no clock of their own. Verbs and views do that.
func TestCommandsHoldNoRules(t *testing.T) {
	not := map[string]string{
		"store.":         "a verb of jobs/workshop reads and writes records",
		"reports.Table{": "a view of reports builds tables",
		"reports.Build":  "a view of reports builds tables",
		"reports.Col[":   "a view of reports builds tables",
	}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		raw, err := os.ReadFile(path)
		for i, line := range strings.Split(string(raw), "\n") {
			code, _, _ := strings.Cut(line, "//")
			for words, why := range not {
				if strings.Contains(code, words) {
					t.Errorf("%s:%d: %s: %s", path, i+1, words, why)
				}
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestPureFilesAskNoClock: no pure package asks for the time of day.
func TestPureFilesAskNoClock(t *testing.T) {
	for _, dir := range []string{"jobs", "layout", "costing"} {
		err := filepath.WalkDir(filepath.Join("..", "..", dir), func(path string, d fs.DirEntry, err error) error {
			if d.IsDir() && (d.Name() == "store" || d.Name() == "workshop") {
				return filepath.SkipDir
			}
			if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			raw, err := os.ReadFile(path)
			if strings.Contains(string(raw), "time.Now") {
				t.Errorf("%s asks for the time of day", path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// TestZonesAreEmbedded: a bench machine may have no zone data of its own, so the
// program carries it (package time/tzdata).
func TestZonesAreEmbedded(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "bookmatch/cmd/bookmatch").Output()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(strings.Fields(string(out)), "time/tzdata") {
		t.Error("the program does not carry zone data")
	}
}

type goPackage struct {
	ImportPath string
	Imports    []string
}

func listPackages(t *testing.T) []goPackage {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "bookmatch/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []goPackage
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p goPackage
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}
