package workbook

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/reports"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// LibreOffice is an independent reader and calculator: every cached value must
// be what it reckons from the formulas alone.
func TestWorkbookRecalculates(t *testing.T) {
	if n := sameRecalculated(t, writeBook(t, reporttest.Example())); n < 30 {
		t.Errorf("%d formula cells compared, want 30 at least", n)
	}
}

// A column wider than the paper is printed cut off: spreadsheets scale a sheet
// down until its columns fit beside each other, which a lone one always does.
func TestWorkbookColumnFitsThePaper(t *testing.T) {
	r := reports.Report{Name: "wide", Title: "Wide", Currency: "EUR", Made: reporttest.Made, Paper: reports.A4}
	r.Sections = reports.Sections(reports.Table{Name: "said", Columns: []reports.Column{{Key: "what", Header: "what", Width: 100}}, Rows: []reports.Row{{Cells: []reports.Cell{reports.Text(strings.Repeat("a long sentence ", 12))}}}})
	f := openBook(t, writeBook(t, r))
	w, err := f.GetColWidth(f.GetSheetList()[0], "A")
	if err != nil || w > columnMost {
		t.Errorf("a lone column is %g characters wide, the paper %g (%v)", w, columnMost, err)
	}
}

// An input changed in the workbook gives what the program gives for that
// input: 545 minutes at 40.00 instead of 36.50 an hour, each line rounded.
func TestWorkbookFollowsInput(t *testing.T) {
	again := openBook(t, convert(t, stripCache(t, writeBook(t, reporttest.Example()), map[string]float64{"labour_rate": 40}), "xlsx"))
	// 95, 102, 109, 116, 123 min at 40/h: 63.33 + 68.00 + 72.67 + 77.33 + 82.00
	const want = "363.33"
	got := cellByText(t, again, "Work", "total", "labour (EUR)")
	if !near(got, want, 0.005) {
		t.Errorf("labour at 40.00 an hour is %s, want %s", got, want)
	}
	cost := cellByText(t, again, "Cost", "cost", "amount (EUR)")
	if !near(cost, "422.51", 0.005) { // 363.33 + 71.58 - 12.40
		t.Errorf("cost at 40.00 an hour is %s, want 422.51", cost)
	}
}

// cellByText finds the raw value where the row that holds text meets the
// column below a header.
func cellByText(t testing.TB, f *excelize.File, sheet, text, header string) string {
	t.Helper()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	col := -1
	for _, r := range rows {
		for x, s := range r {
			if s == header {
				col = x
			}
			if s == text && col >= 0 && col < len(r) {
				return r[col]
			}
		}
	}
	t.Fatalf("sheet %s has no %q below %q", sheet, text, header)
	return ""
}

func TestWorkbookCells(t *testing.T) {
	f := openBook(t, writeBook(t, reporttest.Example()))
	raw := excelize.Options{RawCellValue: true}
	// row 4 is the header: title, subtitle, empty row stand above
	for _, c := range []struct {
		name, at, raw, shown string
		kind                 excelize.CellType
	}{
		{"date is a date: 46110 days since 1899-12-30", "A5", "46110", "2026-03-29", excelize.CellTypeUnset},
		{"text", "B5", "flush-sand", "flush-sand", excelize.CellTypeInlineString},
		{"clock in the shop's zone", "C5", "", "21:12", excelize.CellTypeUnset},
		{"instant in the shop's zone", "D5", "", "2026-03-29 22:12", excelize.CellTypeUnset},
		{"minutes are a number", "E5", "95", "95", excelize.CellTypeUnset},
		{"hours are a number", "F5", "1.583333", "1.58", excelize.CellTypeUnset},
		{"amount", "G5", "57.79", "57.79", excelize.CellTypeUnset},
		{"not recorded is said", "J7", "not recorded", "not recorded", excelize.CellTypeInlineString},
		{"text that begins like a formula", "B9", "=1+1", "=1+1", excelize.CellTypeInlineString},
		{"text that begins like an old formula", "M5", reporttest.Note, reporttest.Note, excelize.CellTypeInlineString},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _ := f.GetCellValue("Work", c.at, raw)
			if c.raw != "" && got != c.raw {
				t.Errorf("raw %q, want %q", got, c.raw)
			}
			shown, _ := f.GetCellValue("Work", c.at)
			if shown != c.shown {
				t.Errorf("shown %q, want %q", shown, c.shown)
			}
			if kind, _ := f.GetCellType("Work", c.at); kind != c.kind {
				t.Errorf("type %v, want %v", kind, c.kind)
			}
			if c.kind == excelize.CellTypeInlineString {
				if formula, _ := f.GetCellFormula("Work", c.at); formula != "" {
					t.Errorf("it is a formula: %s", formula)
				}
			}
		})
	}
	if formula, _ := f.GetCellFormula("Work", "G5"); formula != "ROUND(E5/60*labour_rate,2)" {
		t.Errorf("labour formula %q", formula)
	}
	if formula, _ := f.GetCellFormula("Work", "G10"); formula != "SUBTOTAL(9,G5:G9)" {
		t.Errorf("total formula %q", formula)
	}
}

