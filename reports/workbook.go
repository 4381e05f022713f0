package reports

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// Workbook writes the report as an Office Open XML workbook (ECMA-376): a
// sheet for each table, one for the inputs, one that says how the figures were
// counted. Every cell is typed; formulas carry the value they give today;
// charts are native. Rows go out as they come, so a long table costs no more
// memory than a short one. The same report gives the same bytes.
func Workbook(w io.Writer, r Report) error {
	if err := r.Check(); err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	f.SetZipWriter(newOrderedZip)
	b := &book{f: f, r: r, v: r.view(), styles: &styles{f: f, made: map[styleKey]int{}}, places: map[string]*place{}}
	if err := b.build(); err != nil {
		return fmt.Errorf("report %s: %w", r.Name, err)
	}
	return f.Write(w)
}

// book is a workbook in the making.
type book struct {
	f      *excelize.File
	r      Report
	v      view
	styles *styles
	places map[string]*place
}

func (b *book) build() error {
	if err := b.f.SetDefaultFont(faceName); err != nil {
		return err
	}
	tables := append([]Table(nil), b.r.Tables...)
	if len(b.r.Inputs) > 0 {
		tables = append(tables, b.r.inputTable())
	}
	if len(b.r.Counted) > 0 && !b.r.ForCustomer {
		tables = append(tables, b.r.countedTable())
	}
	if len(tables) == 0 {
		return errors.New("it has no table")
	}
	used := map[string]bool{}
	for i := range tables {
		p := b.plan(&tables[i])
		if used[strings.ToLower(p.sheet)] {
			return fmt.Errorf("two tables would share the sheet name %q", p.sheet)
		}
		used[strings.ToLower(p.sheet)] = true
		b.places[tables[i].Name] = p
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
	for i := range tables {
		if err := b.sheet(b.places[tables[i].Name]); err != nil {
			return fmt.Errorf("table %s: %w", tables[i].Name, err)
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
		Description: "Made by Bookmatch. Times are in " + b.r.zone().String() + ".",
		Created:     made, Modified: made,
	}); err != nil {
		return err
	}
	return b.f.SetAppProps(&excelize.AppProperties{Application: "Bookmatch", Company: plain.Clean(b.r.Shop)})
}

// countedTable is the sheet that says how each figure came about.
func (r Report) countedTable() Table {
	t := Table{Name: "How counted", Title: "How counted", Subtitle: plain.Clean(r.Title),
		Columns: []Column{{Key: "figure", Header: "figure", Width: 26}, {Key: "how", Header: "how it was counted", Width: 68}}}
	for _, c := range r.Counted {
		t.Add(Text(c.What), Text(c.How))
	}
	t.Add(Text("times"), Text("Elapsed time is counted between instants; clock times are shown in "+r.zone().String()+"."))
	if r.Currency != "" {
		t.Add(Text("amounts"), Text("All amounts are in "+string(r.Currency)+". Each printed line is rounded once, halves away from zero; totals add the printed lines."))
	}
	t.Add(Text("empty and not recorded"), Text("\"not recorded\" means that nobody wrote it down; it never counts as zero."))
	return t
}
