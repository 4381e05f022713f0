package screen

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// grid prints the columns that belong on a terminal.
func (s Screen) grid(w io.Writer, r reports.Report, t reports.Table) error {
	v := r.Format()
	cols := make([]int, 0, len(t.Columns))
	for i, c := range t.Columns {
		if !c.SheetOnly {
			cols = append(cols, i)
		}
	}
	tail := t.Tail(r.Currency)
	rows := append(append([]reports.Row(nil), t.Rows...), tail...)
	all := shown(v, t, cols, rows)
	widths, fits := fit(t, cols, all, s.Width)
	if s.Width < Usual && tight(t, cols, all, s.Width) {
		cols = spared(t, cols)
		all = shown(v, t, cols, rows)
		widths, fits = fit(t, cols, all, s.Width)
	}
	if !fits || s.Width < Narrow {
		return s.blocks(w, t, cols, all, tail)
	}

	head := make([]string, len(cols))
	aligns := make([]tw.Align, len(cols))
	tallest := 1
	for k, i := range cols {
		tallest = max(tallest, len(plain.Wrap(plain.Clean(t.Columns[i].Head()), widths[k])))
	}
	for k, i := range cols {
		b := s.faint(t.Columns[i].Head(), widths[k])
		head[k] = strings.Repeat("\n", tallest-1-strings.Count(b, "\n")) + b // header words are on the rule
		aligns[k] = tw.AlignLeft
		if t.Columns[i].Numeric() {
			aligns[k] = tw.AlignRight
		}
	}
	out := &trimmer{w: w, rule: s.dim}
	tab := newGrid(out, aligns)
	tab.Header(head)
	for n, row := range t.Rows {
		cells := make([]string, len(cols))
		for k, i := range cols {
			cells[k] = s.block(all[n][k], widths[k], row.At(i).Tone(), row.Style != reports.Plain)
		}
		if err := tab.Append(cells); err != nil {
			return err
		}
	}
	if len(tail) > 0 {
		foot := make([]string, len(cols))
		for n, row := range tail {
			tallest := 1
			for k := range cols {
				if h := len(plain.Wrap(all[len(t.Rows)+n][k], widths[k])); h > tallest {
					tallest = h
				}
			}
			for k, i := range cols {
				b := s.block(all[len(t.Rows)+n][k], widths[k], row.At(i).Tone(), row.Style == reports.Total)
				b += strings.Repeat("\n", tallest-1-strings.Count(b, "\n"))
				if n > 0 {
					foot[k] += "\n"
				}
				foot[k] += b
			}
		}
		tab.Footer(foot)
	}
	if err := tab.Render(); err != nil {
		return err
	}
	return out.err
}

// spared gives the columns without those that a narrow screen leaves out.
func spared(t reports.Table, cols []int) []int {
	return slices.DeleteFunc(slices.Clone(cols), func(i int) bool { return t.Columns[i].Spare })
}

// shown gives the cells of some columns as they are printed.
func shown(v reports.Format, t reports.Table, cols []int, rows []reports.Row) [][]string {
	all := make([][]string, 0, len(rows))
	for _, row := range rows {
		line := make([]string, len(cols))
		for k, i := range cols {
			line[k] = v.Show(row.At(i), t.Columns[i])
		}
		all = append(all, line)
	}
	return all
}

// newGrid is the house look: no bars, one rule below the header and one above
// the totals, two spaces between columns.
func newGrid(w io.Writer, aligns []tw.Align) *tablewriter.Table {
	pads := make([]tw.Padding, len(aligns))
	for k := range pads[:len(pads)-1] {
		pads[k] = tw.Padding{Right: strings.Repeat(" ", gap), Overwrite: true}
	}
	pads[len(pads)-1] = tw.Padding{Overwrite: true}
	section := tw.CellConfig{
		Formatting: tw.CellFormatting{AutoWrap: tw.WrapNone, AutoFormat: tw.Off},
		Alignment:  tw.CellAlignment{Global: tw.AlignLeft, PerColumn: aligns},
		Padding:    tw.CellPadding{PerColumn: pads},
	}
	return tablewriter.NewTable(w,
		tablewriter.WithRenderer(renderer.NewBlueprint(tw.Rendition{
			Borders: tw.BorderNone,
			Symbols: tw.NewSymbolCustom("bench").WithRow("─").WithColumn("").WithCenter("─").
				WithMidLeft("─").WithMidRight("─").WithTopMid("─").WithBottomMid("─"),
			Settings: tw.Settings{
				Separators: tw.Separators{ShowHeader: tw.On, ShowFooter: tw.On, BetweenRows: tw.Off, BetweenColumns: tw.Off},
				Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.On, ShowFooterLine: tw.On},
			},
		})),
		tablewriter.WithConfig(tablewriter.Config{Header: section, Row: section, Footer: section,
			Behavior: tw.Behavior{TrimSpace: tw.Off, TrimLine: tw.Off, AutoHide: tw.Off}}),
		tablewriter.WithEastAsian(tw.Off),
	)
}

// trimmer takes the spaces off line ends, so that copies stay clean, and gives
// rules their ink.
type trimmer struct {
	w    io.Writer
	rule func(string) string
	line []byte
	err  error
}

func (t *trimmer) Write(b []byte) (int, error) {
	t.line = append(t.line, b...)
	for t.err == nil {
		i := strings.IndexByte(string(t.line), '\n')
		if i < 0 {
			break
		}
		l := strings.TrimRight(string(t.line[:i]), " ")
		if strings.Trim(l, "─") == "" {
			l = t.rule(l)
		}
		_, t.err = fmt.Fprintln(t.w, l)
		t.line = t.line[i+1:]
	}
	return len(b), t.err
}
