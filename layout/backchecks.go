package layout

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Checks of what sits on the back and next to the head: bodies, shafts, buttons
// and their screws, each tuner turned by its own angle.

func checkBodies(c *checker) {
	t := c.spec.Tuner
	c.pairs(func(a, b Post, i, j int) {
		gap := polyGap(t.bodyBox(at(a), c.dirs[i]), t.bodyBox(at(b), c.dirs[j]))
		kind := "neighbouring bodies"
		if a.Side != b.Side {
			kind = "bodies of the two rows"
		}
		if gap < 0 {
			c.see(pair(a, b), gap, tightMM, "the %s overlap by %s mm", kind, tenth(-gap))
			return
		}
		c.see(pair(a, b), gap, tightMM, "%s mm between %s", tenth(gap), kind)
	})
}

// leastAlong is the least distance of a closed line of corners to the edge, negative
// outside: whole sides count, for a waist may leave a side between its corners.
func (o *Outline) leastAlong(ring []r2.Vec) float64 {
	const parts = 48
	least := math.Inf(1)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		at := func(t float64) float64 { return o.signed(r2.Add(a, r2.Scale(t, r2.Sub(b, a)))) }
		best := 0
		values := [parts + 1]float64{}
		for k := range values {
			if values[k] = at(float64(k) / parts); values[k] < values[best] {
				best = k
			}
		}
		low, high := math.Max(float64(best-1)/parts, 0), math.Min(float64(best+1)/parts, 1)
		for range 40 { // golden section round the least of them
			third := (high - low) * 0.381966
			if at(low+third) < at(high-third) {
				high -= third
			} else {
				low += third
			}
		}
		least = math.Min(least, math.Min(values[best], at((low+high)/2)))
	}
	return least
}

// checkBodiesEdge: a body stays on the head, with its whole sides.
func checkBodiesEdge(c *checker) {
	for i, p := range c.posts {
		least := c.s.outline.leastAlong(c.spec.Tuner.bodyBox(at(p), c.dirs[i]))
		if least < 0 {
			c.see(str(p), least, tightMM, "the body is %s mm over the edge", tenth(-least))
			continue
		}
		c.see(str(p), least, tightMM, "%s mm from the body to the edge", tenth(least))
	}
}

// buttonClearMM is kept between the button's inner face and the wood.
const buttonClearMM = 1.5

// checkShafts: the shaft reaches past the edge, over the whole width that the
// button sweeps.
func checkShafts(c *checker) {
	t := c.spec.Tuner
	for i, p := range c.posts {
		far := 0.0
		side := r2.Scale(t.ButtonMM/2, alongOf(c.dirs[i]))
		for k := -4; k <= 4; k++ {
			from := r2.Add(at(p), r2.Scale(float64(k)/4, side))
			if d, ok := c.s.outline.along(from, c.dirs[i]); ok {
				far = math.Max(far, d)
			}
		}
		clear := t.ShaftMM - far - buttonClearMM
		c.see(str(p), clear, tightMM, "the edge is %s mm out along the shaft, the button at %s mm; leave %s mm between", tenth(far), length(t.ShaftMM), length(buttonClearMM))
	}
}

// along is how far a ray runs before it first meets the edge.
func (o *Outline) along(from, dir r2.Vec) (float64, bool) {
	far, ok := 0.0, false
	hit := func(a, b r2.Vec) {
		e := r2.Sub(b, a)
		den := r2.Cross(dir, e)
		if math.Abs(den) < 1e-12 {
			return
		}
		w := r2.Sub(a, from)
		t, u := r2.Cross(w, e)/den, r2.Cross(w, dir)/den
		if t >= 0 && u >= 0 && u <= 1 && (!ok || t < far) {
			far, ok = t, true
		}
	}
	for _, s := range o.segs {
		if !s.Edge {
			continue
		}
		n := 1
		if s.Kind != segLine {
			n = 64
		}
		for k := range n {
			hit(s.at(float64(k)/float64(n)), s.at(float64(k+1)/float64(n)))
		}
	}
	return far, ok
}

