package reports

import (
	"fmt"
	"io"
	"strings"

	"bookmatch/reports/plain"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// TerminalWidth is what every table fits into.
const TerminalWidth = 80

// gap is the space between two columns.
const gap = 2

// Terminal says how to print. The zero value is 80 columns without colour.
type Terminal struct {
	Width int
	Color bool
	// Bare leaves out titles and notes: one table for a pipe.
	Bare bool
}

// WantColor decides on colour: only on a terminal that is not dumb, and never
// when NO_COLOR holds anything (no-color.org).
func WantColor(isTerminal bool, getenv func(string) string) bool {
	return isTerminal && getenv("NO_COLOR") == "" && getenv("TERM") != "dumb"
}

// Print writes every table of the report, fitted to the width.
func (o Terminal) Print(w io.Writer, r Report) error {
	if o.Width <= 0 {
		o.Width = TerminalWidth
	}
	if err := r.Check(); err != nil {
		return err
	}
	p := &printer{w: w, o: o}
	if !o.Bare && r.Title != "" && !(len(r.Tables) == 1 && r.Tables[0].Title == r.Title) {
		p.heading(r.Title, r.Subject)
	}
	for _, t := range r.Tables {
		if !t.SheetOnly || len(r.Tables) == 1 {
			p.table(r, t)
		}
	}
	return p.err
}

// PrintTable writes one table alone.
func (o Terminal) PrintTable(w io.Writer, r Report, name string) error {
	t := r.Table(name)
	if t == nil {
		return fmt.Errorf("report %s has no table %q", r.Name, name)
	}
	r.Tables = []Table{*t}
	return o.Print(w, r)
}

type printer struct {
	w     io.Writer
	o     Terminal
	err   error
	wrote bool
}

func (p *printer) line(s string) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, strings.TrimRight(s, " "))
	}
	p.wrote = true
}

func (p *printer) text(s string) {
	for _, l := range plain.Wrap(plain.Clean(s), p.o.Width) {
		p.line(l)
	}
}

func (p *printer) heading(title, sub string) {
	if p.wrote {
		p.line("")
	}
	for _, l := range plain.Wrap(plain.Clean(title), p.o.Width) {
		p.line(p.o.bold(l))
	}
	if sub != "" {
		p.text(sub)
	}
}

func (p *printer) table(r Report, t Table) {
	t = t.gather()
	t.Rows = append(t.Rows, t.ruled()...)
	if !p.o.Bare {
		switch {
		case t.Title != "" && (t.Title != r.Title || !p.wrote):
			p.heading(t.Title, t.Subtitle)
		case t.Title == r.Title && t.Subtitle != "":
			p.text(t.Subtitle)
		case p.wrote:
			p.line("")
		}
	}
	if len(t.Rows) == 0 {
		said := t.Empty
		if said == "" {
			said = "nothing recorded yet"
		}
		p.text(said)
	} else if p.err == nil {
		p.err = p.o.grid(p.w, r, t)
		p.wrote = true
	}
	if p.o.Bare {
		return
	}
	for i, n := range t.Notes {
		if i == 0 {
			p.line("")
		}
		p.text(n)
	}
}

// grid prints the columns that belong on a terminal.
func (o Terminal) grid(w io.Writer, r Report, t Table) error {
	v := r.view()
	cols := make([]int, 0, len(t.Columns))
	for i, c := range t.Columns {
		if !c.SheetOnly {
			cols = append(cols, i)
		}
	}
	tail := t.tail(r.Currency)
	all := make([][]string, 0, len(t.Rows)+len(tail))
	for _, row := range append(append([]Row(nil), t.Rows...), tail...) {
		line := make([]string, len(cols))
		for k, i := range cols {
			line[k] = v.show(row.At(i), t.Columns[i])
		}
		all = append(all, line)
	}
	widths, fits := fit(t, cols, all, o.Width)
	if !fits {
		return o.cards(w, t, cols, all, tail)
	}

	head := make([]string, len(cols))
	aligns := make([]tw.Align, len(cols))
	tallest := 1
	for k, i := range cols {
		tallest = max(tallest, len(plain.Wrap(plain.Clean(t.Columns[i].Head()), widths[k])))
	}
	for k, i := range cols {
		b := o.block(t.Columns[i].Head(), widths[k], Calm, true)
		head[k] = strings.Repeat("\n", tallest-1-strings.Count(b, "\n")) + b // header words stand on the rule
		aligns[k] = tw.AlignLeft
		if t.Columns[i].Numeric() {
			aligns[k] = tw.AlignRight
		}
	}
	out := &trimmer{w: w}
	tab := newGrid(out, aligns)
	tab.Header(head)
	for n, row := range t.Rows {
		cells := make([]string, len(cols))
		for k, i := range cols {
			cells[k] = o.block(all[n][k], widths[k], row.At(i).tone, row.Style != Plain)
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
				b := o.block(all[len(t.Rows)+n][k], widths[k], row.At(i).tone, row.Style == Total)
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

// fit gives each shown column its width. Text columns give way, the widest
// first and one cell at a time, down to their longest word (of up to sixteen).
// Numbers never break; fits is false when they leave no room.
func fit(t Table, cols []int, cells [][]string, width int) (got []int, fits bool) {
	got = make([]int, len(cols))
	least := make([]int, len(cols))
	for k, i := range cols {
		col := t.Columns[i]
		word := 0
		for _, wd := range strings.Fields(plain.Clean(col.Head())) {
			word = max(word, plain.Width(wd))
		}
		got[k] = word
		longest := 0
		for n, line := range cells {
			if n < len(t.Rows) && t.Rows[n].Style == Group {
				continue
			}
			got[k] = max(got[k], plain.Width(line[k]))
			if col.Kind == KindText {
				for _, wd := range strings.Fields(line[k]) {
					longest = max(longest, min(16, plain.Width(wd)))
				}
			}
		}
		if col.Max > 0 {
			got[k] = max(word, min(got[k], col.Max))
		}
		least[k] = got[k]
		if col.Kind == KindText {
			least[k] = min(got[k], max(word, longest))
		}
	}
	room := width - gap*(len(cols)-1)
	for sum(got) > room {
		widest := -1
		for k := range got {
			if got[k] > least[k] && (widest < 0 || got[k] > got[widest]) {
				widest = k
			}
		}
		if widest < 0 {
			return got, false
		}
		got[widest]--
	}
	return got, true
}

func sum(a []int) int {
	n := 0
	for _, x := range a {
		n += x
	}
	return n
}

// block wraps s to width and colours each line.
func (o Terminal) block(s string, width int, tone Tone, strong bool) string {
	lines := plain.Wrap(plain.Clean(s), width)
	if o.Color && (tone != Calm || strong) {
		for i, l := range lines {
			lines[i] = o.paint(l, tone, strong)
		}
	}
	return strings.Join(lines, "\n")
}

func (o Terminal) bold(s string) string { return o.paint(s, Calm, true) }

// paint adds the standard colours (ECMA-48 select graphic rendition).
func (o Terminal) paint(s string, tone Tone, strong bool) string {
	if !o.Color || s == "" {
		return s
	}
	code := map[Tone]string{Good: "32", Careful: "33", Bad: "31"}[tone]
	if strong {
		code = strings.TrimSuffix("1;"+code, ";")
	}
	if code == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

// trimmer takes the spaces off line ends, so that copies stay clean.
type trimmer struct {
	w    io.Writer
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
		_, t.err = fmt.Fprintln(t.w, strings.TrimRight(string(t.line[:i]), " "))
		t.line = t.line[i+1:]
	}
	return len(b), t.err
}
