package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// segKind names the pieces an outline is made of.
type segKind int

const (
	segLine  segKind = iota
	segArc           // circular: exact distance
	segOval          // elliptical arc
	segCubic         // cubic Bezier; quadratics are raised to it exactly
)

// segment is one piece of the outline. Lines and cubics use P; arcs and ovals
// run C + U cos t + V sin t from t0 over dt, which any affine map keeps.
type segment struct {
	Kind    segKind
	P       [4]r2.Vec
	C, U, V r2.Vec
	t0, dt  float64
	Edge    bool // false for the line across the fretboard end
}

func lineSeg(a, b r2.Vec) segment {
	return segment{Kind: segLine, P: [4]r2.Vec{a, b}, Edge: true}
}

func quadSeg(a, q, b r2.Vec) segment {
	return segment{Kind: segCubic, Edge: true, P: [4]r2.Vec{
		a, r2.Add(r2.Scale(1.0/3, a), r2.Scale(2.0/3, q)), r2.Add(r2.Scale(1.0/3, b), r2.Scale(2.0/3, q)), b,
	}}
}

// arcSeg converts an SVG arc to centre form (SVG 2, appendix B.2.4).
func arcSeg(a, b r2.Vec, rx, ry, rotDeg float64, large, sweep bool) segment {
	sin, cos := math.Sincos(radians(rotDeg))
	d := r2.Scale(0.5, r2.Sub(a, b))
	x, y := cos*d.X+sin*d.Y, -sin*d.X+cos*d.Y
	l := math.Sqrt(x*x/(rx*rx) + y*y/(ry*ry))
	if l > 1 {
		rx, ry = rx*l, ry*l
	}
	den := rx*rx*y*y + ry*ry*x*x
	k := 0.0
	if den > 0 && l < 1 { // radii just long enough: the centre is half way
		k = math.Sqrt(math.Max(0, (rx*rx*ry*ry-den)/den))
	}
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	mid := r2.Scale(0.5, r2.Add(a, b))
	c := r2.Vec{X: cos*cx - sin*cy + mid.X, Y: sin*cx + cos*cy + mid.Y}
	t0 := math.Atan2((y-cy)/ry, (x-cx)/rx)
	dt := math.Atan2((-y-cy)/ry, (-x-cx)/rx) - t0
	if sweep && dt <= 0 {
		dt += 2 * math.Pi
	} else if !sweep && dt >= 0 {
		dt -= 2 * math.Pi
	}
	s := segment{Kind: segOval, Edge: true, C: c, U: r2.Vec{X: cos * rx, Y: sin * rx}, V: r2.Vec{X: -sin * ry, Y: cos * ry}, t0: t0, dt: dt}
	s.settleKind()
	return s
}

// settleKind separates a circle from an ellipse.
func (s *segment) settleKind() {
	if s.Kind != segArc && s.Kind != segOval {
		return
	}
	u, v := r2.Norm(s.U), r2.Norm(s.V)
	s.Kind = segOval
	if math.Abs(u-v) <= 1e-9*(u+v) && math.Abs(r2.Dot(s.U, s.V)) <= 1e-9*u*v {
		s.Kind = segArc
	}
}

// affine maps points: p -> (xx*X + xy*Y + tx, yx*X + yy*Y + ty).
type affine struct{ xx, xy, tx, yx, yy, ty float64 }

func (m affine) apply(p r2.Vec) r2.Vec {
	return r2.Vec{X: m.xx*p.X + m.xy*p.Y + m.tx, Y: m.yx*p.X + m.yy*p.Y + m.ty}
}

// then is m first, n after it.
func (m affine) then(n affine) affine {
	return affine{
		n.xx*m.xx + n.xy*m.yx, n.xx*m.xy + n.xy*m.yy, n.xx*m.tx + n.xy*m.ty + n.tx,
		n.yx*m.xx + n.yy*m.yx, n.yx*m.xy + n.yy*m.yy, n.yx*m.tx + n.yy*m.ty + n.ty,
	}
}

func (s segment) mapped(m affine) segment {
	lin := affine{m.xx, m.xy, 0, m.yx, m.yy, 0}
	for i, p := range s.P {
		s.P[i] = m.apply(p)
	}
	s.C, s.U, s.V = m.apply(s.C), lin.apply(s.U), lin.apply(s.V)
	s.settleKind()
	return s
}

