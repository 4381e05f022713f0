package draw

import "math"

// Point is a place in mm.
type Point struct{ X, Y float64 }

// Verb is what a step of a path does.
type Verb byte

// The steps of a path and how many points each has.
const (
	MoveTo  Verb = 'M' // 1
	LineTo  Verb = 'L' // 1
	CurveTo Verb = 'C' // 3: two controls and the end
	Close   Verb = 'Z' // 0
)

// Step is one step of a path. Only the points of its verb count.
type Step struct {
	Verb Verb
	P    [3]Point
}

// Path is a run of steps. It may hold several shapes.
type Path struct{ Steps []Step }

// Move begins a shape.
func (p *Path) Move(x, y float64) *Path { return p.add(MoveTo, Point{x, y}) }

// Line goes straight to a point.
func (p *Path) Line(x, y float64) *Path { return p.add(LineTo, Point{x, y}) }

// Curve goes to (x, y) by a cubic Bezier curve.
func (p *Path) Curve(ax, ay, bx, by, x, y float64) *Path {
	return p.add(CurveTo, Point{ax, ay}, Point{bx, by}, Point{x, y})
}

// Close ends a shape where it began.
func (p *Path) Close() *Path { return p.add(Close) }

func (p *Path) add(v Verb, pts ...Point) *Path {
	s := Step{Verb: v}
	copy(s.P[:], pts)
	p.Steps = append(p.Steps, s)
	return p
}

// Box is a rectangle with its upper left corner at (x, y).
func Box(x, y, w, h float64) *Path {
	return new(Path).Move(x, y).Line(x+w, y).Line(x+w, y+h).Line(x, y+h).Close()
}

// Stroke is a straight line.
func Stroke(x0, y0, x1, y1 float64) *Path { return new(Path).Move(x0, y0).Line(x1, y1) }

// Poly joins points.
func Poly(pts []Point, closed bool) *Path {
	p := new(Path)
	for i, q := range pts {
		if i == 0 {
			p.Move(q.X, q.Y)
		} else {
			p.Line(q.X, q.Y)
		}
	}
	if closed && len(pts) > 0 {
		p.Close()
	}
	return p
}

// Ellipse is drawn by eight cubics that leave it by less than 0.001 % of its
// radius.
func Ellipse(x, y, rx, ry float64) *Path {
	const n = 8
	k := 4.0 / 3 * math.Tan(math.Pi/(2*n))
	p := new(Path).Move(x+rx, y)
	for i := range n {
		s0, c0 := math.Sincos(2 * math.Pi * float64(i) / n)
		s1, c1 := math.Sincos(2 * math.Pi * float64(i+1) / n)
		p.Curve(x+rx*(c0-k*s0), y+ry*(s0+k*c0), x+rx*(c1+k*s1), y+ry*(s1-k*c1), x+rx*c1, y+ry*s1)
	}
	return p.Close()
}

// Flat gives the shapes of a path as runs of points. Curves are followed within
// tol mm.
func (p *Path) Flat(tol float64) []Run {
	var runs []Run
	var cur Run
	flush := func() {
		if len(cur.Pts) > 0 {
			runs = append(runs, cur)
		}
		cur = Run{}
	}
	at := func() Point {
		if len(cur.Pts) == 0 {
			return Point{}
		}
		return cur.Pts[len(cur.Pts)-1]
	}
	for _, s := range p.Steps {
		switch s.Verb {
		case MoveTo:
			flush()
			cur.Pts = append(cur.Pts, s.P[0])
		case LineTo:
			cur.Pts = append(cur.Pts, s.P[0])
		case CurveTo:
			a := at()
			bend := math.Max(math.Hypot(a.X-2*s.P[0].X+s.P[1].X, a.Y-2*s.P[0].Y+s.P[1].Y),
				math.Hypot(s.P[0].X-2*s.P[1].X+s.P[2].X, s.P[0].Y-2*s.P[1].Y+s.P[2].Y))
			// A chord over 1/n of the curve leaves it by at most 6 bend/(8 n n).
			n := int(math.Min(200, math.Ceil(math.Sqrt(0.75*bend/tol))))
			for i := 1; i <= max(1, n); i++ {
				t := float64(i) / float64(max(1, n))
				cur.Pts = append(cur.Pts, onCurve(a, s.P, t))
			}
		case Close:
			cur.Closed = true
			start := Point{}
			if len(cur.Pts) > 0 {
				start = cur.Pts[0]
			}
			flush()
			cur.Pts = append(cur.Pts, start)
		}
	}
	if len(cur.Pts) > 1 {
		flush()
	}
	return runs
}

// Run is one shape as points.
type Run struct {
	Pts    []Point
	Closed bool
}

func onCurve(a Point, p [3]Point, t float64) Point {
	u := 1 - t
	w := [4]float64{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t}
	return Point{
		w[0]*a.X + w[1]*p[0].X + w[2]*p[1].X + w[3]*p[2].X,
		w[0]*a.Y + w[1]*p[0].Y + w[2]*p[1].Y + w[3]*p[2].Y,
	}
}

// Bounds is the box of all points, controls included.
func (p *Path) Bounds() (lo, hi Point) {
	lo, hi = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, s := range p.Steps {
		n := 1
		switch s.Verb {
		case CurveTo:
			n = 3
		case Close:
			n = 0
		}
		for _, q := range s.P[:n] {
			lo = Point{math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)}
			hi = Point{math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)}
		}
	}
	return lo, hi
}
