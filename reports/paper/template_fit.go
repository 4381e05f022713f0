package paper

import (
	"math"

	"bookmatch/layout"
	"bookmatch/reports"
)

// The page of a template, in mm.
const (
	pageMargin  = 10.0
	titleHeight = 40.0 // the strip with the title at the foot
	barStrip    = 13.0 // above it the bar across; left of the drawing the bar along
	tileOverlap = 12.0
	barMM       = 100.0
	postsWidth  = 64.0 // the table of posts, where there is room next to the head
)

// fitting is how a plan fits on its pages. A point of the plan is mirrored for
// the back, turned when that lets it fit, scaled by the printer's correction
// and moved to the page.
type fitting struct {
	w, h           float64 // page
	x0, y0, x1, y1 float64 // the field for the drawing
	mirror, turned bool
	sx, sy         float64
	tiles          []tile
	table          bool // room for the table of posts next to the head
}

// tile is one page: the shift from scaled plan to page, and where it joins.
type tile struct {
	dx, dy       float64
	joinX, joinY [2]float64 // page places of the joins left/right and below/above; NaN: none
	col, row     int
	cols, rows   int
}

// box is the plan's box as it is on the page before the shift.
func (f fitting) box(k layout.Sketch) (x0, y0, x1, y1 float64) {
	a, b := f.lay(k.Lo), f.lay(k.Hi)
	return math.Min(a.X, b.X), math.Min(a.Y, b.Y), math.Max(a.X, b.X), math.Max(a.Y, b.Y)
}

// lay mirrors, turns and scales.
func (f fitting) lay(p layout.Point) layout.Point {
	if f.mirror {
		p.X = -p.X
	}
	if f.turned { // the tip to the right
		p = layout.Point{X: p.Y, Y: -p.X}
	}
	return layout.Point{X: p.X * f.sx, Y: p.Y * f.sy}
}

// fit finds the page: upright if the head fits, else lying, else tiles; an SVG
// is never tiled but as large as it must be.
func (t Template) fit(k layout.Sketch, side string, tiled bool) fitting {
	pw, ph, ok := Size(t.Paper)
	if !ok {
		pw, ph, _ = Size(reports.A4)
	}
	base := fitting{mirror: side == BackSide}
	base.sx, base.sy = t.correction()
	for _, turned := range []bool{false, true} {
		f := base
		f.turned = turned
		f.page(pw, ph)
		if turned {
			f.page(ph, pw)
		}
		x0, y0, x1, y1 := f.box(k)
		if x1-x0 <= f.x1-f.x0 && y1-y0 <= f.y1-f.y0 {
			f.table = f.x1-f.x0-(x1-x0) >= postsWidth+6
			room := f.x1 - f.x0
			if f.table {
				room -= postsWidth + 4
			}
			f.tiles = []tile{{dx: f.x0 + (room-(x1-x0))/2 - x0, dy: f.y0 + (f.y1-f.y0-(y1-y0))/2 - y0, joinX: none, joinY: none, cols: 1, rows: 1}}
			return f
		}
	}
	f := base
	f.page(pw, ph)
	x0, y0, x1, y1 := f.box(k)
	if !tiled {
		f.page(math.Max(pw, x1-x0+pw-(f.x1-f.x0)), math.Max(ph, y1-y0+ph-(f.y1-f.y0)))
		f.tiles = []tile{{dx: f.x0 - x0, dy: f.y0 - y0, joinX: none, joinY: none, cols: 1, rows: 1}}
		return f
	}
	xs := cuts(x0, x1, f.x1-f.x0, t.busy(f, k, func(p layout.Point) float64 { return p.X }))
	ys := cuts(y0, y1, f.y1-f.y0, t.busy(f, k, func(p layout.Point) float64 { return p.Y }))
	for r := range len(ys) - 1 {
		for c := range len(xs) - 1 {
			one := tile{col: c, row: r, cols: len(xs) - 1, rows: len(ys) - 1}
			one.dx, one.joinX = along(xs, c, f.x0, f.x1)
			one.dy, one.joinY = along(ys, r, f.y0, f.y1)
			f.tiles = append(f.tiles, one)
		}
	}
	return f
}

var none = [2]float64{math.NaN(), math.NaN()}

func (f *fitting) page(w, h float64) {
	f.w, f.h = w, h
	f.x0, f.y0 = pageMargin+barStrip, pageMargin+titleHeight+barStrip
	f.x1, f.y1 = w-pageMargin, h-pageMargin
}

// busy is the stretches, along one page axis, where no join may fall: posts
// with their flanges.
func (t Template) busy(f fitting, k layout.Sketch, axis func(layout.Point) float64) [][2]float64 {
	var out [][2]float64
	r := math.Max(k.FlangeMM/2, 5) + 3
	for _, p := range t.Plan.Posts {
		c := axis(f.lay(layout.Point{X: p.XMM, Y: p.YMM}))
		out = append(out, [2]float64{c - r, c + r})
	}
	return out
}

// cuts divides lo..hi into stretches that fit the room with the overlap: as few
// as there can be, as equal as the posts allow, so that no page is a sliver. The
// first and last are the ends.
func cuts(lo, hi, room float64, busy [][2]float64) []float64 {
	n := 1
	for hi-lo > reach(n, room) {
		n++
	}
	for try := n; try < n+3; try++ {
		if out, ok := evenCuts(lo, hi, room, try, busy); ok {
			return out
		}
	}
	out, _ := evenCuts(lo, hi, room, n, nil) // posts everywhere: a join must fall on one
	return out
}

// reach is how long n stretches can be together: each inner join takes an overlap
// on both of its pages.
func reach(n int, room float64) float64 { return float64(n)*room - 2*float64(n-1)*tileOverlap }

// evenCuts looks for n-1 free places, each as near to an even division as can be.
// ok is false when there are none.
func evenCuts(lo, hi, room float64, n int, busy [][2]float64) (out []float64, ok bool) {
	out = []float64{lo}
	for i := 1; i < n; i++ {
		even := lo + (hi-lo)*float64(i)/float64(n)
		least := math.Max(out[i-1]+room/4, hi-reach(n-i, room)+tileOverlap)
		most := out[i-1] + room - 2*tileOverlap
		if i == 1 {
			most = out[0] + room - tileOverlap
		}
		at := math.NaN()
		for off := 0.0; off < room && math.IsNaN(at); off += 0.5 {
			for _, try := range []float64{even - off, even + off} {
				if try >= least-1e-9 && try <= most+1e-9 && free(try, busy) {
					at = try
					break
				}
			}
		}
		if math.IsNaN(at) {
			return nil, false
		}
		out = append(out, at)
	}
	return append(out, hi), true
}

func free(at float64, busy [][2]float64) bool {
	for _, b := range busy {
		if at > b[0] && at < b[1] {
			return false
		}
	}
	return true
}

// along places stretch i of the cuts in the middle of the field lo..hi of a page.
func along(cuts []float64, i int, lo, hi float64) (shift float64, joins [2]float64) {
	joins = none
	before, after := 0.0, 0.0
	if i > 0 {
		before = tileOverlap
	}
	if i < len(cuts)-2 {
		after = tileOverlap
	}
	start := lo + before + (hi-lo-before-after-(cuts[i+1]-cuts[i]))/2
	shift = start - cuts[i]
	if i > 0 {
		joins[0] = cuts[i] + shift
	}
	if i < len(cuts)-2 {
		joins[1] = cuts[i+1] + shift
	}
	return shift, joins
}
