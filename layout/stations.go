package layout

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// validOutline checks how the outline is given; BuildOutline reads it.
func validOutline(s Spec) *SpecError {
	o := s.Outline
	given := 0
	for _, has := range []bool{o.Path != "", o.File != "" || o.SVG != "", len(o.Stations) > 0} {
		if has {
			given++
		}
	}
	if given > 1 {
		return specErr("outline", nil, "give one of outline.path, outline.file and outline.stations")
	}
	if len(o.OriginMM) != 0 && len(o.OriginMM) != 2 {
		return specErr("outline.origin_mm", len(o.OriginMM), "two numbers, x and y")
	}
	if o.View == "plan" && s.Head.TiltDeg == 0 {
		return specErr("outline.view", o.View, "a plan view needs head.tilt_deg to be turned into the face's plane")
	}
	if o.Tip == "up" && len(o.Stations) > 0 {
		return specErr("outline.tip", o.Tip, "stations always count to the tip; leave it out")
	}
	return nil
}

// BuildOutline turns the outline of a spec into something to measure: moved so
// that the fretboard end on the centre line is the origin, turned tip up, and
// stretched from plan view into the plane of the face (y / cos tilt).
func (s Spec) BuildOutline() (*Outline, error) {
	o := s.Outline
	var (
		sh      shape
		ignored int
		err     *SpecError
	)
	switch {
	case o.Path != "":
		var shapes []shape
		if shapes, err = parsePath("outline.path", o.Path, maxCoordMM); err == nil {
			i, _ := largest(shapes)
			sh, ignored = shapes[i], len(shapes)-1
		}
	case o.SVG != "":
		sh, ignored, err = svgShape(o.SVG, o.ID)
	default:
		sh, err = stationShape(o.Stations, o.Join == "straight")
	}
	if err != nil {
		return nil, err
	}
	m := affine{xx: 1, yy: 1}
	if len(o.OriginMM) == 2 {
		m.tx, m.ty = -o.OriginMM[0], -o.OriginMM[1]
	}
	if o.Tip == "up" {
		m = m.then(affine{xx: 1, yy: -1})
	}
	if o.View == "plan" {
		m = m.then(affine{xx: 1, yy: 1 / math.Cos(radians(s.Head.TiltDeg))})
	}
	segs := make([]segment, len(sh.segs))
	for i, g := range sh.segs {
		segs[i] = g.mapped(m)
	}
	out, err := newOutline(segs, sh.closed)
	if err != nil {
		return nil, err
	}
	out.Ignored = ignored
	return out, nil
}

// stationShape joins a table of stations: [y, half width] or [y, left x, right
// x], y rising. The bass side runs to the tip, across it, and back down the
// treble side.
func stationShape(rows [][]float64, straight bool) (shape, *SpecError) {
	const key = "outline.stations"
	if len(rows) < 2 || len(rows) > 500 {
		return shape{}, specErr(key, len(rows), "between 2 and 500 stations")
	}
	var left, right []r2.Vec
	for i, r := range rows {
		if len(r) != 2 && len(r) != 3 {
			return shape{}, specErr(key, r, "station %d is [y, half width] or [y, left x, right x]", i+1)
		}
		l, rt := -r[1], r[1]
		if len(r) == 3 {
			l, rt = r[1], r[2]
		}
		if l > rt {
			return shape{}, specErr(key, r, "station %d: the left (bass) x is not above the right one", i+1)
		}
		if i > 0 && r[0]-rows[i-1][0] < 0.01 {
			return shape{}, specErr(key, r[0], "station %d: y rises from station to station by 0.01 or more", i+1)
		}
		left, right = append(left, r2.Vec{X: l, Y: r[0]}), append(right, r2.Vec{X: rt, Y: r[0]})
	}
	sh := shape{segs: joinSide(left, straight), closed: true}
	top := len(rows) - 1
	if left[top] != right[top] {
		sh.segs = append(sh.segs, lineSeg(left[top], right[top]))
	}
	back := joinSide(right, straight)
	slices.Reverse(back)
	for _, s := range back {
		if s.Kind == segLine {
			s.P[0], s.P[1] = s.P[1], s.P[0]
		} else {
			s.P[0], s.P[1], s.P[2], s.P[3] = s.P[3], s.P[2], s.P[1], s.P[0]
		}
		sh.segs = append(sh.segs, s)
	}
	if right[0] != left[0] {
		sh.segs = append(sh.segs, lineSeg(right[0], left[0]))
	}
	return sh, nil
}

// cornerDeg: a side that turns more than this at a station has a corner there.
const cornerDeg = 25

// joinSide joins points by straight lines, or smoothly by cubics whose slope at
// each station is that of the parabola through it and its neighbours, so that
// parabolas and lines come out exact. Corners stay corners.
func joinSide(p []r2.Vec, straight bool) []segment {
	var segs []segment
	n := len(p)
	secant := func(i int) float64 { return (p[i+1].X - p[i].X) / (p[i+1].Y - p[i].Y) }
	corner := func(i int) bool {
		return i <= 0 || i >= n-1 || math.Abs(math.Atan(secant(i))-math.Atan(secant(i-1))) > radians(cornerDeg)
	}
	through := func(i int) float64 { // parabola through i-1, i, i+1, at i
		h0, h1 := p[i].Y-p[i-1].Y, p[i+1].Y-p[i].Y
		return (secant(i-1)*h1 + secant(i)*h0) / (h0 + h1)
	}
	slope := func(i, towards int) float64 { // at i, for the piece between i and towards
		if !corner(i) {
			return through(i)
		}
		s := secant(min(i, towards))
		if corner(towards) {
			return s
		}
		return 2*s - through(towards)
	}
	for i := range n - 1 {
		a, b := p[i], p[i+1]
		m0, m1, s := slope(i, i+1), slope(i+1, i), secant(i)
		if straight || math.Abs(m0-s) < 1e-9 && math.Abs(m1-s) < 1e-9 {
			segs = append(segs, lineSeg(a, b))
			continue
		}
		h := (b.Y - a.Y) / 3
		segs = append(segs, segment{Kind: segCubic, Edge: true, P: [4]r2.Vec{
			a, {X: a.X + m0*h, Y: a.Y + h}, {X: b.X - m1*h, Y: b.Y - h}, b,
		}})
	}
	return segs
}
