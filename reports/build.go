package reports

// Col is a column of rows of type T: what it is and where its cell comes from,
// declared in one place. A view names its row type once (type step =
// workshop.Step), so that a column fits on a line.
type Col[T any] struct {
	Column
	Get func(T) Cell
}

// Build gives t the columns and appends a row for each of rows. It may be
// called again with the same columns for further rows.
func Build[T any](t Table, rows []T, cols []Col[T]) Table {
	return BuildKeyed(t, rows, nil, cols)
}

// BuildKeyed is Build with a name for each row, by which formulas find it
// ({amount@labour}). A nil key names none.
func BuildKeyed[T any](t Table, rows []T, key func(T) string, cols []Col[T]) Table {
	t.Columns = make([]Column, len(cols))
	for i, c := range cols {
		t.Columns[i] = c.Column
	}
	t.Rows = append([]Row(nil), t.Rows...)
	for _, x := range rows {
		r := Row{Cells: make([]Cell, len(cols))}
		for i, c := range cols {
			r.Cells[i] = c.Get(x)
		}
		if key != nil {
			r.Key = key(x)
		}
		t.Rows = append(t.Rows, r)
	}
	return t
}
