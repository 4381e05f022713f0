package reports

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"
	"testing"

	"bookmatch/reports/plain"

	"github.com/google/go-cmp/cmp"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/xuri/excelize/v2"
)

// Every line fits, with and without colour, whatever the names are.
func TestTerminalFits(t *testing.T) {
	for _, width := range []int{80, 60, 40} {
		for _, color := range []bool{false, true} {
			var b bytes.Buffer
			if err := (Terminal{Width: width, Color: color}).Print(&b, sample()); err != nil {
				t.Fatal(err)
			}
			for _, l := range strings.Split(b.String(), "\n") {
				if n := twwidth.WidthWithOptions(l, twwidth.Options{}); n > width { // without escape codes
					t.Errorf("%d columns, color %v: line of %d: %q", width, color, n, l)
				}
				if strings.HasSuffix(l, " ") {
					t.Errorf("line ends in a space: %q", l)
				}
			}
			if !color && strings.Contains(b.String(), "\x1b") {
				t.Error("an escape sequence without colour")
			}
		}
	}
}

// Taking the colours off gives the plain print: nothing is said by colour alone.
func TestTerminalColorAddsNothing(t *testing.T) {
	var plain, colored bytes.Buffer
	r := sample()
	r.Tables[0].Rows[0].Cells[9] = Chance(0.9).In(Bad)
	if err := (Terminal{}).Print(&plain, r); err != nil {
		t.Fatal(err)
	}
	if err := (Terminal{Color: true}).Print(&colored, r); err != nil {
		t.Fatal(err)
	}
	s := colored.String()
	if !strings.Contains(s, "\x1b[31m") {
		t.Error("the bad figure is not red")
	}
	for _, code := range []string{"\x1b[0m", "\x1b[1m", "\x1b[31m", "\x1b[1;31m"} {
		s = strings.ReplaceAll(s, code, "")
	}
	squeeze := func(s string) string {
		var out []string
		for _, l := range strings.Split(s, "\n") {
			out = append(out, strings.TrimRight(l, " "))
		}
		return strings.Join(out, "\n")
	}
	if d := cmp.Diff(plain.String(), squeeze(s)); d != "" {
		t.Errorf("(-plain +colour without its codes):\n%s", d)
	}
}

func TestWantColor(t *testing.T) {
	env := func(kv ...string) func(string) string {
		return func(k string) string {
			for i := 0; i < len(kv); i += 2 {
				if kv[i] == k {
					return kv[i+1]
				}
			}
			return ""
		}
	}
	if !WantColor(true, env()) || WantColor(false, env()) || WantColor(true, env("NO_COLOR", "1")) || WantColor(true, env("TERM", "dumb")) {
		t.Error("colour belongs on a terminal only, and never where NO_COLOR or a dumb terminal says no")
	}
}