func TestWorkbookSetUp(t *testing.T) {
	for _, paper := range []struct {
		paper reports.Paper
		code  int
	}{{reports.A4, 9}, {reports.Letter, 1}} {
		r := reporttest.Example()
		r.Paper = paper.paper
		f := openBook(t, writeBook(t, r))
		want := []string{"Work", "Cost", "Bit-s life", "Weeks", "Inputs", "How counted"}
		if d := cmp.Diff(want, f.GetSheetList()); d != "" {
			t.Fatalf("sheets (-want +got):\n%s", d)
		}
		titles := map[string]bool{}
		names := map[string]string{}
		for _, d := range f.GetDefinedName() {
			if d.Name == "_xlnm.Print_Titles" {
				titles[d.Scope] = true
			} else {
				names[d.Name] = d.RefersTo
			}
		}
		if names["labour_rate"] != "'Inputs'!$B$5" {
			t.Errorf("labour_rate is %q", names["labour_rate"])
		}
		for _, sheet := range want {
			lay, err := f.GetPageLayout(sheet)
			if err != nil {
				t.Fatal(err)
			}
			props, err := f.GetSheetProps(sheet)
			if err != nil {
				t.Fatal(err)
			}
			tall := 0
			if sheet == want[0] {
				tall = 1
			}
			if *lay.Size != paper.code || *lay.FitToWidth != 1 || *lay.FitToHeight != tall || !*props.FitToPage {
				t.Errorf("%s: paper %d, fit %d x %d, want paper %d, one page wide, the first sheet one page, the others as long as it takes", sheet, *lay.Size, *lay.FitToWidth, *lay.FitToHeight, paper.code)
			}
			if shown, err := f.GetSheetVisible(sheet); err != nil || shown == (sheet == "Cost") {
				t.Errorf("%s is shown: %v (%v); the helper of a chart is hidden, no other", sheet, shown, err)
			}
			panes, err := f.GetPanes(sheet)
			if err != nil {
				t.Fatal(err)
			}
			if !panes.Freeze || panes.YSplit == 0 {
				t.Errorf("%s: the header is not frozen", sheet)
			}
			if !titles[sheet] {
				t.Errorf("%s: the header is not repeated on paper", sheet)
			}
		}
		dvs, err := f.GetDataValidations("Inputs")
		if err != nil || len(dvs) != 2 {
			t.Errorf("%d validations on inputs, want 2 (%v)", len(dvs), err)
		}
		doc, err := f.GetDocProps()
		if err != nil {
			t.Fatal(err)
		}
		if doc.Title != r.Title || doc.Creator != "Evening bench" || doc.Created != "2026-03-29T19:12:00Z" {
			t.Errorf("document properties: %q by %q, %s", doc.Title, doc.Creator, doc.Created)
		}
	}
}

// A file for a customer holds nothing of the shop's own reckoning.
func TestWorkbookForCustomer(t *testing.T) {
	r := reporttest.Example()
	r.ForCustomer = true
	f := openBook(t, writeBook(t, r))
	for _, n := range f.GetDefinedName() {
		if strings.Contains(n.Name, "Filter") {
			t.Errorf("a customer's file has the hidden name %s", n.Name)
		}
	}
	for _, s := range f.GetSheetList() {
		if s == "How counted" {
			t.Error("a customer's file explains the shop's reckoning")
		}
	}
}

func TestWorkbookSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	if err := Write(&a, reporttest.Example()); err != nil {
		t.Fatal(err)
	}
	if err := Write(&b, reporttest.Example()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same report gave different bytes")
	}
}

