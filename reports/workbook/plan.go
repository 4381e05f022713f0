package workbook

import (
	"math"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// Widths are in characters of the body face.
const (
	minWidth   = 7.0
	maxText    = 46.0
	pageChars  = 88.0 // of the body face across a page
	columnMost = 72.0 // of a column: fits the paper with a wide face too
	boldWider  = 0.82 // what a line of bold letters holds, against plain ones
	measured   = 300  // rows looked at for the width of a column
)

// plan settles where everything of a table will be. The front is the first sheet.
func (b *book) plan(t *reports.Table, front bool) *place {
	p := &place{sheet: sheetName(t.Name), table: t, front: front, keys: map[string]int{}}
	tail := tailKeys(t, b.r)
	rows := append(t.Top(measured), tail...)
	for i, c := range t.Columns {
		p.widths = append(p.widths, b.width(i, c, rows))
	}
	p.shown = b.shown(p)
	p.title, p.below = plain.Clean(titleOf(t, b.r)), plain.Clean(t.Subtitle)
	if subject := plain.Clean(b.r.Title); p.below == "" && subject != p.title {
		p.below = subject // a sheet alone says whose it is
	}
	top := len(plain.Wrap(p.title, p.titleRoom()))
	if p.below != "" {
		top += len(plain.Wrap(p.below, p.noteRoom()))
	}
	p.head = top + 2
	p.first = p.head + 1
	p.last = p.head + t.Size()
	for i, r := range t.Rows {
		if r.Key != "" {
			p.keys[r.Key] = p.first + i
		}
	}
	for i, r := range tail {
		if r.Key != "" {
			p.keys[r.Key] = p.last + 1 + i
		}
	}
	return p
}

// tailKeys gives the rows below the data without reading a stream: their
// values come later, their places are known now.
func tailKeys(t *reports.Table, r reports.Report) []reports.Row {
	rows := append([]reports.Row(nil), t.Footer...)
	if t.Stream == nil {
		return t.Tail(r.Currency)
	}
	for _, c := range t.Columns {
		if c.Sum {
			return append(rows, reports.Row{Key: "total", Style: reports.Total})
		}
	}
	return rows
}

func titleOf(t *reports.Table, r reports.Report) string {
	if t.Title != "" {
		return t.Title
	}
	return r.Title
}

// total is the width of the columns that are printed.
func (p *place) total() float64 {
	w := 0.0
	for _, x := range p.widths[:p.shown] {
		w += x
	}
	return math.Max(w, 40)
}

// leastScale is the least that a sheet is scaled down: type of 10 points stays 9.
const leastScale = 0.9

// leastText is the narrowest that a column of words is set in lines, in characters.
const leastText = 20.0

// columnsUpright is how many columns a page is upright for.
const columnsUpright = 9

// shown is how many of the columns are printed: those that fit the paper without
// type below nine points.
func (b *book) shown(p *place) int {
	p.shown = len(p.widths)
	w, _ := b.paper(p)
	room := (w - 2*72*sideMargin) / leastScale / pointsPerCh
	sum, n := 0.0, 0
	for i, x := range p.widths {
		if sum += x; sum > room && n >= 3 {
			if rest := room - (sum - x); !p.table.Columns[i].Numeric() && rest >= leastText {
				p.widths[i] = rest // its words are set in lines
				n++
			}
			break
		}
		n++
	}
	return n
}

// titleRoom and noteRoom are how many characters fit next to the edge of the
// paper; a narrow table leaves room to its right.
func (p *place) titleRoom() int { return int(math.Max(p.total(), pageChars) * 0.6) }

func (p *place) noteRoom() int { return int(math.Max(p.total(), pageChars)) }

// width is a column's width: its own wish, or what header and cells need.
func (b *book) width(i int, c reports.Column, rows []reports.Row) float64 {
	if c.Width > 0 {
		// A column cannot be split over two pages, so one that is wider than the
		// paper is cut off where a lone one is not scaled down.
		return math.Min(c.Width, columnMost)
	}
	w := minWidth
	for _, word := range strings.Fields(plain.Clean(c.Head())) {
		w = math.Max(w, float64(plain.Width(word))+3)
	}
	w = math.Max(w, float64(plain.Width(c.Head()))/2+3)
	for _, r := range rows {
		if r.Style == reports.Group {
			continue
		}
		cell := r.At(i)
		n := float64(plain.Width(b.v.Show(cell, c)))
		if cell.IsNumber() {
			n += 1 + n/6 // thousands marks, a digit more after a change
		}
		w = math.Max(w, n+3)
	}
	return math.Min(w, maxText)
}
