package reports

import (
	"fmt"
	"iter"
)

// RowStyle says how a row is set off from its neighbours.
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
// in a workbook and the table's in JSON. Rows are data; Footer rows are
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

// All gives every row: Rows, then the stream.
func (t Table) All() iter.Seq[Row] {
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

// Size is the number of rows.
func (t Table) Size() int { return len(t.Rows) + t.Len }

// Top gives the first n rows, for measuring.
func (t Table) Top(n int) []Row {
	var out []Row
	for r := range t.All() {
		if len(out) == n {
			break
		}
		out = append(out, r)
	}
	return out
}

// Gather reads a stream into Rows, for outputs that must see all of it.
func (t Table) Gather() Table {
	if t.Stream != nil {
		t.Rows = t.Top(t.Size())
		t.Stream, t.Len = nil, 0
	}
	return t
}
