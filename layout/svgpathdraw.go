package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// shape is one connected run of segments of a path.
type shape struct {
	segs   []segment
	closed bool
}

// draw adds one round of a command to the current shape.
func (p *pathReader) draw(upper byte, relative bool, a [7]float64) {
	base := r2.Vec{}
	if relative {
		base = p.at
	}
	point := func(i int) r2.Vec { return r2.Add(base, r2.Vec{X: a[i], Y: a[i+1]}) }
	from := p.at
	switch upper {
	case 'M':
		p.flush()
		p.at = point(0)
		p.start = p.at
	case 'L':
		p.line(point(0))
	case 'H':
		p.line(r2.Vec{X: base.X + a[0], Y: from.Y})
	case 'V':
		p.line(r2.Vec{X: from.X, Y: base.Y + a[0]})
	case 'C':
		p.cubic(point(0), point(2), point(4))
		return
	case 'S':
		first := from
		if p.last == 'C' || p.last == 'S' {
			first = r2.Sub(r2.Scale(2, from), p.mirror)
		}
		p.cubic(first, point(0), point(2))
		return
	case 'Q':
		p.quad(point(0), point(2))
		return
	case 'T':
		ctrl := from
		if p.last == 'Q' || p.last == 'T' {
			ctrl = r2.Sub(r2.Scale(2, from), p.mirror)
		}
		p.quad(ctrl, point(0))
		return
	case 'A':
		p.arc(a, point(5))
	}
	p.mirror = p.at
}

func (p *pathReader) add(s segment, to r2.Vec) {
	p.cur.segs = append(p.cur.segs, s)
	p.total++
	p.at = to
}

// line leaves out a line of no length.
func (p *pathReader) line(to r2.Vec) {
	p.total++
	if to != p.at {
		p.cur.segs = append(p.cur.segs, lineSeg(p.at, to))
	}
	p.at = to
}

func (p *pathReader) cubic(c1, c2, to r2.Vec) {
	p.add(segment{Kind: segCubic, Edge: true, P: [4]r2.Vec{p.at, c1, c2, to}}, to)
	p.mirror = c2
}

func (p *pathReader) quad(ctrl, to r2.Vec) {
	p.add(quadSeg(p.at, ctrl, to), to)
	p.mirror = ctrl
}

// arc follows SVG 2, 9.5.1: no radius is a line, the same end is nothing, and
// radii count without their signs.
func (p *pathReader) arc(a [7]float64, to r2.Vec) {
	rx, ry := math.Abs(a[0]), math.Abs(a[1])
	switch {
	case to == p.at:
		return
	case rx < 1e-9 || ry < 1e-9:
		p.line(to)
		return
	}
	p.add(arcSeg(p.at, to, rx, ry, a[2], a[3] == 1, a[4] == 1), to)
}

// close draws back to the start of the subpath. What follows without a move
// starts a new shape there.
func (p *pathReader) close() {
	if r2.Norm(r2.Sub(p.at, p.start)) > 1e-9 {
		p.line(p.start)
	}
	p.at, p.mirror = p.start, p.start
	p.cur.closed = true
	p.flush()
}

// flush ends the current shape.
func (p *pathReader) flush() {
	if len(p.cur.segs) > 0 {
		p.shapes = append(p.shapes, p.cur)
	}
	p.cur = shape{}
}

// largest is the shape whose bounding box is largest: the outline among
// pockets and ornaments.
func largest(shapes []shape) (int, float64) {
	best, bestArea := 0, -1.0
	for i, sh := range shapes {
		lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
		for _, s := range sh.segs {
			for k := range 9 {
				p := s.at(float64(k) / 8)
				lo = r2.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
				hi = r2.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
			}
		}
		if area := (hi.X - lo.X) * (hi.Y - lo.Y); area > bestArea {
			best, bestArea = i, area
		}
	}
	return best, bestArea
}
