package layout

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// weights is what the balanced mode minimises over all posts but the first:
// sum ((pitch-p)/tp)^2 + ((edge-e)/te)^2.
type weights struct{ p, tp, e, te float64 }

func (w weights) pitchCost(pitch float64) float64 {
	d := (pitch - w.p) / w.tp
	return d * d
}

func (w weights) edgeCost(edge float64) float64 {
	d := (edge - w.e) / w.te
	return d * d
}

func (w weights) cost(pitch, edge float64) float64 { return w.pitchCost(pitch) + w.edgeCost(edge) }

// weights of a row: the edge aimed at is the target, else the middle of the
// band, else what the first post has.
func (s *solver) weights(r row) weights {
	e := s.spec.Edge
	w := weights{p: r.PitchMM, tp: e.PitchTolMM, e: e.TargetMM, te: e.EdgeTolMM}
	if w.e == 0 && e.MinMM > 0 && e.MaxMM > 0 {
		w.e = (e.MinMM + e.MaxMM) / 2
	}
	if w.e == 0 {
		w.e = s.outline.signed(r.Tracks[0].at(r.FirstMM))
	}
	return w
}

// slackMM forgives rounding at a hard limit.
const slackMM = 1e-7

// balancer searches one row. Each post has one freedom (y on its track) and
// only neighbours interact, so dynamic programming over a grid is exact to the
// grid; the best basins are then refined with ever finer grids.
type balancer struct {
	s     *solver
	row   row
	w     weights
	first r2.Vec
	loose float64 // hard limits loosened by this much, for a coarse grid
}

// spot is one possible place of a post.
type spot struct {
	y    float64
	at   r2.Vec
	cost float64 // of its edge distance
}

func (s *solver) balanced(r row) (placing, error) {
	b := &balancer{s: s, row: r, w: s.weights(r), first: r.Tracks[0].at(r.FirstMM)}
	if len(r.Tracks) == 1 {
		return placing{row: r, at: []r2.Vec{b.first}}, nil
	}
	best := b.search()
	if best == nil {
		return placing{}, b.infeasible()
	}
	best, _ = b.refine(best, 0.005, 1e-6)
	p := placing{row: r, at: []r2.Vec{b.first}}
	for i, y := range best {
		p.at = append(p.at, r.Tracks[i+1].at(y))
	}
	return p, nil
}

// steps bounds what a path may cost and so how far apart in y two posts may be.
type steps struct{ bound, near, far float64 }

func anyStep() steps { return steps{math.Inf(1), 0, math.Inf(1)} }

// stepsFor turns a cost bound into bounds of the way from post to post: no
// pitch may be dearer than the whole bound.
func (b *balancer) stepsFor(bound float64) steps {
	r := b.w.tp * math.Sqrt(bound)
	dx, far := 0.0, math.Min(b.w.p+r, b.s.outline.maxY)+slackMM
	for k := 1; k < len(b.row.Tracks); k++ {
		a, c := b.row.Tracks[k-1], b.row.Tracks[k]
		for _, y := range [2]float64{b.first.Y, b.s.outline.maxY} {
			dx = math.Max(dx, math.Abs(c.at(y).X-a.at(y).X)+far*math.Abs(a.slope))
		}
	}
	st := steps{bound: bound, far: far}
	if short := math.Max(b.w.p-r, b.s.spec.Edge.PitchMinMM-1.05*b.loose) - slackMM; short > dx {
		st.near = math.Sqrt(short*short - dx*dx)
	}
	return st
}

// relax carries costs one post outward.
func (b *balancer) relax(prev []spot, prevCost []float64, layer []spot, st steps) ([]float64, []int) {
	cost := make([]float64, len(layer))
	from := make([]int, len(layer))
	lo := 0
	for j := range layer {
		sp := &layer[j]
		cost[j] = math.Inf(1)
		for lo < len(prev) && sp.y-prev[lo].y > st.far {
			lo++
		}
		for k := lo; k < len(prev) && sp.y-prev[k].y >= st.near; k++ {
			if c := prevCost[k] + sp.cost; c < cost[j] && c <= st.bound {
				if c += b.step(prev[k].at, sp.at); c < cost[j] {
					cost[j], from[j] = c, k
				}
			}
		}
	}
	return cost, from
}

