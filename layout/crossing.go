package layout

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// leastWidthMM: a closed outline that is narrower is a line drawn to and fro.
const leastWidthMM = 0.1

// sound refuses an outline that holds nothing or meets itself: no side of it is
// the inside.
func (o *Outline) sound() *SpecError {
	var pts []r2.Vec
	for _, p := range o.Ring() {
		pts = append(pts, r2.Vec{X: p[0], Y: p[1]})
	}
	if o.closed && widthMM(pts) < leastWidthMM {
		return specErr("outline", nil, "the outline is empty: it goes to and fro and holds no ground")
	}
	if at, ok := crossing(pts, o.closed); ok {
		return specErr("outline", nil, "the outline crosses or touches itself near x %s, y %s mm; draw it so that it runs once round", tenths(at.X), tenths(at.Y))
	}
	return nil
}

// seamMM: places of the outline nearer to each other than this along it are
// one place, and meeting there is no crossing.
const seamMM = 0.05

// crossing finds a place where a run of points meets itself, by crossing or by
// touching. Neighbours share their common point. ok is false when there is none.
func crossing(pts []r2.Vec, closed bool) (place r2.Vec, ok bool) {
	n := len(pts) - 1
	along := make([]float64, len(pts))
	order := make([]int, n)
	for i := range n {
		along[i+1] = along[i] + r2.Norm(r2.Sub(pts[i+1], pts[i]))
		order[i] = i
	}
	total := along[n]
	low := func(i int) float64 { return math.Min(pts[i].Y, pts[i+1].Y) }
	high := func(i int) float64 { return math.Max(pts[i].Y, pts[i+1].Y) }
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case low(a) < low(b):
			return -1
		case low(a) > low(b):
			return 1
		}
		return a - b
	})
	for k, i := range order {
		top := high(i)
		for _, j := range order[k+1:] {
			if low(j) > top {
				break
			}
			t, u, meet := meeting(pts[i], pts[i+1], pts[j], pts[j+1])
			if !meet {
				continue
			}
			apart := math.Abs(along[i] + t*(along[i+1]-along[i]) - along[j] - u*(along[j+1]-along[j]))
			if closed {
				apart = math.Min(apart, total-apart)
			}
			if apart > seamMM {
				return r2.Add(pts[i], r2.Scale(t, r2.Sub(pts[i+1], pts[i]))), true
			}
		}
	}
	return r2.Vec{}, false
}

// meeting says whether the segments a b and c d share a point, and where on
// each (0 to 1).
func meeting(a, b, c, d r2.Vec) (t, u float64, ok bool) {
	if math.Max(a.X, b.X) < math.Min(c.X, d.X) || math.Max(c.X, d.X) < math.Min(a.X, b.X) {
		return 0, 0, false
	}
	ab, cd, ac := r2.Sub(b, a), r2.Sub(d, c), r2.Sub(c, a)
	den := r2.Cross(ab, cd)
	if math.Abs(den) > 1e-12*r2.Norm(ab)*r2.Norm(cd) {
		t, u = r2.Cross(ac, cd)/den, r2.Cross(ac, ab)/den
		return t, u, t >= 0 && t <= 1 && u >= 0 && u <= 1
	}
	l2 := r2.Norm2(ab)
	if l2 == 0 || math.Abs(r2.Cross(ac, ab)) > 1e-9*math.Sqrt(l2) {
		return 0, 0, false
	}
	// Both are on one line: the middle of what they share, seen on each.
	from, to := r2.Dot(ac, ab)/l2, r2.Dot(r2.Sub(d, a), ab)/l2
	lo, hi := math.Max(0, math.Min(from, to)), math.Min(1, math.Max(from, to))
	if lo > hi || from == to {
		return 0, 0, false
	}
	t = (lo + hi) / 2
	return t, (t - from) / (to - from), true
}

// widthMM is how far the points leave the line from the first of them to the one
// farthest from it: 0 for a line drawn to and fro.
func widthMM(pts []r2.Vec) float64 {
	var far r2.Vec
	for _, p := range pts {
		if d := r2.Sub(p, pts[0]); r2.Norm2(d) > r2.Norm2(far) {
			far = d
		}
	}
	if r2.Norm2(far) == 0 {
		return 0
	}
	dir, width := r2.Unit(far), 0.0
	for _, p := range pts {
		width = math.Max(width, math.Abs(r2.Cross(dir, r2.Sub(p, pts[0]))))
	}
	return width
}
