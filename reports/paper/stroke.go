package paper

import (
	"math"

	"bookmatch/reports/draw"
)

// stroked turns the stroke of a path into shapes to fill: one for each run of
// each dash, with butt ends and round joins. Curves are followed within tol mm.
func stroked(path *draw.Path, width float64, dash []float64, tol float64) []*draw.Path {
	var out []*draw.Path
	for _, run := range path.Flat(tol) {
		pts := run.Pts
		if run.Closed && len(pts) > 0 && pts[0] != pts[len(pts)-1] {
			pts = append(pts[:len(pts):len(pts)], pts[0])
		}
		for _, piece := range dashed(pts, dash) {
			closed := run.Closed && len(dash) == 0
			if p := thick(piece, closed, width/2); len(p.Steps) > 0 {
				out = append(out, p)
			}
		}
	}
	return out
}

// dashed cuts a line into its dashes. A pattern that does not add up to anything
// leaves the line whole; an odd number of lengths counts twice, as in SVG.
func dashed(pts []draw.Point, dash []float64) [][]draw.Point {
	if len(dash)%2 == 1 {
		dash = append(dash[:len(dash):len(dash)], dash...)
	}
	total := 0.0
	for _, d := range dash {
		total += math.Max(0, d)
	}
	if !(total > 0.01) || len(pts) < 2 {
		return [][]draw.Point{pts}
	}
	var out [][]draw.Point
	cur := []draw.Point{pts[0]}
	k, left := 0, dash[0]
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		done := 0.0
		for long-done > left {
			done += left
			q := draw.Point{X: a.X + (b.X-a.X)*done/long, Y: a.Y + (b.Y-a.Y)*done/long}
			if k%2 == 0 {
				out = append(out, append(cur, q))
			}
			k = (k + 1) % len(dash)
			left = dash[k]
			cur = []draw.Point{q}
		}
		left -= long - done
		cur = append(cur, b)
	}
	if k%2 == 0 && len(cur) > 1 {
		out = append(out, cur)
	}
	return out
}

// thick is a line of half-width r: a box for each piece and a disc for each
// bend. All run the same way round, so that the non-zero rule joins them.
func thick(pts []draw.Point, closed bool, r float64) *draw.Path {
	p := new(draw.Path)
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		if l == 0 {
			continue
		}
		nx, ny := -(b.Y-a.Y)/l*r, (b.X-a.X)/l*r
		p.Move(a.X-nx, a.Y-ny).Line(b.X-nx, b.Y-ny).Line(b.X+nx, b.Y+ny).Line(a.X+nx, a.Y+ny).Close()
		if i+1 < len(pts) || closed {
			p.Steps = append(p.Steps, draw.Ellipse(b.X, b.Y, r, r).Steps...)
		}
	}
	return p
}
