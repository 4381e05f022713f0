package reports

import (
	"fmt"
	"iter"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/reports/plain"

	"github.com/shopspring/decimal"
)

// Kind is what the cells of a column hold. It settles alignment, the number
// format in a workbook and the form in CSV and JSON.
type Kind int

// The kinds of column.
const (
	KindText     Kind = iota
	KindMoney         // exact amount, currency of the report; JSON string
	KindMinutes       // span in minutes
	KindHours         // span in hours
	KindMM            // length in millimetres
	KindCount         // whole number
	KindQuantity      // exact quantity in the unit of the row or the column
	KindNumber        // any other number, Digits after the point
	KindDate          // civil date
	KindInstant       // date and time in the zone of the report
	KindClock         // the same, shown as time of day only
	KindChance        // fraction 0 to 1, whole percents; never shown as "0 %"
	KindShare         // part of a whole as a fraction; zero shows as "none"
	KindFlag          // yes or no
)

// digits after the point where a column does not say.
var defaultDigits = map[Kind]int{KindHours: 1, KindMM: 2, KindNumber: 1, KindQuantity: 2}

// NoDigits asks for whole numbers in a column whose kind would show decimals.
const NoDigits = -1

// Column describes one column. Key is the snake_case name in JSON and CSV and
// ends in its unit where it has one ("likely_min", "edge_mm"); Header is for
// people and Unit is printed after it in brackets.
type Column struct {
	Key    string
	Header string
	Unit   string
	Kind   Kind
	Digits int // after the point; 0 means the kind's usual, NoDigits none

	// SheetOnly columns stand in workbooks, CSV and JSON but not on the terminal.
	SheetOnly bool
	// Sum adds the column up in the total row, live in a workbook.
	Sum bool
	// Max is the widest the column may become on the terminal, in character
	// cells; longer text wraps. 0 leaves it to the space there is.
	Max int
	// Width is the width in a workbook, in characters; 0 computes it.
	Width float64
}

// Head is the header with its unit: "likely (min)".
func (c Column) Head() string {
	if c.Unit == "" {
		return c.Header
	}
	return c.Header + " (" + c.Unit + ")"
}

// Numeric says that the column's cells align to the right.
func (c Column) Numeric() bool {
	switch c.Kind {
	case KindText, KindFlag, KindDate, KindInstant, KindClock:
		return false
	}
	return true
}

// places is the number of digits to print; currency is the file's.
func (c Column) places(currency money.Currency) int {
	switch {
	case c.Digits == NoDigits:
		return 0
	case c.Digits > 0:
		return c.Digits
	case c.Kind == KindMoney:
		return int(currency.Scale())
	}
	return defaultDigits[c.Kind]
}

// RowStyle tells how a row is set off from its neighbours.
type RowStyle int

// The styles of row.
const (
	Plain RowStyle = iota
	Group          // a heading inside the table
	Sub            // a sub-total
	Total          // a total
)

// Row is one line of cells, in the order of the columns; missing cells at the
// end are empty. Key names the row for formulas ({amount@labour}); it may be
// empty.
type Row struct {
	Key   string
	Cells []Cell
	Style RowStyle
}

// R is a plain row.
func R(cells ...Cell) Row { return Row{Cells: cells} }

// Table is one sheet. Name is short and unique in its report: the sheet's name
// in a workbook and the table's in JSON. Rows are data; Footer rows stand
// below them (means, worst values); the total row of the Sum columns is added
// by the renderers after them. Notes are sentences below the table.
type Table struct {
	Name     string
	Title    string
	Subtitle string
	Columns  []Column
	Rows     []Row
	Footer   []Row
	Notes    []string
	Charts   []Chart
	// Stream gives further rows one by one, Len of them, so that a long table is
	// never held as a whole; it may be read more than once.
	Stream iter.Seq[Row]
	Len    int
	// SheetOnly keeps the table off the terminal: a chart's helper.
	SheetOnly bool
	// Wide asks for landscape paper.
	Wide bool
	// Ruled is a number of empty lines to write on by hand, on paper and on the
	// terminal; they are no data.
	Ruled int
	// Empty is said in place of a table without rows: "no bit has been added".
	Empty string
}

