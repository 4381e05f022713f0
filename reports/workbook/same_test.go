package workbook

import (
	"slices"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"

	"github.com/xuri/excelize/v2"
)

// The same figures in CSV and the workbook, cell by cell.
func TestSameFiguresEverywhere(t *testing.T) { sameFigures(t, reporttest.Example()) }

func sameFigures(t *testing.T, r reports.Report) {
	t.Helper()
	book := openBook(t, writeBook(t, r))
	for _, tab := range r.Tables() {
		lines := readCSV(t, r, tab.Name)
		if n := len(slices.DeleteFunc(slices.Clone(tab.Rows), func(r reports.Row) bool { return r.Style == reports.Group })); len(lines)-1 != n {
			t.Errorf("%s: %d rows in CSV, %d in the report", tab.Name, len(lines)-1, n)
			continue
		}
		cells := sheetRows(t, book, sheetName(tab.Name), *tab)
		n := 0
		for i, row := range tab.Rows {
			if row.Style == reports.Group {
				continue
			}
			for k, c := range tab.Columns {
				s := lines[n+1][k]
				if row.At(k).IsNumber() && !near(cells[i][k], s, 1e-9) {
					t.Errorf("%s row %d %s: workbook %s, CSV %s", tab.Name, i, c.Key, cells[i][k], s)
				}
			}
			n++
		}
	}
}

// sheetRows gives the raw data cells of a sheet, below its header.
func sheetRows(t *testing.T, f *excelize.File, sheet string, tab reports.Table) [][]string {
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
