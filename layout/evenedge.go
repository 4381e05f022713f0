package layout

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// evenEdge: every post on its string, all at one distance from the outline: the
// target when the spec has one (the first post then moves to it), else the
// distance the first post has where the builder put it.
func (s *solver) evenEdge(r row) (placing, error) {
	want := make([]float64, len(r.Tracks))
	near := make([]float64, len(r.Tracks))
	e := s.spec.Edge.TargetMM
	if e == 0 {
		e = s.outline.signed(r.Tracks[0].at(r.FirstMM))
		if e <= 0 {
			return placing{}, &InfeasibleError{
				Side: r.Side, Post: 1, String: r.Tracks[0].String, Limit: "posts.first_mm",
				Why: fmt.Sprintf("at posts.first_mm %s it is %s mm outside the outline", trimMM(r.FirstMM), trimMM(-e)),
			}
		}
	}
	for i := range want {
		want[i], near[i] = e, math.NaN()
	}
	near[0] = r.FirstMM
	p, err := s.atEdges(r, want, near)
	if err != nil {
		s.otherTarget(err, r, near, e)
		return p, err
	}
	if d := p.at[0].Y - r.FirstMM; math.Abs(d) > 0.005 {
		p.notes = append(p.notes, fmt.Sprintf("%s row: the first post moved from %s to %s mm, to be %s mm from the edge.", capital(r.Side), length(r.FirstMM), length(p.at[0].Y), length(e)))
	}
	return p, nil
}

// atEdges puts each post of a row on its track where its edge distance is
// want[i]. Of several such places it takes the nearest to near[i], or where
// that is NaN the next one outward that keeps the least pitch; others are
// noted.
func (s *solver) atEdges(r row, want, near []float64) (placing, error) {
	p := placing{row: r}
	least := math.Max(s.spec.Edge.PitchMinMM, 2*s.spec.Tuner.holeRadiusMM())
	for i, t := range r.Tracks {
		from := 0.0
		if i > 0 {
			from = p.at[i-1].Y
		}
		if !math.IsNaN(near[i]) && math.Abs(s.outline.signed(t.at(near[i]))-want[i]) < 1e-9 && (i == 0 || near[i] > from) {
			p.at = append(p.at, t.at(near[i]))
			continue
		}
		ys := s.crossings(t, want[i], from, s.outline.TipMM())
		if len(ys) == 0 {
			return placing{}, s.noCrossing(r, i, want[i], from)
		}
		pick := 0
		if !math.IsNaN(near[i]) {
			for k, y := range ys {
				if math.Abs(y-near[i]) < math.Abs(ys[pick]-near[i]) {
					pick = k
				}
			}
		} else {
			for pick < len(ys)-1 && r2.Norm(r2.Sub(t.at(ys[pick]), p.at[i-1])) < least {
				pick++
			}
			if r2.Norm(r2.Sub(t.at(ys[pick]), p.at[i-1])) < least {
				pick = 0
			}
		}
		p.at = append(p.at, t.at(ys[pick]))
		for k, y := range ys {
			if k < pick && math.IsNaN(near[i]) {
				p.notes = append(p.notes, fmt.Sprintf("%s row: string %d is also %s mm from the edge at y %s, too near to the post before.", capital(r.Side), t.String, length(want[i]), length(y)))
			} else if k == pick+1 {
				p.notes = append(p.notes, fmt.Sprintf("%s row: string %d is also %s mm from the edge further out, at y %s.", capital(r.Side), t.String, length(want[i]), length(y)))
			}
		}
	}
	return p, nil
}

