package reports_test

import (
	"testing"

	"bookmatch/reports"
)

// Build may be called again with the same columns: rows follow, columns do not.
func TestBuild(t *testing.T) {
	cols := []reports.Col[int]{
		{Column: reports.Column{Key: "n", Header: "n", Kind: reports.KindCount}, Get: reports.Count},
		{Column: reports.Column{Key: "half", Header: "half", Kind: reports.KindNumber}, Get: func(n int) reports.Cell { return reports.Number(float64(n) / 2) }},
	}
	first := reports.Build(reports.Table{Name: "halves"}, []int{1, 2}, cols)
	both := reports.Build(first, []int{3}, cols)
	if len(first.Rows) != 2 || len(both.Rows) != 3 || len(both.Columns) != 2 {
		t.Fatalf("got %d and %d rows, %d columns, want 2, 3 and 2", len(first.Rows), len(both.Rows), len(both.Columns))
	}
	if got := (reports.Format{}).Show(both.Rows[2].At(1), both.Columns[1]); got != "1.5" {
		t.Errorf("got %s, want 1.5", got)
	}
	if got := reports.Maybe(nil, reports.Count); !got.IsEmpty() {
		t.Errorf("nil gave %v, want an empty cell", got)
	}
	six := 6
	if got := reports.Maybe(&six, reports.Count); got.Decimal().IntPart() != 6 {
		t.Errorf("got %v, want 6", got.Decimal())
	}
}
