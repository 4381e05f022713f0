package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// TestHouse keeps the direction of imports. A package may import only what its
// row names; what third-party packages are kept to one room stands below.
func TestHouse(t *testing.T) {
	rooms := " costing/estimate costing/bitlife costing/stock costing/schedule costing/quote "
	may := map[string]string{ // both without bookmatch/
		"costing/money":      "",
		"layout":             "",
		"jobs":               "costing/money",
		"costing/estimate":   "costing/money jobs",
		"costing/bitlife":    "costing/money jobs",
		"costing/stock":      "costing/money jobs",
		"costing/schedule":   "costing/money jobs costing/estimate",
		"costing/quote":      "costing/money jobs costing/estimate costing/bitlife costing/stock costing/schedule",
		"jobs/store":         "costing/money jobs",
		"reports/plain":      "",
		"reports/draw":       "",
		"reports":            "costing/money layout jobs jobs/workshop reports/draw reports/plain" + rooms,
		"reports/paper":      "costing/money layout jobs reports reports/draw reports/plain",
		"reports/screen":     "jobs reports reports/plain",
		"reports/workbook":   "jobs reports reports/plain",
		"reports/reporttest": "costing/money reports",
		"jobs/workshop":      "costing/money layout jobs jobs/store" + rooms,
		"cmd/words":          "costing/money jobs jobs/workshop reports reports/plain",
		"cmd/bm":             "cmd/words",
		"cmd/bookmatch":      "costing/money layout jobs jobs/store reports reports/paper reports/plain reports/screen reports/workbook cmd/words jobs/workshop" + rooms,
	}
	only := map[string]string{ // third party -> the one package that may know it
		"go.etcd.io/bbolt":                  "bookmatch/jobs/store",
		"github.com/olekukonko/tablewriter": "bookmatch/reports/screen",
		"github.com/xuri/excelize/v2":       "bookmatch/reports/workbook",
		"codeberg.org/go-pdf/fpdf":          "bookmatch/reports/paper",
		"github.com/go-fonts/liberation":    "bookmatch/reports/paper",
		"github.com/urfave/cli/v2":          "bookmatch/cmd/words bookmatch/cmd/bookmatch",
	}
	pure := strings.Fields("jobs layout costing/money" + rooms)
	seen := 0
	for _, p := range listPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, "bookmatch/")
		row, known := may[name]
		if !known {
			t.Errorf("%s has no place in the house: give it a row in this test and in DEVELOPERS.md", p.ImportPath)
			continue
		}
		seen++
		for _, imp := range p.Imports {
			if short, own := strings.CutPrefix(imp, "bookmatch/"); own && !contains(strings.Fields(row), short) {
				t.Errorf("%s imports %s: a package may import only what stands above it (%s)", name, short, row)
			}
			for lib, room := range only {
				if (imp == lib || strings.HasPrefix(imp, lib+"/")) && !contains(strings.Fields(room), p.ImportPath) {
					t.Errorf("%s imports %s: only %s knows it", p.ImportPath, imp, room)
				}
			}
			if contains(pure, name) && (imp == "os" || imp == "io/ioutil" || imp == "os/exec" || imp == "net") {
				t.Errorf("%s imports %s: pure packages take values and give values", p.ImportPath, imp)
			}
		}
	}
	if seen != len(may) {
		t.Errorf("saw %d packages of %d", seen, len(may))
	}
}

// TestZonesAreEmbedded: a bench machine may have no zone data of its own, so the
// program carries it (package time/tzdata).
func TestZonesAreEmbedded(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "bookmatch/cmd/bookmatch").Output()
	if err != nil {
		t.Fatal(err)
	}
	if !contains(strings.Fields(string(out)), "time/tzdata") {
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

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
