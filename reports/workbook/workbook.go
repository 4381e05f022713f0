// Package workbook writes reports as workbooks with live formulas and native
// charts. It is the only package that knows the spreadsheet library.
package workbook

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// Write writes the report as an Office Open XML workbook (ECMA-376): a
// sheet for each table, one for the inputs, one that says how the figures were
// counted. Every cell is typed; formulas carry the value they give today;
// charts are native. Rows go out as they come, so a long table costs no more
// memory than a short one. The same report gives the same bytes.
func Write(w io.Writer, r reports.Report) error {
	if err := r.Check(); err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	f.SetZipWriter(newOrderedZip)
	b := &book{f: f, r: r, v: r.Format(), styles: &styles{f: f, made: map[styleKey]int{}}, places: map[string]*place{}}
	if err := b.build(); err != nil {
		return fmt.Errorf("report %s: %w", r.Name, err)
	}
	return f.Write(w)
}

// book is a workbook in the making.
type book struct {
	f      *excelize.File
	r      reports.Report
	v      reports.Format
	styles *styles
	places map[string]*place
}

func (b *book) build() error {
	if err := b.f.SetDefaultFont(faceName); err != nil {
		return err
	}
	tables := b.r.Tables()
	var helpers []string
	for _, t := range tables[min(1, len(tables)):] {
		if t.SheetOnly {
			helpers = append(helpers, sheetName(t.Name))
		}
	}
	if len(b.r.Inputs) > 0 {
		tables = append(tables, inputTable(b.r.Inputs))
	}
	if len(b.r.Counted) > 0 && !b.r.ForCustomer {
		counted := b.r.CountedTable()
		if len(helpers) > 0 {
			counted.Add(reports.Text("hidden sheets"), reports.Text("What charts and sums are made of is on sheets that are hidden: "+strings.Join(helpers, ", ")+". Your program shows them when you ask it to."))
		}
		tables = append(tables, &counted)
	}
	if len(tables) == 0 {
		return errors.New("it has no table")
	}
	used := map[string]bool{}
	var host *place // of the charts of a hidden sheet
	var late []placedChart
	for i, t := range tables {
		p := b.plan(t, i == 0)
		b.places[t.Name] = p
		p.hidden = i > 0 && t.SheetOnly
		if !p.hidden {
			host, p.charts, late = p, late, nil
		}
		for _, c := range t.Charts {
			front := b.places[tables[0].Name]
			switch x := (placedChart{c, p}); {
			case len(front.charts) == 0 && (i == 0 || t.Size() <= maxLabels): // the page that is printed has a picture
				front.charts = append(front.charts, x)
			case host.front && p.hidden: // and no more than one
				late = append(late, x)
			default:
				host.charts = append(host.charts, x)
			}
		}
		if used[strings.ToLower(p.sheet)] {
			return fmt.Errorf("two tables would share the sheet name %q", p.sheet)
		}
		used[strings.ToLower(p.sheet)] = true
		if i == 0 {
			if err := b.f.SetSheetName(b.f.GetSheetName(0), p.sheet); err != nil {
				return err
			}
		} else if _, err := b.f.NewSheet(p.sheet); err != nil {
			return err
		}
	}
	if err := b.names(); err != nil {
		return err
	}
	for _, t := range tables {
		if err := b.sheet(b.places[t.Name]); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	for _, p := range b.places {
		if p.hidden {
			if err := b.f.SetSheetVisible(p.sheet, false); err != nil {
				return err
			}
		}
	}
	if b.styles.err != nil {
		return b.styles.err
	}
	b.mendCharts()
	b.f.SetActiveSheet(0)
	return b.properties()
}

// properties says what the file is and who made it when.
func (b *book) properties() error {
	who := plain.Clean(b.r.Shop)
	if who == "" {
		who = "Bookmatch"
	}
	made := b.r.Made.UTC().Format(time.RFC3339)
	if err := b.f.SetDocProps(&excelize.DocProperties{
		Title: plain.Clean(b.r.Title), Subject: plain.Clean(b.r.Subject), Creator: who, LastModifiedBy: who,
		Description: "Made by Bookmatch. Times are in " + b.r.Location().String() + ".",
		Created:     made, Modified: made,
	}); err != nil {
		return err
	}
	return b.f.SetAppProps(&excelize.AppProperties{Application: "Bookmatch", Company: plain.Clean(b.r.Shop)})
}
