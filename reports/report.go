package reports

import (
	"bookmatch/layout"
	"fmt"
	"regexp"
	"time"

	"bookmatch/costing/money"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// Paper is the shop's paper size.
type Paper string

// The paper sizes (ISO 216; US customary).
const (
	A4     Paper = "a4"
	Letter Paper = "letter"
)

// Report is what a view makes of a result and what every output draws: an
// answer in a sentence, sections, how the figures were counted, and the inputs
// that a person may change in a workbook.
type Report struct {
	Name    string // short, of file names: "evening", "neck-n12"
	Title   string
	Subject string // one line below the title: which neck, which weeks
	// Headline is the answer in sentences; the first is the first line of a
	// screen. A report without one shows its title there.
	Headline []string
	Sections []Section
	Notes    []string // sentences after the sections; the first screen shows three
	Next     []string // commands that may come next, each as it is typed
	Cautions []string // what can hurt someone; shown before everything but the headline
	Inputs   []Input
	Counted  []Counted
	Currency money.Currency
	Paper    Paper
	Zone     *time.Location // nil means UTC
	Made     time.Time
	// Shop is the author in the document properties; may be empty.
	Shop string
	// Font is the file of the shop's own font for papers; may be empty.
	Font   string
	inches layout.Inches // texts of a plan, from its exact values
	own    []string      // the builder's own words with lengths in them, never rewritten
	// Reasons takes the place of the screen where --why is asked for. Nil leaves the
	// screen and adds the sections that belong there.
	Reasons *Report
	// Narrow is the report in fewer words for a screen below 80 columns. Nil keeps
	// the words.
	Narrow *Report
	// ForCustomer leaves out the "how counted" sheet: a file that is mailed
	// holds nothing of the shop's own reckoning.
	ForCustomer bool
	// Accept is what a customer signs below on paper. Empty: nothing is signed.
	Accept string
	// Code is the code of the plan that a paper belongs to, printed large on it. May
	// be empty.
	Code string
	// Leaves lays out pages by hand, with a surface to measure words on. A paper with
	// leaves has no others. Nil where there are none.
	Leaves func(measure draw.Surface) []Leaf
	// Void says why the plan of Code must not be used any more. Empty: it may.
	Void string
}

// Counted says how one figure came about.
type Counted struct{ What, How string }

// Input is a value that a person may change in a workbook; formulas use Name.
// Value is a number cell, or text when Choices are given.
type Input struct {
	Name    string // snake_case with at least one underscore: labour_rate
	Label   string
	Unit    string
	Value   Cell
	Digits  int
	Min     float64
	Max     float64 // Min = Max = 0 asks for any number of zero or more
	Choices []string
	Basis   string // where the value comes from
}

// Count adds a line to the "how counted" sheet, once per subject.
func (r *Report) Count(what, format string, args ...any) {
	for _, c := range r.Counted {
		if c.What == what {
			return
		}
	}
	r.Counted = append(r.Counted, Counted{what, fmt.Sprintf(format, args...)})
}

// CountedTable says how each figure came about.
func (r Report) CountedTable() Table {
	t := Table{Name: "How counted", Title: "How counted", Subtitle: plain.Clean(r.Title),
		Columns: []Column{{Key: "figure", Header: "figure", Width: 26}, {Key: "how", Header: "how it was counted", Width: 68}}}
	for _, c := range r.Counted {
		t.Add(Text(c.What), Text(c.How))
	}
	t.Add(Text("times"), Text("Elapsed time is counted between instants. Clock times are shown in "+r.Location().String()+"."))
	if r.Currency != "" {
		t.Add(Text("amounts"), Text("All amounts are in "+string(r.Currency)+". Each printed line is rounded once, halves away from zero. Totals add the printed lines."))
	}
	t.Add(Text("empty and not recorded"), Text("\"not recorded\" means that it was not written down. It never counts as zero."))
	return t
}

// Location is the zone of the report, UTC when it names none.
func (r Report) Location() *time.Location {
	if r.Zone == nil {
		return time.UTC
	}
	return r.Zone
}

var (
	keyForm   = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	inputForm = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)+$`)
)

// Check finds what a renderer could not show: double names, unknown keys,
// rows longer than their columns, formulas without a number. It names the table; it is a bug of the
// builder, not of the data.
func (r Report) Check() error {
	seen := map[string]bool{}
	for _, t := range r.Tables() {
		if t.Name == "" || len([]rune(t.Name)) > 31 || seen[t.Name] {
			return fmt.Errorf("report %s: table name %q is empty, double or longer than 31", r.Name, t.Name)
		}
		seen[t.Name] = true
		keys := map[string]bool{}
		for _, c := range t.Columns {
			if !keyForm.MatchString(c.Key) || keys[c.Key] {
				return fmt.Errorf("report %s: table %s: column key %q is double or not snake_case", r.Name, t.Name, c.Key)
			}
			keys[c.Key] = true
		}
		for i, row := range t.Rows {
			if len(row.Cells) > len(t.Columns) {
				return fmt.Errorf("report %s: table %s: row %d has %d cells for %d columns", r.Name, t.Name, i+1, len(row.Cells), len(t.Columns))
			}
		}
		for i, row := range append(append([]Row(nil), t.Rows...), t.Footer...) {
			for _, c := range row.Cells {
				if c.formula != "" && !c.IsNumber() {
					return fmt.Errorf("report %s: table %s: row %d has a formula without its number", r.Name, t.Name, i+1)
				}
			}
		}
		for _, ch := range t.Charts {
			if ch.Title == "" || ch.XTitle == "" || ch.YTitle == "" {
				return fmt.Errorf("report %s: table %s: chart %q lacks a title or an axis name", r.Name, t.Name, ch.Title)
			}
		}
	}
	names := map[string]bool{}
	for _, in := range r.Inputs {
		if !inputForm.MatchString(in.Name) || names[in.Name] {
			return fmt.Errorf("report %s: input name %q is double or not snake_case with an underscore", r.Name, in.Name)
		}
		names[in.Name] = true
	}
	return nil
}
