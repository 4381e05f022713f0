package paper

import (
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// section sets a table, a drawing or sentences.
func (s *sheet) section(x reports.Section) {
	switch d := x.Drawing.(type) {
	case nil:
	case reports.Pairs:
		s.pairs(x.Title, d)
	case reports.Picture:
		s.picture(x.Title, d)
	default:
		s.plain(x.Title, d)
	}
	if x.Table != nil {
		if !x.Table.SheetOnly {
			s.table(x.Table.Gather())
		}
	} else if x.Drawing == nil && x.Title != "" && len(x.Notes) > 0 {
		s.heading(x.Title, line)
	}
	s.notes(x.Notes)
}

// notes writes sentences in small type.
func (s *sheet) notes(notes []string) {
	first := true
	for _, n := range notes {
		if strings.TrimSpace(n) == "" {
			continue
		}
		if first {
			s.gap(1.8)
			first = false
		}
		s.words(n, 0, draw.Type{Points: small, Ink: draw.Grey}, less)
	}
}

// pairs writes words with what is said of them in two columns.
func (s *sheet) pairs(title string, list reports.Pairs) {
	if len(list) == 0 {
		return
	}
	if title != "" {
		s.heading(title, line)
	} else {
		s.gap(3)
	}
	head, text := draw.Type{Points: body, Ink: draw.Grey}, draw.Type{Points: body}
	column := 0.0
	for _, p := range list {
		column = max(column, s.measure.Width(strings.TrimSpace(p.Head), head)+5)
	}
	column = min(column, s.room*0.4)
	for _, p := range list {
		if p.Head == "" {
			s.words(p.Text, 0, text, line)
			continue
		}
		heads := wrap(s.measure, strings.TrimSpace(p.Head), head, column-3)
		lines := wrap(s.measure, p.Text, text, s.room-column)
		rows := max(len(heads), len(lines))
		s.need(line * float64(min(rows, 3)))
		for i := range rows {
			s.need(line)
			if i < len(heads) {
				s.on().Text(s.left, s.y+line*0.78, heads[i], head)
			}
			if i < len(lines) {
				s.on().Text(s.left+column, s.y+line*0.78, lines[i], text)
			}
			s.y += line
		}
		s.y += 0.5
	}
}

// pictureEdge is what the pictures of a report leave free at their sides.
const pictureEdge = 8.0

// picture draws a picture at its own size, or smaller where the page is smaller.
func (s *sheet) picture(title string, p reports.Picture) {
	w, h := p.Size()
	k := min(1, s.room/max(1, w-2*pictureEdge), s.whole()/max(1, h))
	if left := (s.rest() - 12) / max(1, h); left < k && left > 0.6*k {
		k = left // rather smaller than on the next page
	}
	if title != "" {
		s.heading(title, h*k)
	} else {
		s.gap(3)
	}
	s.need(h * k)
	at := draw.Moved(s.on(), s.left-pictureEdge*k, s.y)
	if k < 1 {
		at = draw.Scaled(at, k)
	}
	p.Draw(at)
	s.y += h * k
}

// plain writes a drawing that has a form in plain characters only. What is two
// blanks apart keeps its column.
func (s *sheet) plain(title string, d reports.Drawing) {
	const wide = 1.85 // of a character cell, mm
	text := d.Text(int(s.room / wide))
	if strings.TrimSpace(text) == "" {
		return
	}
	if title != "" {
		s.heading(title, line)
	} else {
		s.gap(3)
	}
	t := draw.Type{Points: small}
	for _, l := range strings.Split(text, "\n") {
		s.need(less)
		x := 0.0
		column := 0
		for l != "" {
			blank := len(l) - len(strings.TrimLeft(l, " "))
			l, column = l[blank:], column+blank
			run, rest, _ := strings.Cut(l, "  ")
			if run != "" {
				x = max(x, float64(column)*wide)
				s.on().Text(s.left+x, s.y+less*0.78, draw.Cut(s.measure, run, t, s.room-x), t)
				x += s.measure.Width(run, t) + 2
			}
			column += len([]rune(run)) + 2
			if l = rest; rest == "" {
				break
			}
		}
		s.y += less
	}
}

// accept writes what a customer signs, all of it on one page.
func (s *sheet) accept() {
	if s.r.Accept == "" {
		return
	}
	const tall, gap = 32.0, 8.0
	bold := draw.Type{Points: body, Bold: true}
	s.gap(8)
	s.need(tall)
	s.rule(s.y, draw.Rule, 0.2)
	s.y += 3
	s.words(s.r.Accept, 0, bold, line)
	s.y += 14
	wide := (s.room - 2*gap) / 3
	for i, words := range []string{"Place and date", "Signature", "For the workshop"} {
		x := s.left + float64(i)*(wide+gap)
		s.on().Path(draw.Stroke(x, s.y, x+wide, s.y), draw.Look{Stroke: draw.Black, Width: 0.2})
		s.on().Text(x, s.y+4, words, draw.Type{Points: small, Ink: draw.Grey})
	}
	s.y += 6
}

// counted ends a paper for the shop: what it was calculated with, and how each
// figure came about.
func (s *sheet) counted() {
	if len(s.r.Inputs) > 0 {
		t := reports.Table{Name: "figures used", Title: "Figures used", Columns: []reports.Column{
			{Key: "input", Header: "input"}, {Key: "value", Header: "value", Kind: reports.KindNumber}, {Key: "unit", Header: "unit"}, {Key: "basis", Header: "where it comes from"}}}
		for _, in := range s.r.Inputs {
			t.Add(reports.Text(in.Label), in.Value, reports.Text(in.Unit), reports.Text(in.Basis))
		}
		s.table(t)
	}
	if len(s.r.Counted) > 0 {
		s.table(s.r.CountedTable())
	}
}
