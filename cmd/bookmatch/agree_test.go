package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/screen"
	"bookmatch/reports/workbook"
)

// TestOneAnswerEverywhere types every reading command in the demo's shop. Its
// --json is the encoded result. Every table of its report holds the same cells on
// the screen, alone, as CSV and as a workbook.
func TestOneAnswerEverywhere(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	lines := reading()
	for _, c := range readers(t) {
		for _, line := range lines[c.Path] {
			typed := append(strings.Fields(c.Path), d.line(line)...)
			t.Run(strings.ReplaceAll(strings.TrimSpace(c.Path+" "+line), "/", "-"), func(t *testing.T) {
				d.t = t
				text := d.say(typed...)
				res, view, shown := d.res, d.view, d.shown
				if res == nil {
					t.Fatal("no view was asked")
				}
				if c.Draw == nil {
					if got, want := d.say(append(typed, "--json")...), encoded(t, res); got != want {
						t.Errorf("--json prints\n%.400s\nthe result is\n%.400s", got, want)
					}
				}
				full := view(res).At(reports.Full)
				if c.Out && len(full.Tables()) > 0 {
					sameAsTyped(t, d, typed, full)
				}
				sameTables(t, full)
				sameOnScreen(t, text, shown, full)
			})
		}
	}
}

// sameAsTyped compares what --table and --out give with the report, for its last
// table.
func sameAsTyped(t *testing.T, d *demoShop, typed []string, full reports.Report) {
	t.Helper()
	tab := full.Tables()[len(full.Tables())-1]
	name := tab.Name
	holds(t, "--table "+name, d.say(append(typed, "--table", name)...), full, tab)
	file := filepath.Join(d.dir, "t.csv")
	d.say(append(typed, "--table", name, "--out", file, "--force")...)
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var want bytes.Buffer
	if err := screen.CSV(&want, full, name); err != nil || !bytes.Equal(got, want.Bytes()) {
		t.Errorf("--table %s --out t.csv writes\n%.300s\nthe report holds\n%.300s (%v)", name, got, want.String(), err)
	}
}

// sameTables compares the CSV, the workbook and the plain table cell by cell.
func sameTables(t *testing.T, r reports.Report) {
	t.Helper()
	if len(r.Tables()) == 0 {
		return
	}
	var book bytes.Buffer
	if err := workbook.Write(&book, r); err != nil {
		t.Fatal(err)
	}
	for _, tab := range r.Tables() {
		rows := slices.DeleteFunc(slices.Collect(tab.All()), func(r reports.Row) bool { return r.Style == reports.Group })
		var b bytes.Buffer
		if err := screen.CSV(&b, r, tab.Name); err != nil {
			t.Fatal(err)
		}
		lines, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(lines) != len(rows)+1 {
			t.Errorf("%s: %d lines of CSV for %d rows (%v)", tab.Name, len(lines), len(rows), err)
			continue
		}
		cells := sheetCells(t, book.Bytes(), *tab)
		for i, row := range rows {
			for k, col := range tab.Columns {
				shown := r.Format().Show(row.At(k), col)
				if why := differ(row.At(k), lines[i+1][k], cells[i][k], shown, r.Location()); why != "" {
					t.Errorf("%s row %d %s: CSV %q, workbook %q, screen %q: %s", tab.Name, i+1, col.Key, lines[i+1][k], cells[i][k], shown, why)
				}
			}
		}
		var out bytes.Buffer
		alone := r
		alone.Sections = reports.Sections(*tab)
		if err := (screen.Screen{Width: screen.Widest, Bare: true}).Print(&out, alone); err != nil {
			t.Fatal(err)
		}
		holds(t, "the table "+tab.Name, out.String(), r, tab)
	}
}

// sameOnScreen compares the tables that were printed with those of the full
// report: the text holds every cell, and columns of the same key hold the same.
func sameOnScreen(t *testing.T, text string, shown, full reports.Report) {
	t.Helper()
	for _, tab := range shown.Tables() {
		if tab.SheetOnly && len(shown.Tables()) > 1 {
			continue
		}
		holds(t, "the screen's "+tab.Name, text, shown, tab)
		whole := full.Table(tab.Name)
		if whole == nil || whole.Size() != tab.Size() {
			continue
		}
		rows := slices.Collect(whole.All())
		i := 0
		for row := range tab.All() {
			for k, col := range tab.Columns {
				j := whole.Index(col.Key)
				if j < 0 {
					continue
				}
				a, b := shown.Format().Show(row.At(k), col), full.Format().Show(rows[i].At(j), whole.Columns[j])
				if a != b {
					t.Errorf("%s row %d %s: the screen shows %q, the full report %q", tab.Name, i+1, col.Key, a, b)
				}
			}
			i++
		}
	}
}

