package layout

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// gridStepsMM: each level looks only where the one before leaves the optimum
// possible.
var gridStepsMM = [...]float64{1, 0.5, 0.25, 0.1}

// search finds the basin of the global optimum and returns its best path, or
// nil when there is none within the hard limits.
//
// Moving a path's posts to the nearest lines of a grid of step h changes each
// pitch by at most h and each edge distance by at most h/2, so sqrt(cost) grows
// by at most sqrt(B), B = n ((h/tp)^2 + (h/2/te)^2). With the limits loosened
// by as much, the rounded optimum is on the grid and costs no more than
// (sqrt(U) + sqrt(B))^2, where U is the cost of any path within the true
// limits. Spots through which nothing that cheap runs are dropped for good.
func (b *balancer) search() []float64 {
	best, bound := b.seed()
	windows := make([][]window, len(b.row.Tracks)-1)
	for i := range windows {
		lo, hi := b.reach(i+1, bound)
		windows[i] = []window{{lo, hi}}
	}
	var g grid
	for _, h := range gridStepsMM {
		allow := b.allowance(bound, h)
		b.loose = h
		g = b.grid(windows, h, allow)
		b.loose = 0
		if g.layers == nil {
			return best
		}
		if ys, c := b.refine(g.path(), h/2, 0.02); c < bound {
			best, bound = ys, c
		}
		if best == nil { // the loosened path led nowhere: try the true limits
			if strict := b.grid(windows, h, math.Inf(1)); strict.layers != nil {
				best, bound = b.refine(strict.path(), h/2, 0.02)
			}
		}
		allow = b.allowance(bound, h)
		for i := range windows {
			windows[i] = g.windows(i, allow, h*0.51)
		}
	}
	for _, ys := range g.basins(b.allowance(bound, 0.1)) {
		if ys, c := b.refine(ys, 0.08, 0.02); c < bound {
			best, bound = ys, c
		}
	}
	if best == nil {
		best = b.thin(windows)
	}
	return best
}

// allowance is the most a rounded optimum can cost on a grid of step h.
func (b *balancer) allowance(bound, h float64) float64 {
	n := float64(len(b.row.Tracks) - 1)
	h *= 1.02 // tracks lean a little
	grow := math.Sqrt(n * (h*h/(b.w.tp*b.w.tp) + h*h/4/(b.w.te*b.w.te)))
	r := math.Sqrt(bound) + grow
	return r * r
}

// seed refines the even pitch: if that comes to be within the limits it bounds
// the search from the start.
func (b *balancer) seed() ([]float64, float64) {
	best, bound := []float64(nil), math.Inf(1)
	try := func(at []r2.Vec) {
		if len(at) != len(b.row.Tracks) {
			return
		}
		var ys []float64
		for _, p := range at[1:] {
			ys = append(ys, p.Y)
		}
		if ys, c := b.refine(ys, 1, 0.02); c < bound {
			best, bound = ys, c
		}
	}
	if p, err := b.s.evenPitch(b.row); err == nil {
		try(p.at)
	}
	return best, bound
}

// window is a stretch of y.
type window struct{ lo, hi float64 }

// reach is where post i can be when no pitch costs more than the bound.
func (b *balancer) reach(i int, bound float64) (lo, hi float64) {
	st := b.stepsFor(bound)
	lo = b.first.Y + float64(i)*st.near - 1
	hi = b.first.Y + float64(i)*st.far + 1
	return math.Max(b.first.Y, lo), math.Min(hi, b.s.outline.maxY)
}

// grid is one dynamic programme: spots, the cost of the cheapest way to each
// from the first post and from each to the row's end.
type grid struct {
	layers    [][]spot
	fwd, back [][]float64
	from, to  [][]int
}

// grid runs over the windows' grid lines; paths above bound are not looked for.
// layers is nil when no path is left.
func (b *balancer) grid(windows [][]window, h, bound float64) grid {
	n := len(windows)
	g := grid{layers: make([][]spot, n), fwd: make([][]float64, n), back: make([][]float64, n), from: make([][]int, n), to: make([][]int, n)}
	for i := range n {
		g.layers[i] = b.spots(i+1, windows[i], h, bound)
		if len(g.layers[i]) == 0 {
			return grid{}
		}
	}
	b.solveGrid(&g, b.stepsFor(bound))
	if math.IsInf(slices.Min(g.fwd[n-1]), 1) {
		return grid{}
	}
	return g
}