// at is the point at t from 0 to 1.
func (s *segment) at(t float64) r2.Vec {
	switch s.Kind {
	case segLine:
		return r2.Add(s.P[0], r2.Scale(t, r2.Sub(s.P[1], s.P[0])))
	case segCubic:
		u := 1 - t
		a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		return r2.Vec{
			X: a*s.P[0].X + b*s.P[1].X + c*s.P[2].X + d*s.P[3].X,
			Y: a*s.P[0].Y + b*s.P[1].Y + c*s.P[2].Y + d*s.P[3].Y,
		}
	}
	sin, cos := math.Sincos(s.t0 + t*s.dt)
	return r2.Add(s.C, r2.Add(r2.Scale(cos, s.U), r2.Scale(sin, s.V)))
}

// rates is the first and second derivative at t.
func (s *segment) rates(t float64) (d1, d2 r2.Vec) {
	switch s.Kind {
	case segLine:
		return r2.Sub(s.P[1], s.P[0]), r2.Vec{}
	case segCubic:
		u := 1 - t
		for i, w := range [3]float64{3 * u * u, 6 * u * t, 3 * t * t} {
			d1 = r2.Add(d1, r2.Scale(w, r2.Sub(s.P[i+1], s.P[i])))
		}
		return d1, r2.Add(r2.Scale(6*u, s.bend(0)), r2.Scale(6*t, s.bend(1)))
	}
	sin, cos := math.Sincos(s.t0 + t*s.dt)
	d1 = r2.Scale(s.dt, r2.Add(r2.Scale(-sin, s.U), r2.Scale(cos, s.V)))
	d2 = r2.Scale(-s.dt*s.dt, r2.Add(r2.Scale(cos, s.U), r2.Scale(sin, s.V)))
	return d1, d2
}

func (s *segment) bend(i int) r2.Vec {
	return r2.Add(r2.Sub(s.P[i], r2.Scale(2, s.P[i+1])), s.P[i+2])
}

// greatestBend bounds the second derivative over the whole segment.
func (s *segment) greatestBend() float64 {
	switch s.Kind {
	case segCubic:
		return 6 * math.Max(r2.Norm(s.bend(0)), r2.Norm(s.bend(1)))
	case segLine:
		return 0
	}
	return s.dt * s.dt * math.Hypot(r2.Norm(s.U), r2.Norm(s.V))
}

// footOnArc is the nearest point of a circular arc, exact.
func (s *segment) footOnArc(p r2.Vec) r2.Vec {
	d := r2.Sub(p, s.C)
	t := math.Atan2(r2.Dot(d, s.V), r2.Dot(d, s.U)) - s.t0
	if s.dt < 0 {
		t = -t
	}
	t = math.Mod(t, 2*math.Pi)
	if t < 0 {
		t += 2 * math.Pi
	}
	if span := math.Abs(s.dt); t <= span {
		return s.at(t / span)
	}
	a, b := s.at(0), s.at(1)
	if r2.Norm2(r2.Sub(p, a)) <= r2.Norm2(r2.Sub(p, b)) {
		return a
	}
	return b
}

// footOnChunk is the nearest point of a curve between t0 and t1, where the
// chunk is short enough for one minimum: from a guess, bisection guarding Newton on
// (C(t)-p).C'(t) = 0, and both ends.
func (s *segment) footOnChunk(p r2.Vec, t0, t1, guess float64) r2.Vec {
	slope := func(t float64) (g, dg float64) {
		c := r2.Sub(s.at(t), p)
		d1, d2 := s.rates(t)
		return r2.Dot(c, d1), r2.Dot(d1, d1) + r2.Dot(c, d2)
	}
	best := s.at(t0)
	bestD := r2.Norm2(r2.Sub(best, p))
	take := func(q r2.Vec) {
		if d := r2.Norm2(r2.Sub(q, p)); d < bestD {
			best, bestD = q, d
		}
	}
	take(s.at(t1))
	g0, _ := slope(t0)
	g1, _ := slope(t1)
	if g0 < 0 && g1 > 0 {
		lo, hi, t := t0, t1, guess
		for range 60 {
			g, dg := slope(t)
			if g < 0 {
				lo = t
			} else {
				hi = t
			}
			next := t - g/dg
			if !(next > lo && next < hi) {
				next = (lo + hi) / 2
			}
			if math.Abs(next-t) < 1e-13 {
				break
			}
			t = next
		}
		take(s.at(t))
	}
	return best
}

// footOnLine is the nearest point of the segment a b.
func footOnLine(p, a, b r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	len2 := r2.Norm2(d)
	if len2 == 0 {
		return a
	}
	t := r2.Dot(r2.Sub(p, a), d) / len2
	return r2.Add(a, r2.Scale(math.Max(0, math.Min(1, t)), d))
}