// Add appends a plain row.
func (t *Table) Add(cells ...Cell) { t.Rows = append(t.Rows, R(cells...)) }

// AddKey appends a plain row with a name for formulas.
func (t *Table) AddKey(key string, cells ...Cell) {
	t.Rows = append(t.Rows, Row{Key: key, Cells: cells})
}

// Note adds a sentence below the table, once.
func (t *Table) Note(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	for _, n := range t.Notes {
		if n == s {
			return
		}
	}
	t.Notes = append(t.Notes, s)
}

// Index gives the position of the column with that key, or -1.
func (t Table) Index(key string) int {
	for i, c := range t.Columns {
		if c.Key == key {
			return i
		}
	}
	return -1
}

// At gives the cell of a row in a column; Empty when the row is shorter.
func (r Row) At(i int) Cell {
	if i < 0 || i >= len(r.Cells) {
		return Empty()
	}
	return r.Cells[i]
}

// rows gives every row: Rows, then the stream.
func (t Table) rows() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		for _, r := range t.Rows {
			if !yield(r) {
				return
			}
		}
		if t.Stream != nil {
			t.Stream(yield)
		}
	}
}

// size is the number of rows.
func (t Table) size() int { return len(t.Rows) + t.Len }

// head gives the first n rows, for measuring.
func (t Table) head(n int) []Row {
	var out []Row
	for r := range t.rows() {
		if len(out) == n {
			break
		}
		out = append(out, r)
	}
	return out
}

// ruled gives the lines to write on as rows of underscores.
func (t Table) ruled() []Row {
	rows := make([]Row, t.Ruled)
	for i := range rows {
		for _, c := range t.Columns {
			rows[i].Cells = append(rows[i].Cells, Text(strings.Repeat("_", max(c.Max, plain.Width(c.Head())))))
		}
	}
	return rows
}

// gather reads a stream into Rows, for outputs that must see all of it.
func (t Table) gather() Table {
	if t.Stream != nil {
		t.Rows = t.head(t.size())
		t.Stream, t.Len = nil, 0
	}
	return t
}

// sums adds up the Sum columns while rows pass by. Amounts are added as
// printed: each line is rounded once, the total never again.
type sums struct {
	t        Table
	currency money.Currency
	acc      []decimal.Decimal
	any      []bool
}

func (t Table) sums(currency money.Currency) *sums {
	return &sums{t, currency, make([]decimal.Decimal, len(t.Columns)), make([]bool, len(t.Columns))}
}

func (s *sums) add(r Row) {
	if r.Style != Plain {
		return
	}
	for i, c := range s.t.Columns {
		if !c.Sum {
			continue
		}
		if d, has := r.At(i).number(c, s.currency); has {
			s.acc[i], s.any[i] = s.acc[i].Add(d), true
		}
	}
}

// row is the total row, or ok = false when there was nothing to add.
func (s *sums) row() (row Row, ok bool) {
	row = Row{Key: "total", Style: Total, Cells: make([]Cell, len(s.t.Columns))}
	for i, c := range s.t.Columns {
		if s.any[i] {
			row.Cells[i], ok = number(c.Kind, s.acc[i]), true
		}
	}
	if !ok {
		return Row{}, false
	}
	for i, c := range s.t.Columns {
		if c.Sum {
			break
		}
		if c.Kind == KindText && !c.SheetOnly {
			row.Cells[i] = Text("total")
			break
		}
	}
	return row, true
}

// total is the total row of a table, read through once.
func (t Table) total(currency money.Currency) (Row, bool) {
	s := t.sums(currency)
	for r := range t.rows() {
		s.add(r)
	}
	return s.row()
}

// tail gives the rows below the data: footers, then the total.
func (t Table) tail(currency money.Currency) []Row {
	rows := append([]Row(nil), t.Footer...)
	if r, ok := t.total(currency); ok {
		rows = append(rows, r)
	}
	return rows
}