// relaxBack carries costs one post inward.
func (b *balancer) relaxBack(layer, next []spot, nextCost []float64, st steps) ([]float64, []int) {
	cost := make([]float64, len(layer))
	to := make([]int, len(layer))
	lo := 0
	for j := range layer {
		sp := &layer[j]
		cost[j] = math.Inf(1)
		for lo < len(next) && next[lo].y-sp.y < st.near {
			lo++
		}
		for k := lo; k < len(next) && next[k].y-sp.y <= st.far; k++ {
			if c := nextCost[k] + next[k].cost; c < cost[j] && c <= st.bound {
				if c += b.step(sp.at, next[k].at); c < cost[j] {
					cost[j], to[j] = c, k
				}
			}
		}
	}
	return cost, to
}

// step is the cost of a pitch, infinite under the least pitch.
func (b *balancer) step(a, c r2.Vec) float64 {
	x, y := c.X-a.X, c.Y-a.Y
	d := math.Sqrt(x*x + y*y)
	if d < b.s.spec.Edge.PitchMinMM-slackMM-1.05*b.loose {
		return math.Inf(1)
	}
	return b.w.pitchCost(d)
}

// look prices one place; ok is false outside the hard limits, and slack then
// says how far it must at least move before it can be inside.
func (b *balancer) look(t *track, y, bound float64) (sp spot, slack float64, ok bool) {
	at := t.at(y)
	d := b.s.outline.signed(at)
	lo, hi := b.band(bound)
	if d < lo || d > hi {
		return spot{}, math.Max(lo-d, d-hi) / t.stretch, false
	}
	if len(b.s.spec.Keepout) > 0 {
		if clear, _ := b.s.spec.clearOfKeepouts(at); clear < -slackMM-0.55*b.loose {
			return spot{}, 0, false
		}
	}
	return spot{y: y, at: at, cost: b.w.edgeCost(d)}, 0, true
}

// band is the range of edge distances worth looking at under a cost bound.
func (b *balancer) band(bound float64) (lo, hi float64) {
	e := b.s.spec.Edge
	loose := slackMM + 0.55*b.loose
	lo, hi = math.Max(e.MinMM, 0)-loose, math.Inf(1)
	if e.MaxMM > 0 {
		hi = e.MaxMM + loose
	}
	r := b.w.te*math.Sqrt(bound) + loose
	return math.Max(lo, b.w.e-r), math.Min(hi, b.w.e+r)
}

// refine improves a path with local dynamic programmes of 7 places a post,
// re-centred until nothing moves, the step shrinking fourfold from h to end.
func (b *balancer) refine(ys []float64, h, end float64) ([]float64, float64) {
	const half = 3
	ys = slices.Clone(ys)
	best := b.pathCost(ys)
	layers := make([][]spot, len(ys))
	for ; h >= end; h /= 4 {
		for range 60 {
			for i, y := range ys {
				layers[i] = layers[i][:0]
				for k := -half; k <= half; k++ {
					if sp, _, ok := b.look(&b.row.Tracks[i+1], y+float64(k)*h, math.Inf(1)); ok {
						layers[i] = append(layers[i], sp)
					}
				}
			}
			next, c := b.through(layers)
			if !(c < best-1e-13) {
				break
			}
			ys, best = next, c
		}
	}
	return ys, best
}

func (b *balancer) through(layers [][]spot) ([]float64, float64) {
	from := make([][]int, len(layers))
	prev, cost := []spot{{y: b.first.Y, at: b.first}}, []float64{0}
	for i, l := range layers {
		if len(l) == 0 {
			return nil, math.Inf(1)
		}
		cost, from[i] = b.relax(prev, cost, l, anyStep())
		prev = l
	}
	best := slices.Min(cost)
	if math.IsInf(best, 1) {
		return nil, best
	}
	return trace(layers, from, len(layers)-1, slices.Index(cost, best)), best
}

// pathCost is the whole measure of a path, infinite outside the limits.
func (b *balancer) pathCost(ys []float64) float64 {
	sum, at, last := 0.0, b.first, b.first.Y
	for i, y := range ys {
		sp, _, ok := b.look(&b.row.Tracks[i+1], y, math.Inf(1))
		if !ok || y < last {
			return math.Inf(1)
		}
		sum += sp.cost + b.step(at, sp.at)
		at, last = sp.at, y
	}
	return sum
}

func trace(layers [][]spot, from [][]int, i, j int) []float64 {
	ys := make([]float64, i+1)
	for ; i >= 0; i-- {
		ys[i] = layers[i][j].y
		j = from[i][j]
	}
	return ys
}
