package paper

import (
	"fmt"
	"math"

	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// pageCount is how many pages a side has: the tiles and the page before them.
func (p *plate) pageCount() int {
	if len(p.f.tiles) == 1 {
		return 1
	}
	return len(p.f.tiles) + 1
}

// pageOf is the page that a tile is on; the first page is 1.
func (p *plate) pageOf(col, row int) int { return 2 + row*p.f.tiles[0].cols + col }

// joins draws where the pages meet. Of two pages the one nearer to the tip, or
// further to the right, is cut along a solid line and laid on the dashed line of
// the other. A pair of triangles shows the place on both.
func (p *plate) joins(t tile) {
	letter := func(i int) string { return string(rune('A' + i%26)) }
	small := draw.Type{Points: 8}
	for k, y := range t.joinY {
		if math.IsNaN(y) {
			continue
		}
		name := letter(t.row + k - 1)
		look, words, off := lookCut, "cut along this line: join "+name, -3.6
		if k == 1 {
			look, off = lookTape, 1.4
			words = fmt.Sprintf("join %s: lay the cut edge of page %d on this line and tape it", name, p.pageOf(t.col, t.row+1))
		}
		p.line(p.f.x0, y, p.f.x1, y, look)
		at := p.onPage(p.f.x0+12, y+off)
		p.s.Text(at.X, at.Y, words, small)
		for _, x := range []float64{p.f.x0 + 5, p.f.x1 - 5} {
			p.triangle(x, y, 0, 1)
		}
	}
	for k, x := range t.joinX {
		if math.IsNaN(x) {
			continue
		}
		name := letter(12 + t.col + k - 1)
		look, words, off := lookCut, "cut along this line: join "+name, -1.4
		if k == 1 {
			look, off = lookTape, 3.6
			words = fmt.Sprintf("join %s: lay the cut edge of page %d on this line and tape it", name, p.pageOf(t.col+1, t.row))
		}
		p.line(x, p.f.y0, x, p.f.y1, look)
		at := p.onPage(x+off, p.f.y0+12)
		turned := small
		turned.Turn = 90
		p.s.Text(at.X, at.Y, words, turned)
		for _, y := range []float64{p.f.y0 + 5, p.f.y1 - 5} {
			p.triangle(x, y, 1, 0)
		}
	}
}

// triangle points at the join from both sides.
func (p *plate) triangle(x, y, dx, dy float64) {
	for _, s := range []float64{-1, 1} {
		pts := []draw.Point{p.onPage(x, y), p.onPage(x+s*2.2*dx+1.2*dy, y+s*2.2*dy+1.2*dx), p.onPage(x+s*2.2*dx-1.2*dy, y+s*2.2*dy-1.2*dx)}
		p.s.Path(draw.Poly(pts, true), draw.Look{Fill: draw.Black})
	}
}

// cover is page 1 of a tiled template: the table of posts, how the pages are laid, and
// how they come together.
func (p *plate) cover() {
	f := p.f
	p.s.Page(f.w, f.h)
	p.tile = -1
	left, top := pageMargin+4, f.h-pageMargin-8
	p.text(left, top, "How the pages come together", 14, draw.Start, true)
	y := top - 8
	for i, words := range []string{
		"Print all pages at 100 %. On each page measure both bars: they must read 100.0 mm.",
		"Cut each page along its solid line, if it has one.",
		"Lay the cut edge on the dashed line with the same letter. The triangles and the drawing must meet.",
		"Tape the join. Measure from the datum to the last post and compare it with the table.",
	} {
		for k, l := range draw.Lines(p.s, words, draw.Type{Points: 10}, f.w-2*left-8) {
			if k == 0 {
				p.text(left, y, fmt.Sprintf("%d", i+1), 10, draw.Start, true)
			}
			p.text(left+6, y, l, 10, draw.Start, false)
			y -= 5
		}
	}
	y -= 4
	p.table(left, y)
	p.pageMap(left+postsWidth+14, y+3, f.w-pageMargin-4-(left+postsWidth+14), y+3-f.y0)
	p.bars()
	p.title()
}

// pageMap draws the head small within a box given by its upper left corner, with
// the pages over it.
func (p *plate) pageMap(x, top, w, h float64) {
	f := p.f
	first, last := f.tiles[0], f.tiles[len(f.tiles)-1]
	// The field of a tile in the plan's scaled measures: the page less its shift.
	x0, y0 := f.x0-first.dx, f.y0-first.dy
	x1, y1 := f.x1-last.dx, f.y1-last.dy
	k := math.Min(w/(x1-x0), h/(y1-y0))
	to := func(q layout.Point) draw.Point { return p.onPage(x+(q.X-x0)*k, top-(y1-q.Y)*k) }
	var pts []draw.Point
	for _, q := range p.k.Outline {
		pts = append(pts, to(f.lay(q)))
	}
	p.s.Path(draw.Poly(pts, p.k.Closed), draw.Look{Stroke: draw.Black, Width: 0.3})
	for _, post := range p.t.Plan.Posts {
		c := to(f.lay(layout.Point{X: post.XMM, Y: post.YMM}))
		p.s.Path(draw.Ellipse(c.X, c.Y, 0.8, 0.8), draw.Look{Fill: draw.Brown})
	}
	for i, t := range f.tiles {
		a := layout.Point{X: f.x0 - t.dx, Y: f.y0 - t.dy}
		b := layout.Point{X: f.x1 - t.dx, Y: f.y1 - t.dy}
		if !math.IsNaN(t.joinX[0]) {
			a.X = t.joinX[0] - t.dx
		}
		if !math.IsNaN(t.joinX[1]) {
			b.X = t.joinX[1] - t.dx
		}
		if !math.IsNaN(t.joinY[0]) {
			a.Y = t.joinY[0] - t.dy
		}
		if !math.IsNaN(t.joinY[1]) {
			b.Y = t.joinY[1] - t.dy
		}
		lo, hi := to(a), to(b)
		p.s.Path(draw.Box(lo.X, hi.Y, hi.X-lo.X, lo.Y-hi.Y), lookTape)
		p.s.Text(hi.X-1.5, hi.Y+5, fmt.Sprintf("page %d", i+2), draw.Type{Points: 9, Bold: true, Anchor: draw.End})
	}
}
