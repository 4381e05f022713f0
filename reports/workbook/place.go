package workbook

import (
	"fmt"
	"regexp"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// place is where a table is in its workbook: formulas and charts need to
// know it before the first cell is written.
type place struct {
	sheet  string
	table  *reports.Table
	widths []float64
	shown  int  // columns on paper: those further right are for the screen alone
	front  bool // the first sheet: one page where it can be
	hidden bool
	broken bool // a chart begins a page of its own
	charts []placedChart
	title  string
	below  string // second line of the title
	head   int    // row of the column headers, from 1
	first  int    // first row of data
	last   int    // last row of data; first-1 when there is none
	keys   map[string]int
}

// placedChart is a chart and the place of the table that it draws.
type placedChart struct {
	reports.Chart
	from *place
}

var sheetRunes = regexp.MustCompile(`[:\\/?*\[\]']`)

// sheetName makes a name that a workbook takes.
func sheetName(s string) string {
	s = strings.TrimSpace(sheetRunes.ReplaceAllString(plain.Clean(s), "-"))
	if r := []rune(s); len(r) > 31 {
		s = string(r[:31])
	}
	return s
}

// ref gives the cell of a column in a row: B7.
func ref(col, row int) string {
	s, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		return "A1"
	}
	return s
}

// fixed is ref with both marks that keep it in place: $B$7.
func fixed(col, row int) string {
	s, err := excelize.CoordinatesToCellName(col, row, true)
	if err != nil {
		return "$A$1"
	}
	return s
}

// span gives a range of one column, from the first to the last row of data.
func (p *place) span(col int) string {
	return fixed(col, p.first) + ":" + fixed(col, max(p.first, p.last))
}

func (p *place) quoted() string { return "'" + p.sheet + "'!" }

var formulaRef = regexp.MustCompile(`\{(?:([^/{}]+)/)?([a-z][a-z0-9_]*)(?:@([^{}:]+)|(:))?\}`)

// resolve turns the references of a Live formula into cells.
func resolve(formula string, here *place, row int, places map[string]*place) (string, error) {
	var bad error
	out := formulaRef.ReplaceAllStringFunc(formula, func(m string) string {
		part := formulaRef.FindStringSubmatch(m)
		p, prefix := here, ""
		if part[1] != "" {
			if p = places[part[1]]; p == nil {
				bad = fmt.Errorf("formula %s: no table %q", formula, part[1])
				return m
			}
			prefix = p.quoted()
		}
		col := p.table.Index(part[2]) + 1
		switch {
		case col == 0:
			bad = fmt.Errorf("formula %s: table %s has no column %q", formula, p.table.Name, part[2])
		case part[3] != "":
			at, ok := p.keys[part[3]]
			if !ok {
				bad = fmt.Errorf("formula %s: table %s has no row %q", formula, p.table.Name, part[3])
			}
			if prefix != "" && part[3] == "total" && at > p.last {
				return p.sum(col, "SUM(", prefix, fixed) // a filter over there moves nothing here
			}
			return prefix + fixed(col, at)
		case part[4] != "":
			return prefix + p.span(col)
		case part[1] != "":
			bad = fmt.Errorf("formula %s: %q needs a row or the whole column", formula, m)
		}
		return prefix + ref(col, row)
	})
	if bad == nil && strings.ContainsAny(out, "{}") {
		bad = fmt.Errorf("formula %s: a reference cannot be read", formula)
	}
	return out, bad
}

// totalFormula adds up the plain rows of a column: SUBTOTAL leaves out what a
// filter hides, and sub-totals inside the table are jumped over.
func (p *place) totalFormula(col int) string { return p.sum(col, "SUBTOTAL(9,", "", ref) }

// sum adds up the plain rows of a column by a function of the sheet, with cells
// named by name, as another sheet sees them where there is a prefix.
func (p *place) sum(col int, function, prefix string, name func(col, row int) string) string {
	if p.table.Stream != nil {
		return function + prefix + name(col, p.first) + ":" + name(col, max(p.first, p.last)) + ")"
	}
	var runs []string
	start := -1
	for i := 0; i <= len(p.table.Rows); i++ {
		plain := i < len(p.table.Rows) && p.table.Rows[i].Style == reports.Plain
		switch {
		case plain && start < 0:
			start = i
		case !plain && start >= 0:
			runs = append(runs, prefix+name(col, p.first+start)+":"+name(col, p.first+i-1))
			start = -1
		}
	}
	return function + strings.Join(runs, ",") + ")"
}
