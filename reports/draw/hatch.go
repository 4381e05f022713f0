package draw

import (
	"math"
	"slices"
)

// Hatch gives the strokes of a hatching of p: lines at deg degrees
// counter-clockwise from the x axis, step mm apart, where they are inside by the
// even-odd rule. No clip is needed to draw it.
func Hatch(p *Path, step, deg float64) *Path {
	out := new(Path)
	if !(step > 0) {
		return out
	}
	sin, cos := math.Sincos(deg * math.Pi / 180)
	// u runs along the lines, v across them. y grows down, so up is -y.
	u := func(q Point) float64 { return q.X*cos - q.Y*sin }
	v := func(q Point) float64 { return q.X*sin + q.Y*cos }
	runs := p.Flat(0.02)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range runs {
		for _, q := range r.Pts {
			lo, hi = math.Min(lo, v(q)), math.Max(hi, v(q))
		}
	}
	if !(hi-lo < 1e4*step) {
		return out
	}
	// Lines are on multiples of the step, so that neighbours hatch alike.
	for at := math.Ceil(lo/step) * step; at < hi; at += step {
		var cuts []float64
		for _, r := range runs {
			for i, a := range r.Pts {
				b := r.Pts[(i+1)%len(r.Pts)]
				va, vb := v(a), v(b)
				if (va <= at) != (vb <= at) {
					cuts = append(cuts, u(a)+(u(b)-u(a))*(at-va)/(vb-va))
				}
			}
		}
		slices.Sort(cuts)
		for i := 0; i+1 < len(cuts); i += 2 {
			out.Move(cuts[i]*cos+at*sin, at*cos-cuts[i]*sin)
			out.Line(cuts[i+1]*cos+at*sin, at*cos-cuts[i+1]*sin)
		}
	}
	return out
}