// crossings is every y between from and to where the track is exactly e
// from the edge, rising. The distance changes no faster than one moves, so a
// step as long as the present difference cannot miss one; near a crossing the
// steps are scanMM.
func (s *solver) crossings(t track, e, from, to float64) []float64 {
	const scanMM = 0.25
	f := func(y float64) float64 { return s.outline.signed(t.at(y)) - e }
	var ys []float64
	y0 := from + 1e-6
	f0 := f(y0)
	prevY, prevF := y0, f0
	for y0 < to {
		y1 := math.Min(to, y0+math.Max(scanMM, math.Abs(f0)/t.stretch*0.999))
		f1 := f(y1)
		switch {
		case f0 == 0:
			ys = append(ys, y0)
		case f0*f1 < 0:
			ys = append(ys, bisect(f, y0, y1, f0))
		case prevF*f0 > 0 && math.Abs(f0) < math.Abs(prevF) && math.Abs(f0) <= math.Abs(f1) && math.Abs(f0) < scanMM:
			// It dips towards e and away again: a touch or a close pair.
			if m := dip(f, prevY, y1); f(m)*f0 < 0 {
				ys = append(ys, bisect(f, prevY, m, prevF), bisect(f, m, y1, f(m)))
			} else if math.Abs(f(m)) < 1e-7 {
				ys = append(ys, m)
			}
		}
		prevY, prevF = y0, f0
		y0, f0 = y1, f1
	}
	return ys
}

// bisect closes in on the zero between a and b, where f(a) = fa and f(b) differ
// in sign, with the Illinois rule and halving when that stalls.
func bisect(f func(float64) float64, a, b, fa float64) float64 {
	fb := f(b)
	for i := range 100 {
		if b-a < 1e-10 {
			break
		}
		m := (a + b) / 2
		if i%3 != 2 && fb != fa {
			m = a - fa*(b-a)/(fb-fa)
			if !(m > a && m < b) {
				m = (a + b) / 2
			}
		}
		fm := f(m)
		if fm == 0 {
			return m
		}
		if fm*fa < 0 {
			b, fb = m, fm
		} else {
			a, fa = m, fm
		}
	}
	if math.Abs(fa) < math.Abs(fb) {
		return a
	}
	return b
}

// dip is where |f| is least between a and b (golden section).
func dip(f func(float64) float64, a, b float64) float64 {
	const g = 0.6180339887498949
	c, d := b-g*(b-a), a+g*(b-a)
	fc, fd := math.Abs(f(c)), math.Abs(f(d))
	for b-a > 1e-7 {
		if fc < fd {
			b, d, fd = d, c, fc
			c = b - g*(b-a)
			fc = math.Abs(f(c))
		} else {
			a, c, fc = c, d, fd
			d = a + g*(b-a)
			fd = math.Abs(f(d))
		}
	}
	return (a + b) / 2
}

func (s *solver) noCrossing(r row, i int, e, from float64) error {
	best, bestY := math.Inf(1), from
	for y := from; y <= s.outline.TipMM(); y += 0.25 {
		if d := s.outline.signed(r.Tracks[i].at(y)); math.Abs(d-e) < math.Abs(best-e) {
			best, bestY = d, y
		}
	}
	err := &InfeasibleError{
		Side: r.Side, Post: i + 1, String: r.Tracks[i].String, Limit: "edge.target_mm",
		Why: fmt.Sprintf("no place beyond y %s on its string is %s mm from the edge; the nearest to it is %s mm at y %s", trimMM(from), trimMM(e), trimMM(best), trimMM(bestY)),
	}
	return err
}

// otherTarget looks, in tenths up to 10 mm either way, for the nearest edge
// distance at which the whole row finds its places.
func (s *solver) otherTarget(err error, r row, near []float64, e float64) {
	var none *InfeasibleError
	if !errors.As(err, &none) {
		return
	}
	for k := 1; k <= 100; k++ {
		for _, to := range []float64{e - float64(k)/10, e + float64(k)/10} {
			want := slices.Repeat([]float64{to}, len(r.Tracks))
			if _, err := s.atEdges(r, want, near); to > 0 && err == nil {
				none.Relax = []Relaxation{{Key: none.Limit, NowMM: e, ToMM: to}}
				return
			}
		}
	}
}