// checkButtons: turning buttons clear each other and any other part of the
// outline (horns, tips).
func checkButtons(c *checker) {
	t := c.spec.Tuner
	c.pairs(func(a, b Post, i, j int) {
		gap := polyGap(t.buttonBox(at(a), c.dirs[i]), t.buttonBox(at(b), c.dirs[j]))
		c.see(pair(a, b), gap-1, tightMM, "%s mm between the turning buttons, 1 mm wanted", tenth(gap))
	})
	if c.s.outline == nil || !c.s.outline.closed {
		return
	}
	for i, p := range c.posts {
		least := math.Inf(1)
		b := t.buttonBox(at(p), c.dirs[i])
		for k := range b {
			for s := range 5 {
				q := r2.Add(b[k], r2.Scale(float64(s)/4, r2.Sub(b[(k+1)%4], b[k])))
				least = math.Min(least, -c.s.outline.signed(q))
			}
		}
		c.see(str(p), least-1, tightMM, "%s mm between the turning button and the head, 1 mm wanted", tenth(least))
	}
}

func checkScrews(c *checker) {
	t := c.spec.Tuner
	type hole struct {
		str int
		at  r2.Vec
		r   float64
	}
	var pilots, all []hole
	for i, p := range c.posts {
		dir := c.dirs[i]
		for _, sc := range t.ScrewsMM {
			q := r2.Add(at(p), r2.Add(r2.Scale(sc[0], alongOf(dir)), r2.Scale(sc[1], dir)))
			pilots = append(pilots, hole{p.String, q, t.PilotMM / 2})
		}
		all = append(all, hole{p.String, at(p), t.holeRadiusMM()})
	}
	all = append(all, pilots...)
	for i, s := range pilots {
		where := fmt.Sprintf("screw %d of string %d", i%len(t.ScrewsMM)+1, s.str)
		if c.s.outline != nil {
			wall := c.s.outline.signed(s.at) - s.r
			c.see(where, wall-2, tightMM, "%s mm of wood between pilot and edge, 2 mm wanted", tenth(wall))
		}
		for _, h := range all {
			if d := r2.Norm(r2.Sub(h.at, s.at)); d > 1e-9 {
				wall := d - h.r - s.r
				c.see(where, wall-1, tightMM, "%s mm of wood to a hole of string %d, 1 mm wanted", tenth(wall), h.str)
			}
		}
	}
}

// polyGap is the distance between two convex polygons, or minus the depth of
// their overlap (the least move that parts them, along a side's normal).
func polyGap(a, b []r2.Vec) float64 {
	sep := math.Inf(-1)
	for _, pq := range [2][2][]r2.Vec{{a, b}, {b, a}} {
		p, q := pq[0], pq[1]
		for i := range p {
			e := r2.Sub(p[(i+1)%len(p)], p[i])
			if r2.Norm(e) < 1e-12 {
				continue
			}
			n := r2.Unit(r2.Vec{X: e.Y, Y: -e.X})
			pLo, pHi := span(p, n)
			qLo, qHi := span(q, n)
			sep = math.Max(sep, math.Max(qLo-pHi, pLo-qHi))
		}
	}
	if sep < 0 {
		return sep
	}
	best := math.Inf(1)
	for _, pq := range [2][2][]r2.Vec{{a, b}, {b, a}} {
		for _, v := range pq[0] {
			for i := range pq[1] {
				best = math.Min(best, r2.Norm(r2.Sub(v, footOnLine(v, pq[1][i], pq[1][(i+1)%len(pq[1])]))))
			}
		}
	}
	return best
}

func span(p []r2.Vec, n r2.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, v := range p {
		d := r2.Dot(v, n)
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return lo, hi
}