// openpyxl is a second reader: it must see the same formulas, cached values,
// dates and charts.
func TestWorkbookSecondReader(t *testing.T) {
	out := reporttest.Python(t, "openpyxl", `
import sys, json, openpyxl
f = openpyxl.load_workbook(sys.argv[1]); v = openpyxl.load_workbook(sys.argv[1], data_only=True)
print(json.dumps({
 "sheets": f.sheetnames, "formula": f["Work"]["G5"].value, "cached": v["Work"]["G5"].value,
 "total": v["Work"]["G10"].value, "date": str(v["Work"]["A5"].value), "instant": str(v["Work"]["D5"].value),
 "text": v["Work"]["B9"].value, "type": v["Work"]["B9"].data_type, "filter": f["Work"].auto_filter.ref,
 "freeze": f["Work"].freeze_panes, "name": f.defined_names["labour_rate"].attr_text,
 "charts": [len(s._charts) for s in f.worksheets]}))`, writeBook(t, reporttest.Example()))
	var got map[string]any
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	want := map[string]any{
		"sheets":  []any{"Work", "Cost", "Bit-s life", "Weeks", "Inputs", "How counted"},
		"formula": "=ROUND(E5/60*labour_rate,2)", "cached": 57.79, "total": 331.55,
		"date": "2026-03-29 00:00:00", "instant": "2026-03-29 22:12:00", "text": "=1+1", "type": "s",
		"filter": "$A$4:$M$9", "freeze": "A5", "name": "'Inputs'!$B$5",
		"charts": []any{1.0, 0.0, 2.0, 2.0, 0.0, 0.0},
	}
	// 57.79 + 62.05 + 66.31 + 70.57 + 74.83: the printed lines added, to the cent
	if d := cmp.Diff(want, got, cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })); d != "" {
		t.Errorf("openpyxl (-want +got):\n%s", d)
	}
}

// On paper each sheet is one page wide and the first sheet is one page: LibreOffice
// prints as many pages as the others need in length, no second column of pages, and
// no hidden sheet.
func TestWorkbookPrints(t *testing.T) {
	pdf := convert(t, writeBook(t, reporttest.Example()), "pdf")
	b, err := os.ReadFile(pdf)
	if err != nil {
		t.Fatal(err)
	}
	pages := len(regexp.MustCompile(`/Type\s*/Page[^s]`).FindAll(b, -1))
	if pages != 6 { // the weeks' charts go on a page of their own
		t.Errorf("%d pages, want 6", pages)
	}
	second, err := exec.Command("pdftotext", "-f", "2", "-l", "2", pdf, "-").Output()
	if want := reporttest.Example().Tables()[2].Title; err != nil || !strings.Contains(string(second), want) {
		t.Errorf("the second page is not %q (%v):\n%s", want, err, second)
	}
}

func TestWorkbookRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*reports.Report){
		"no table":     func(r *reports.Report) { r.Sections, r.Inputs, r.Counted = nil, nil, nil },
		"double table": func(r *reports.Report) { r.Add(*r.Tables()[0]) },
		"unknown column": func(r *reports.Report) {
			r.Tables()[0].Rows[0].Cells[6] = reports.Money(money.MustParse("1")).Live("{nothing}")
		},
		"unknown row": func(r *reports.Report) {
			r.Tables()[0].Rows[0].Cells[6] = reports.Money(money.MustParse("1")).Live("{holes@nothing}")
		},
		"formula of text":   func(r *reports.Report) { r.Tables()[0].Rows[0].Cells[1] = reports.Text("x").Live("1+1") },
		"chart of nothing":  func(r *reports.Report) { r.Tables()[0].Charts[0].Series[0].Y = "nothing" },
		"nameless axis":     func(r *reports.Report) { r.Tables()[0].Charts[0].XTitle = "" },
		"input like a cell": func(r *reports.Report) { r.Inputs[0].Name = "ab1" },
		"too many cells":    func(r *reports.Report) { r.Tables()[0].Add(make([]reports.Cell, 20)...) },
		"fewer rows than said": func(r *reports.Report) {
			r.Tables()[0].Stream, r.Tables()[0].Len = func(func(reports.Row) bool) {}, 3
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := reporttest.Example()
			spoil(&r)
			if err := Write(new(bytes.Buffer), r); err == nil {
				t.Error("it was written")
			}
		})
	}
}