func (b *balancer) solveGrid(g *grid, st steps) {
	n := len(g.layers)
	prev, cost := []spot{{y: b.first.Y, at: b.first}}, []float64{0}
	for i, layer := range g.layers {
		g.fwd[i], g.from[i] = b.relax(prev, cost, layer, st)
		prev, cost = layer, g.fwd[i]
	}
	g.back[n-1] = make([]float64, len(g.layers[n-1]))
	for i := n - 2; i >= 0; i-- {
		g.back[i], g.to[i] = b.relaxBack(g.layers[i], g.layers[i+1], g.back[i+1], st)
	}
}

// spots is the grid lines inside the windows that a path may use. A step as
// long as the place is outside its limits misses nothing.
func (b *balancer) spots(i int, ws []window, h, bound float64) []spot {
	t := &b.row.Tracks[i]
	var out []spot
	k := 0
	for _, w := range ws {
		for k = max(k, int(math.Ceil((w.lo-b.first.Y)/h-1e-9))); ; {
			y := b.first.Y + float64(k)*h
			if y > w.hi {
				break
			}
			sp, slack, ok := b.look(t, y, bound)
			if ok && y > b.first.Y {
				out = append(out, sp)
			}
			k += max(1, int(slack/h))
		}
	}
	return out
}

func (g *grid) through(i, j int) float64 {
	if j < 0 || j >= len(g.layers[i]) {
		return math.Inf(1)
	}
	return g.fwd[i][j] + g.back[i][j]
}

// path is the cheapest of all.
func (g *grid) path() []float64 {
	n := len(g.layers)
	return trace(g.layers, g.from, n-1, slices.Index(g.fwd[n-1], slices.Min(g.fwd[n-1])))
}

// windows round the spots of a post through which a path within allow runs.
func (g *grid) windows(i int, allow, half float64) []window {
	var ws []window
	for j, sp := range g.layers[i] {
		if g.through(i, j) > allow {
			continue
		}
		if n := len(ws); n > 0 && sp.y-half <= ws[n-1].hi {
			ws[n-1].hi = sp.y + half
		} else {
			ws = append(ws, window{sp.y - half, sp.y + half})
		}
	}
	return ws
}

// basins is a path through every local minimum of the through-cost within
// allow, each differing from the others by 0.5 mm somewhere, at most eight.
func (g *grid) basins(allow float64) [][]float64 {
	n := len(g.layers)
	var paths [][]float64
	for i := range n {
		for j := range g.layers[i] {
			t := g.through(i, j)
			if t > allow || t > g.through(i, j-1) || t >= g.through(i, j+1) || len(paths) >= 8 {
				continue
			}
			ys := trace(g.layers, g.from, i, j)
			for k, m := i, j; k < n-1; k++ {
				m = g.to[k][m]
				ys = append(ys, g.layers[k+1][m].y)
			}
			if !slices.ContainsFunc(paths, func(p []float64) bool { return near(p, ys, 0.5) }) {
				paths = append(paths, ys)
			}
		}
	}
	return paths
}

// near: no post of the two paths differs by more than mm.
func near(a, b []float64, mm float64) bool {
	for i := range a {
		if math.Abs(a[i]-b[i]) > mm {
			return false
		}
	}
	return true
}

// thin looks for a path inside a band so thin that grid lines miss it: the
// exact places on the band's limits, with the 0.1 mm lines between.
func (b *balancer) thin(windows [][]window) []float64 {
	n := len(windows)
	g := grid{layers: make([][]spot, n), fwd: make([][]float64, n), back: make([][]float64, n), from: make([][]int, n), to: make([][]int, n)}
	for i, ws := range windows {
		if len(ws) == 0 {
			return nil
		}
		t := &b.row.Tracks[i+1]
		layer := b.spots(i+1, ws, 0.1, math.Inf(1))
		for _, e := range []float64{b.s.spec.Edge.MinMM, b.s.spec.Edge.MaxMM, b.w.e} {
			if e <= 0 {
				continue
			}
			for _, y := range b.s.crossings(*t, e, ws[0].lo, ws[len(ws)-1].hi) {
				if sp, _, ok := b.look(t, y, math.Inf(1)); ok {
					layer = append(layer, sp)
				}
			}
		}
		if len(layer) == 0 {
			return nil
		}
		slices.SortFunc(layer, func(a, c spot) int { return cmp.Compare(a.y, c.y) })
		g.layers[i] = layer
	}
	b.solveGrid(&g, anyStep())
	if math.IsInf(slices.Min(g.fwd[n-1]), 1) {
		return nil
	}
	return g.path()
}