func TestTerminalPrint(t *testing.T) {
	r := Report{Name: "steps", Title: "Steps", Currency: "EUR", Made: made}
	tab := Table{Name: "Steps", Title: "Steps", Subtitle: "three steps of one neck", Columns: []Column{
		{Key: "what", Header: "what"}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "cost", Header: "cost", Unit: "EUR", Kind: KindMoney, Sum: true}, {Key: "dull", Header: "dull", Kind: KindChance},
		{Key: "hidden", Header: "hidden", SheetOnly: true}, {Key: "note", Header: "note", Max: 22}}}
	tab.Add(Text("flush-sand 日本"), MinutesOf(95), Money(moneyOf("12.345")), Chance(0.003), Text("x"), Text("the drum was worn, ask for grit 120"))
	tab.Add(Text("drill\x1b[31m"), NotRecorded(), Money(moneyOf("2.345")), Chance(0.734))
	tab.Footer = []Row{R(Text("longest"), MinutesOf(95))}
	tab.Note("Likely times are medians; they do not add up to the job.")
	r.Tables = []Table{tab}
	var b bytes.Buffer
	if err := (Terminal{}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	want := `Steps
three steps of one neck
                                cost
what             likely (min)  (EUR)       dull  note
───────────────────────────────────────────────────────────────────────
flush-sand 日本            95  12.35  under 1 %  the drum was worn, ask
                                                 for grit 120
drill�[31m       not recorded   2.35       73 %
───────────────────────────────────────────────────────────────────────
longest                    95
total                      95  14.70

Likely times are medians; they do not add up to the job.
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// RFC 4180, section 2: records end in CRLF, fields with comma, quote or line
// end are quoted, quotes inside are doubled. Python's csv is the other reader.
func TestCSV(t *testing.T) {
	r := sample()
	r.Tables[0].Rows[1].Cells[12] = Text("say \"no\", then\nwait")
	var b bytes.Buffer
	if err := CSV(&b, r, ""); err != nil {
		t.Fatal(err)
	}
	if strings.Count(b.String(), "\r\n") != 6 || strings.Contains(strings.ReplaceAll(b.String(), "\r\n", ""), "\n") {
		t.Errorf("records must end in CRLF:\n%q", b.String())
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"2026-03-30", "drill", "2026-03-30T23:12:00+02:00", "2026-03-31T00:12:00+02:00", "102", "1.7", "62.05", "6", "10.583333", "0.304", "0.25", "false", `say "no", then wait`}
	if d := cmp.Diff(want, rows[2]); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if rows[5][1] != "'=1+1" || rows[1][12] != "'"+sampleNote {
		t.Errorf("text that a spreadsheet would run: %q, %q", rows[5][1], rows[1][12])
	}
	if rows[3][9] != "" {
		t.Errorf("not recorded must be empty, is %q", rows[3][9])
	}
	file := t.TempDir() + "/t.csv"
	if err := WriteFile(file, false, bytesTo(b.Bytes())); err != nil {
		t.Fatal(err)
	}
	out := python(t, "csv", `
import sys, csv, json
print(json.dumps(list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True))))`, file)
	var theirs [][]string
	if err := json.Unmarshal([]byte(out), &theirs); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(rows, theirs); d != "" {
		t.Errorf("Python reads (-ours +theirs):\n%s", d)
	}
}

// The same figures in CSV, JSON and the workbook, cell by cell.
func TestSameFiguresEverywhere(t *testing.T) { sameFigures(t, sample()) }

func sameFigures(t *testing.T, r Report) {
	t.Helper()
	var b bytes.Buffer
	if err := JSON(&b, r); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Currency string
		Tables   map[string]struct {
			Rows  []map[string]any
			Total map[string]any
		}
	}
	dec := json.NewDecoder(&b)
	dec.UseNumber()
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	book := openBook(t, writeBook(t, r))
	for _, tab := range r.Tables {
		lines := readCSV(t, r, tab.Name)
		rows := doc.Tables[tab.Name].Rows
		if len(lines)-1 != len(rows) {
			t.Errorf("%s: %d rows in CSV, %d in JSON", tab.Name, len(lines)-1, len(rows))
			continue
		}
		cells := sheetRows(t, book, sheetName(tab.Name), tab)
		n := 0
		for i, row := range tab.Rows {
			if row.Style == Group {
				continue
			}
			for k, c := range tab.Columns {
				j, s := rows[n][c.Key], lines[n+1][k]
				switch x := j.(type) {
				case json.Number:
					if x.String() != s {
						t.Errorf("%s row %d %s: JSON %s, CSV %s", tab.Name, i, c.Key, x, s)
					}
				case string:
					if c.Kind == KindMoney && x != s {
						t.Errorf("%s row %d %s: JSON %s, CSV %s", tab.Name, i, c.Key, x, s)
					}
				case nil:
					if s != "" {
						t.Errorf("%s row %d %s: JSON null, CSV %q", tab.Name, i, c.Key, s)
					}
				}
				if row.At(k).isNumber() && !near(cells[i][k], s, 1e-9) {
					t.Errorf("%s row %d %s: workbook %s, CSV %s", tab.Name, i, c.Key, cells[i][k], s)
				}
			}
			n++
		}
	}
}

// sheetRows gives the raw data cells of a sheet, below its header.
func sheetRows(t *testing.T, f *excelize.File, sheet string, tab Table) [][]string {
	t.Helper()
	all, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	for y, r := range all {
		if len(r) > 0 && r[0] == plain.Clean(tab.Columns[0].Head()) {
			out := make([][]string, len(tab.Rows))
			for i := range out {
				out[i] = make([]string, len(tab.Columns))
				if y+1+i < len(all) {
					copy(out[i], all[y+1+i])
				}
			}
			return out
		}
	}
	t.Fatalf("sheet %s has no header", sheet)
	return nil
}

func TestJSONForm(t *testing.T) {
	var b bytes.Buffer
	if err := JSON(&b, sample()); err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if doc["currency"] != "EUR" || doc["made"] != "2026-03-29T19:12:00Z" || doc["zone"] != "Europe/Berlin" {
		t.Errorf("head: %v %v %v", doc["currency"], doc["made"], doc["zone"])
	}
	work := doc["tables"].(map[string]any)["Work"].(map[string]any)
	row := work["rows"].([]any)[2].(map[string]any)
	if row["labour"] != "66.31" || row["elapsed_min"] != 109.0 || row["dull"] != nil || row["ok"] != true {
		t.Errorf("row: %v", row)
	}
	if total := work["total"].(map[string]any); total["labour"] != "331.55" || total["elapsed_min"] != 545.0 {
		t.Errorf("total: %v", total)
	}
	if in := doc["inputs"].(map[string]any); in["labour_rate"] != "36.50" {
		t.Errorf("inputs: %v", in)
	}
}

// A chance is never "0 %" and never "100 %"; a share that is nothing says so.
func TestPercents(t *testing.T) {
	for f, want := range map[float64]string{0: "under 1 %", 0.0099: "under 1 %", 0.01: "1 %", 0.155: "16 %", 0.99: "99 %", 0.9999: "over 99 %", 1: "over 99 %"} {
		if got := ChanceText(f); got != want {
			t.Errorf("chance %v is %q, want %q", f, got, want)
		}
	}
	for f, want := range map[float64]string{0: "none", 0.004: "under 1 %", 0.5: "50 %", 1: "100 %", -0.05: "-5 %"} {
		if got := (view{}).show(Share(f), Column{Kind: KindShare}); got != want {
			t.Errorf("share %v is %q, want %q", f, got, want)
		}
	}
	for _, x := range []float64{0, 0.3, 1} {
		if s := strconv.FormatFloat(x, 'f', -1, 64); Chance(x).dec.String() != s {
			t.Errorf("chance %v is held as %s", x, Chance(x).dec)
		}
	}
}

func bytesTo(b []byte) func(io.Writer) error {
	return func(w io.Writer) error { _, err := w.Write(b); return err }
}