func TestEmptyTableIsSaid(t *testing.T) {
	r := reporttest.Example()
	r.Tables()[2].Rows, r.Tables()[2].Empty = nil, "no edge has been closed yet"
	file := writeBook(t, r)
	f := openBook(t, file)
	if got, _ := f.GetCellValue("Bit-s life", "A5"); got != "no edge has been closed yet" {
		t.Errorf("the empty sheet says %q", got)
	}
	if n := fullCharts(t, file); n != 4 {
		t.Errorf("%d charts, want 4: nothing to draw where there is no row", n)
	}
}

// Twelve rows of a stream look like twelve rows of a slice.
func TestStreamEqualsRows(t *testing.T) {
	slice, stream := reporttest.Example(), reporttest.Example()
	rows := stream.Tables()[0].Rows
	stream.Tables()[0].Rows, stream.Tables()[0].Len = nil, len(rows)
	stream.Tables()[0].Stream = func(yield func(reports.Row) bool) {
		for _, r := range rows {
			if !yield(r) {
				return
			}
		}
	}
	for name, write := range map[string]func(*bytes.Buffer, reports.Report) error{
		"csv":      func(b *bytes.Buffer, r reports.Report) error { return screen.CSV(b, r, "") },
		"terminal": func(b *bytes.Buffer, r reports.Report) error { return screen.Screen{}.Print(b, r) },
	} {
		var a, b bytes.Buffer
		if err := write(&a, slice); err != nil {
			t.Fatal(err)
		}
		if err := write(&b, stream); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(a.String(), b.String()); d != "" {
			t.Errorf("%s (-slice +stream):\n%s", name, d)
		}
	}
	f := openBook(t, writeBook(t, stream))
	if got := cellByText(t, f, "Work", "total", "labour (EUR)"); !near(got, "331.55", 1e-9) {
		t.Errorf("streamed total %s, want 331.55", got)
	}
}

// A row may be 409 points tall at most; a long note stopped the whole
// workbook. The limit is the one of the library below us and of common readers.
func TestWorkbookLongText(t *testing.T) {
	long := strings.Repeat("the drum was worn and the grain ran out, ", 120)
	r := reports.Report{Name: "long", Title: "Long", Made: reporttest.Made}
	tab := reports.Table{Name: "said", Columns: []reports.Column{{Key: "what", Header: strings.Repeat("head ", 300), Width: 8}, {Key: "note", Header: "note", Width: 20}}}
	tab.Add(reports.Text("drill"), reports.Text(long))
	r.Add(tab)
	f := openBook(t, writeBook(t, r))
	rows, err := f.GetRows("said")
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for y, cells := range rows {
		for _, c := range cells {
			found = found || c == long
		}
		if h, _ := f.GetRowHeight("said", y+1); h > tallest {
			t.Errorf("row %d is %g points tall, the most is %g", y+1, h, tallest)
		}
	}
	if !found {
		t.Error("the note is not whole")
	}
}

// A total that another sheet takes is added up again there: SUBTOTAL would follow a
// filter. Within its own sheet it follows.
func TestTotalsOfOtherSheets(t *testing.T) {
	cost := &reports.Table{Name: "cost", Columns: []reports.Column{{Key: "what"}, {Key: "amount", Sum: true, Kind: reports.KindMoney}}}
	for _, s := range []reports.RowStyle{reports.Plain, reports.Plain, reports.Sub, reports.Plain} {
		cost.Rows = append(cost.Rows, reports.Row{Style: s})
	}
	there := &place{sheet: "what it cost", table: cost, first: 5, last: 8, keys: map[string]int{"total": 9, "wood": 6}}
	here := &place{sheet: "price", table: &reports.Table{Name: "price"}}
	places := map[string]*place{"cost": there, "price": here}
	for formula, want := range map[string]string{
		"{cost/amount@total}*2": "SUM('what it cost'!$B$5:$B$6,'what it cost'!$B$8:$B$8)*2",
		"{cost/amount@wood}":    "'what it cost'!$B$6",
		"SUM({cost/amount:})":   "SUM('what it cost'!$B$5:$B$8)",
	} {
		if got, err := resolve(formula, here, 3, places); got != want || err != nil {
			t.Errorf("%s gives %s (%v), want %s", formula, got, err, want)
		}
	}
	if got, want := there.totalFormula(2), "SUBTOTAL(9,B5:B6,B8:B8)"; got != want {
		t.Errorf("its own total is %s, want %s", got, want)
	}
}