// holds says whether a text has the letters of every cell of a table that belongs
// on a screen. Lines are broken anywhere, so letters are counted.
func holds(t *testing.T, what, text string, r reports.Report, tab *reports.Table) {
	t.Helper()
	if tab.Size() == 0 {
		return
	}
	got := map[rune]int{}
	for _, c := range text {
		got[c]++
	}
	want := map[rune]int{}
	for _, row := range append(slices.Collect(tab.All()), tab.Tail(r.Currency)...) {
		for k, col := range tab.Columns {
			if col.SheetOnly {
				continue
			}
			s := r.Format().Show(row.At(k), col)
			for _, c := range s {
				want[c]++
			}
			if word, _, _ := strings.Cut(s, " "); len([]rune(word)) <= 6 && !strings.Contains(text, word) {
				t.Errorf("%s lacks %q of column %s", what, word, col.Key)
			}
		}
	}
	for c, n := range want {
		if !unicode.IsSpace(c) && got[c] < n {
			t.Errorf("%s lacks a cell: %d of %d letters %q", what, got[c], n, c)
			return
		}
	}
}

// sheetCells gives the raw data cells of a table's sheet, without headings inside
// the table.
func sheetCells(t *testing.T, book []byte, tab reports.Table) [][]string {
	t.Helper()
	name := strings.TrimSpace(regexp.MustCompile(`[:\\/?*\[\]']`).ReplaceAllString(plain.Clean(tab.Name), "-"))
	var all [][]string
	_, err := workbook.Read(book, name, func(_ int, cells []string) error {
		all = append(all, slices.Clone(cells))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	head := slices.IndexFunc(all, func(r []string) bool {
		return !slices.ContainsFunc(tab.Columns, func(c reports.Column) bool { return c.Head() != "" && !slices.Contains(r, plain.Clean(c.Head())) })
	})
	if head < 0 {
		t.Fatalf("sheet %s has no header", name)
	}
	var out [][]string
	at := head + 1
	for row := range tab.All() {
		cells := make([]string, len(tab.Columns))
		if at < len(all) {
			copy(cells, all[at])
		}
		if at++; row.Style != reports.Group {
			out = append(out, cells)
		}
	}
	return out
}

var figure = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?`)

// differ says how the CSV, the workbook and the shown words of a cell differ, ""
// if they hold the same.
func differ(c reports.Cell, line, cell, shown string, zone *time.Location) string {
	switch {
	case c.IsMissing():
		if line != "" || cell != shown {
			return "not recorded is not so everywhere"
		}
	case c.IsEmpty():
		if line != "" || cell != "" || shown != "" {
			return "an empty cell is not empty everywhere"
		}
	case c.IsNumber():
		a, errA := strconv.ParseFloat(line, 64)
		b, errB := strconv.ParseFloat(cell, 64)
		if errA != nil || errB != nil || math.Abs(a-b) > 1e-9*max(1, math.Abs(a)) {
			return "numbers differ"
		}
		if c.Kind() == reports.KindChance || c.Kind() == reports.KindShare {
			a *= 100
		}
		if shown == "none" || strings.HasPrefix(shown, "under 1 ") || strings.HasPrefix(shown, "over 99 ") {
			return ""
		}
		f := figure.FindString(shown)
		s, err := strconv.ParseFloat(f, 64)
		_, after, _ := strings.Cut(f, ".")
		places := len(after)
		if c.Kind() == reports.KindQuantity { // zeros at the end are dropped
			places = max(places, 2)
		}
		if err != nil || math.Abs(s-a) > 0.5*math.Pow(10, -float64(places))+1e-9 {
			return "the screen shows another number"
		}
	case c.Kind() == reports.KindText:
		if strings.TrimPrefix(line, "'") != strings.TrimPrefix(cell, "'") || cell != shown {
			return "texts differ"
		}
	case c.Kind() == reports.KindFlag:
		if (line == "true") != (cell == "yes") || cell != shown {
			return "yes and no differ"
		}
	default:
		days, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			return err.Error()
		}
		// ECMA-376 part 1, 18.17.4: days since 1899-12-30.
		wall := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Add(time.Duration(math.Round(days*86400)) * time.Second)
		form := map[reports.Kind]string{reports.KindDate: time.DateOnly, reports.KindInstant: "2006-01-02 15:04", reports.KindClock: "15:04"}[c.Kind()]
		if line != wall.Format(time.DateOnly) {
			at, err := time.Parse(time.RFC3339, line)
			if err != nil || at.In(zone).Format(time.DateTime) != wall.Format(time.DateTime) {
				return fmt.Sprintf("the workbook's %s is another moment", wall.Format(time.DateTime))
			}
		}
		if wall.Format(form) != shown {
			return "the screen shows another moment"
		}
	}
	return ""
}

// TestTheSameVerbAnswersTheSame: two commands of one verb print the same JSON.
func TestTheSameVerbAnswersTheSame(t *testing.T) {
	d := newDemoShop(t)
	for _, c := range [][2]string{
		{"neck show swift", "report neck swift"}, {"neck show finch", "report neck finch"}, {"quote show Q3", "report quote Q3"}, {"quote show Q5", "report quote Q5"},
		{"evening show EVENING", "report evening EVENING"}, {"evening show", "report evening"}, {"bit list", "report bits"}, {"supply list", "report supplies"},
	} {
		a, b := d.say(append(d.line(c[0]), "--json")...), d.say(append(d.line(c[1]), "--json")...)
		if a != b || len(a) < 100 {
			t.Errorf("%s --json prints\n%.300s\n%s --json prints\n%.300s", c[0], a, c[1], b)
		}
	}
}
