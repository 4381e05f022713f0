package reports

import (
	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Sums adds up the Sum columns while rows pass by. Amounts are added as
// printed: each line is rounded once, the total never again.
type Sums struct {
	t        Table
	currency money.Currency
	acc      []decimal.Decimal
	any      []bool
}

// Sums starts the sums of a table, in the file's currency.
func (t Table) Sums(currency money.Currency) *Sums {
	return &Sums{t, currency, make([]decimal.Decimal, len(t.Columns)), make([]bool, len(t.Columns))}
}

// Add takes one row into the sums.
func (s *Sums) Add(r Row) {
	if r.Style != Plain {
		return
	}
	for i, c := range s.t.Columns {
		if !c.Sum {
			continue
		}
		if d, has := r.At(i).Figure(c, s.currency); has {
			s.acc[i], s.any[i] = s.acc[i].Add(d), true
		}
	}
}

// Row is the total row, or ok = false when there was nothing to add.
func (s *Sums) Row() (row Row, ok bool) {
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

// Total is the total row of a table, read through once.
func (t Table) Total(currency money.Currency) (Row, bool) {
	s := t.Sums(currency)
	for r := range t.All() {
		s.Add(r)
	}
	return s.Row()
}

// Tail gives the rows below the data: footers, then the total.
func (t Table) Tail(currency money.Currency) []Row {
	rows := append([]Row(nil), t.Footer...)
	if r, ok := t.Total(currency); ok {
		rows = append(rows, r)
	}
	return rows
}
