package paper

import (
	"slices"

	"bookmatch/reports"
)

// grid is the columns of a table as they are set.
type grid struct {
	t      reports.Table
	cols   []int
	widths []float64 // mm
	gap    float64   // between columns, mm
	points float64
}

func (g grid) step() float64 {
	if g.points < body {
		return less
	}
	return line
}

// at is the left edge of a column.
func (g grid) at(k int) float64 {
	x := 0.0
	for _, w := range g.widths[:k] {
		x += w + g.gap
	}
	return x
}

// total is the width of the table.
func (g grid) total() float64 { return g.at(len(g.widths)) - g.gap }

// grid settles the columns of a table: all of them where it is a wide table and
// they fit, else those of a screen. ok is false when they do not fit at all.
func (s *sheet) grid(t reports.Table) (g grid, ok bool) {
	for _, cols := range choices(t) {
		for _, points := range []float64{body, small} {
			if g, ok = s.fit(t, cols, points, s.room); ok {
				s.stretch(&g)
				return g, true
			}
		}
	}
	return g, false
}

// choices gives the sets of columns to try, the fullest first.
func choices(t reports.Table) [][]int {
	var usual, full []int
	for i, c := range t.Columns {
		if !c.SheetOnly || c.Hand {
			usual = append(usual, i)
		}
		if !c.SheetOnly || c.Hand || says(t, i) {
			full = append(full, i)
		}
	}
	if len(usual) == 0 {
		return [][]int{full}
	}
	if t.Wide && len(full) > len(usual) {
		return [][]int{full, usual}
	}
	return [][]int{usual}
}

// says that a column has a value in some row.
func says(t reports.Table, i int) bool {
	for _, r := range t.Rows {
		if !r.At(i).IsEmpty() {
			return true
		}
	}
	return false
}

// landscape says that the pages are turned: the first table, which the paper is for,
// does not fit upright with all its columns, or another not with those of a
// screen. All pages of a paper are read the same way round.
func (s *sheet) landscape() bool {
	first := true
	for _, t := range s.r.Tables() {
		if t.SheetOnly {
			continue
		}
		all := t.Gather()
		sets := choices(all)
		if !first {
			sets = sets[len(sets)-1:]
		}
		if _, ok := s.fit(all, sets[0], small, s.room); !ok {
			return true
		}
		first = false
	}
	return false
}

// fit gives each column the width it needs. Columns of text give way, the widest
// first, down to their longest word. Figures never break.
func (s *sheet) fit(t reports.Table, cols []int, points, room float64) (grid, bool) {
	g := grid{t: t, cols: cols, gap: columnGap, points: points, widths: make([]float64, len(cols))}
	least := make([]float64, len(cols))
	for k, i := range cols {
		c := t.Columns[i]
		for _, p := range pieces(c.Head()) {
			least[k] = max(least[k], s.measure.Width(trim(p), headType))
		}
		if c.Hand {
			least[k] = max(least[k], 17)
		}
		g.widths[k] = least[k]
	}
	rows := append(append([]reports.Row(nil), t.Rows...), t.Tail(s.r.Currency)...)
	for _, row := range rows {
		if row.Style == reports.Group && spans(g, row) {
			continue
		}
		for k, i := range cols {
			words := s.shown(g, row, k)
			if words == "" {
				continue
			}
			ty := s.cellType(g, row, k)
			full := s.measure.Width(words, ty)
			g.widths[k] = max(g.widths[k], full)
			if c := row.At(i); c.Kind() != reports.KindText && !c.IsMissing() {
				least[k] = max(least[k], full)
				continue
			}
			least[k] = max(least[k], min(full, 20))
			for _, p := range pieces(words) {
				least[k] = max(least[k], min(40, s.measure.Width(trim(p), ty)))
			}
		}
	}
	roomy := slices.Clone(g.widths)
	for k, i := range cols {
		roomy[k] = max(roomy[k], s.twoLines(t.Columns[i].Head(), roomy[k]))
	}
	if h := (grid{widths: roomy, gap: g.gap}); h.total() <= room {
		g.widths = roomy
	}
	for over := g.total() - room; over > 0.001; over = g.total() - room {
		widest := -1
		for k := range g.widths {
			if g.widths[k] > least[k] && (widest < 0 || g.widths[k] > g.widths[widest]) {
				widest = k
			}
		}
		if widest < 0 {
			return g, false
		}
		g.widths[widest] = max(least[widest], g.widths[widest]-max(0.2, min(over, 2)/4))
	}
	return g, true
}

// twoLines is the width in which the words above a column take two lines.
func (s *sheet) twoLines(head string, least float64) float64 {
	for w := least; w < 40; w++ {
		if len(wrap(s.measure, head, headType, w)) <= 2 {
			return w
		}
	}
	return least
}

// stretch lets a table that is nearly as wide as the page, or that is written in
// by hand, end at the page's right edge.
func (s *sheet) stretch(g *grid) {
	free := s.room - g.total()
	switch {
	case free <= 0:
	case g.t.Ruled > 0:
		all := 0.0
		for _, i := range g.cols {
			all += share(g.t.Columns[i])
		}
		room := s.room - g.gap*float64(len(g.cols)-1)
		for k, i := range g.cols {
			g.widths[k] = max(g.widths[k], room*share(g.t.Columns[i])/all)
		}
		if over := g.total() - s.room; over > 0 {
			last := len(g.widths) - 1
			g.widths[last] -= over
		}
	case s.byHand(g, free):
	case free < 0.3*s.room && len(g.cols) > 1:
		g.gap += free / float64(len(g.cols)-1)
	case len(g.cols) > 1:
		g.gap += min(2.5, free/float64(len(g.cols)-1))
	}
}

// share is the part of the page that a column of a card asks for.
func share(c reports.Column) float64 {
	if c.Width > 0 {
		return c.Width
	}
	return max(8, float64(c.Max))
}

// byHand gives what is free to the columns that are written in by hand.
func (s *sheet) byHand(g *grid, free float64) bool {
	n := 0
	for _, i := range g.cols {
		if g.t.Columns[i].Hand {
			n++
		}
	}
	if n == 0 {
		return false
	}
	for k, i := range g.cols {
		if g.t.Columns[i].Hand {
			g.widths[k] += min(free/float64(n), 22)
		}
	}
	return true
}

func trim(p string) string {
	for len(p) > 0 && p[len(p)-1] == ' ' {
		p = p[:len(p)-1]
	}
	return p
}
