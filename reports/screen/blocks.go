package screen

import (
	"fmt"
	"io"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// blocks prints a table that is too wide for the screen one row below the
// other: a line for each column that has a value.
func (s Screen) blocks(w io.Writer, t reports.Table, cols []int, cells [][]string, tail []reports.Row) error {
	label := 0
	for _, i := range cols {
		label = max(label, plain.Width(plain.Clean(t.Columns[i].Head())))
	}
	label = min(label, s.Width/2)
	rows := append(append([]reports.Row(nil), t.Rows...), tail...)
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
			for j, l := range plain.Wrap(cells[n][k], s.Width-label-gap) {
				if j > 0 {
					head = ""
				}
				pad := strings.Repeat(" ", label-plain.Width(head)+gap)
				if _, err := fmt.Fprintln(w, head+pad+s.paint(l, row.At(i).Tone(), row.Style != reports.Plain)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
