package paper

import (
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// Measures of tables in mm.
const (
	columnGap = 3.4
	rowPad    = 1.3  // a row's lines and this much
	ruledRow  = 8.6  // a line to write on
	keptShare = 0.38 // of a page: a table up to this stays whole
	mostLines = 24   // of a row; the rest goes on in the next
)

// setRow is a row as it is set: the lines of each cell.
type setRow struct {
	row   reports.Row
	lines [][]string
	high  float64
	span  bool // its only words take the whole width
	more  bool // goes on with what is left of the row above
}

// table sets a table with its title, its rows, what is added up, and its notes.
func (s *sheet) table(t reports.Table) {
	g, ok := s.grid(t)
	title := t.Title
	if title == s.r.Title {
		title = ""
	}
	sub := t.Subtitle
	if sub == s.r.Subject || sub == s.r.Title {
		sub = ""
	}
	rows, tail := s.setRows(g, t.Rows), s.setRows(g, t.Tail(s.r.Currency))
	heads, headHigh := s.heads(g)
	notes := s.noteHeight(t.Notes)
	all := headHigh + heightOf(rows) + heightOf(tail) + float64(t.Ruled)*ruledRow
	need := headHigh + heightOf(rows[:min(2, len(rows))])
	if sub != "" {
		need += less
	}
	if all+notes < keptShare*s.whole() {
		need += all + notes
	}
	if title != "" {
		s.heading(title, need+1)
	} else {
		s.gap(4)
		s.need(need)
	}
	if sub != "" {
		s.words(sub, 0, draw.Type{Points: small, Ink: draw.Grey}, less)
	}
	switch {
	case len(rows) == 0 && t.Ruled == 0:
		said := t.Empty
		if said == "" {
			said = "nothing recorded yet"
		}
		s.words(said, 0, draw.Type{Points: body}, line)
	case !ok:
		s.blocks(g, append(append([]reports.Row(nil), t.Rows...), t.Tail(s.r.Currency)...))
	default:
		s.head(g, heads, headHigh)
		s.rows(g, rows, heightOf(tail)+notes, func() { s.head(g, heads, headHigh) })
		for range t.Ruled {
			s.ruled(g, func() { s.head(g, heads, headHigh) })
		}
		for i, r := range tail {
			s.needHead(r.high, func() { s.head(g, heads, headHigh) })
			s.row(g, r, i == 0)
		}
	}
	s.notes(t.Notes)
}

func heightOf(rows []setRow) float64 {
	h := 0.0
	for _, r := range rows {
		h += r.high
	}
	return h
}

func (s *sheet) noteHeight(notes []string) float64 {
	n := 0
	for _, x := range notes {
		n += len(wrap(s.measure, x, draw.Type{Points: small}, s.room))
	}
	return less * float64(min(n, 4))
}

// setRows breaks the cells of rows into lines. A row that is too tall becomes
// several.
func (s *sheet) setRows(g grid, rows []reports.Row) []setRow {
	var out []setRow
	for _, row := range rows {
		r := setRow{row: row, lines: make([][]string, len(g.cols)), span: spans(g, row)}
		tall := 1
		for k := range g.cols {
			words := s.shown(g, row, k)
			if words == "" {
				continue
			}
			width := g.widths[k]
			if r.span {
				width = g.total()
			}
			r.lines[k] = wrap(s.measure, words, s.cellType(g, row, k), width)
			tall = max(tall, len(r.lines[k]))
		}
		for tall > mostLines {
			part := r
			part.lines = make([][]string, len(g.cols))
			for k, l := range r.lines {
				n := min(len(l), mostLines)
				part.lines[k] = l[:n]
			}
			rest := make([][]string, len(g.cols))
			for k, l := range r.lines {
				rest[k] = l[min(len(l), mostLines):]
			}
			part.high = mostLines * g.step()
			out = append(out, part)
			r.lines, r.more = rest, true
			tall -= mostLines
		}
		r.high = float64(tall)*g.step() + rowPad
		if row.Style == reports.Group {
			r.high += 1.5
		}
		out = append(out, r)
	}
	return out
}

// spans says that a heading inside the table has words in one cell only.
func spans(g grid, row reports.Row) bool {
	if row.Style != reports.Group {
		return false
	}
	n := 0
	for _, i := range g.cols {
		if !row.At(i).IsEmpty() {
			n++
		}
	}
	return n == 1
}

// shown is a cell as it is printed: as on a screen, with a true minus.
func (s *sheet) shown(g grid, row reports.Row, k int) string {
	c := row.At(g.cols[k])
	words := s.r.Format().Show(c, g.t.Columns[g.cols[k]])
	if c.IsNumber() && strings.HasPrefix(words, "-") {
		words = "−" + words[1:]
	}
	return words
}

func (s *sheet) cellType(g grid, row reports.Row, k int) draw.Type {
	c := row.At(g.cols[k])
	t := draw.Type{Points: g.points, Bold: row.Style == reports.Total || row.Style == reports.Group || c.Tone() == reports.Bad || c.Tone() == reports.Careful}
	switch {
	case c.IsMissing():
		t.Ink = draw.Grey
	case row.Style == reports.Group:
		t.Ink = draw.Brown
	}
	return t
}

// heads breaks the words above the columns into lines.
func (s *sheet) heads(g grid) (heads [][]string, high float64) {
	tall := 1
	for k, i := range g.cols {
		l := wrap(s.measure, g.t.Columns[i].Head(), headType, g.widths[k])
		heads = append(heads, l)
		tall = max(tall, len(l))
	}
	return heads, float64(tall)*less + 2
}

var headType = draw.Type{Points: small, Ink: draw.Grey}

// head writes the words above the columns; they end on the rule.
func (s *sheet) head(g grid, heads [][]string, high float64) {
	for k, lines := range heads {
		y := s.y + high - 2 - float64(len(lines))*less
		for _, l := range lines {
			s.cell(g, k, y+less*0.8, l, headType)
			y += less
		}
	}
	s.across(g, s.y+high-1, draw.Black, 0.3)
	s.y += high
}

// cell writes one line of a cell.
func (s *sheet) cell(g grid, k int, base float64, words string, t draw.Type) {
	x := s.left + g.at(k)
	if g.t.Columns[g.cols[k]].Numeric() {
		x, t.Anchor = x+g.widths[k], draw.End
	}
	s.on().Text(x, base, words, t)
}

func (s *sheet) across(g grid, y float64, ink draw.Ink, width float64) {
	s.on().Path(draw.Stroke(s.left, y, s.left+g.total(), y), draw.Look{Stroke: ink, Width: width})
}

// needHead turns the page when h mm are not left, and repeats the head then.
func (s *sheet) needHead(h float64, head func()) {
	if s.rest() < h {
		s.turn()
		head()
	}
}

// rows writes rows. The last two stay with the rest mm below the table.
func (s *sheet) rows(g grid, rows []setRow, rest float64, head func()) {
	for i, r := range rows {
		need := r.high
		switch {
		case i >= len(rows)-2:
			need = heightOf(rows[i:]) + rest
		case r.row.Style == reports.Group:
			need += rows[i+1].high
		}
		s.needHead(min(need, s.whole()/2), head)
		s.needHead(r.high, head)
		s.row(g, r, false)
	}
}

// row writes one row and the hairline below it.
func (s *sheet) row(g grid, r setRow, first bool) {
	if (first || r.row.Style == reports.Total || r.row.Style == reports.Sub) && !r.more {
		s.across(g, s.y-0.2, draw.Black, 0.3)
	}
	top := s.y
	if r.row.Style == reports.Group {
		top += 1.5
	}
	for k, lines := range r.lines {
		t := s.cellType(g, r.row, k)
		for n, l := range lines {
			base := top + rowPad/2 + float64(n)*g.step() + g.step()*0.76
			if r.span {
				s.on().Text(s.left, base, l, t)
				continue
			}
			s.cell(g, k, base, l, t)
		}
	}
	s.uprights(g, s.y, r.high)
	s.y += r.high
	s.across(g, s.y-0.2, draw.Hair, 0.15)
}

// ruled writes a line to write on.
func (s *sheet) ruled(g grid, head func()) {
	s.needHead(ruledRow, head)
	for k := range g.cols[1:] {
		x := s.left + g.at(k+1) - g.gap/2
		s.on().Path(draw.Stroke(x, s.y, x, s.y+ruledRow-0.2), draw.Look{Stroke: draw.Hair, Width: 0.2})
	}
	s.y += ruledRow
	s.across(g, s.y-0.2, draw.Rule, 0.2)
}

// uprights draws hairlines next to the columns that are written in by hand.
func (s *sheet) uprights(g grid, y, high float64) {
	for k, i := range g.cols {
		if !g.t.Columns[i].Hand {
			continue
		}
		for _, x := range []float64{g.at(k) - g.gap/2, min(g.total(), g.at(k)+g.widths[k]+g.gap/2)} {
			s.on().Path(draw.Stroke(s.left+x, y, s.left+x, y+high), draw.Look{Stroke: draw.Hair, Width: 0.2})
		}
	}
}

// blocks writes a table that is too wide for the paper one row below the other.
func (s *sheet) blocks(g grid, rows []reports.Row) {
	for _, row := range rows {
		var list reports.Pairs
		for k, i := range g.cols {
			list.Add(g.t.Columns[i].Head(), s.shown(g, row, k))
		}
		s.pairs("", list)
	}
}
