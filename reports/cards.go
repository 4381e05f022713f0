package reports

import (
	"fmt"
	"io"
	"strings"

	"bookmatch/reports/plain"
)

// cards prints a table that is too wide for the terminal one row below the
// other: a line for each column that has a value.
func (o Terminal) cards(w io.Writer, t Table, cols []int, cells [][]string, tail []Row) error {
	label := 0
	for _, i := range cols {
		label = max(label, plain.Width(plain.Clean(t.Columns[i].Head())))
	}
	label = min(label, o.Width/2)
	rows := append(append([]Row(nil), t.Rows...), tail...)
	for n, row := range rows {
		if n > 0 {
			if _, err := fmt.Fprintln(w); err != nil {
				return err
			}
		}
		for k, i := range cols {
			if cells[n][k] == "" {
				continue
			}
			head := plain.Shorten(plain.Clean(t.Columns[i].Head()), label)
			for j, l := range plain.Wrap(cells[n][k], o.Width-label-gap) {
				if j > 0 {
					head = ""
				}
				pad := strings.Repeat(" ", label-plain.Width(head)+gap)
				if _, err := fmt.Fprintln(w, head+pad+o.paint(l, row.At(i).tone, row.Style != Plain)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
