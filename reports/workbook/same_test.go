package workbook

import (
	"bytes"
	"encoding/json"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"

	"github.com/xuri/excelize/v2"
)

// The same figures in CSV, JSON and the workbook, cell by cell.
func TestSameFiguresEverywhere(t *testing.T) { sameFigures(t, reporttest.Sample()) }

func sameFigures(t *testing.T, r reports.Report) {
	t.Helper()
	var b bytes.Buffer
	if err := screen.JSON(&b, r); err != nil {
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
	for _, tab := range r.Tables() {
		lines := readCSV(t, r, tab.Name)
		rows := doc.Tables[tab.Name].Rows
		if len(lines)-1 != len(rows) {
			t.Errorf("%s: %d rows in CSV, %d in JSON", tab.Name, len(lines)-1, len(rows))
			continue
		}
		cells := sheetRows(t, book, sheetName(tab.Name), *tab)
		n := 0
		for i, row := range tab.Rows {
			if row.Style == reports.Group {
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
					if c.Kind == reports.KindMoney && x != s {
						t.Errorf("%s row %d %s: JSON %s, CSV %s", tab.Name, i, c.Key, x, s)
					}
				case nil:
					if s != "" {
						t.Errorf("%s row %d %s: JSON null, CSV %q", tab.Name, i, c.Key, s)
					}
				}
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
