package layout

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
)

// limits is the hard limits of a row, loosened to see what would help.
type limits struct {
	min, max, pitch float64
	keepouts        bool
}

// trackSpot is a place on a track with what the limits ask about it.
type trackSpot struct {
	at    r2.Vec
	edge  float64
	clear float64
}

// infeasible finds why no place is left. There is no greatest pitch, so the
// lowest allowed place of each post leaves the next one the most room: going
// outward greedily decides feasibility.
func (b *balancer) infeasible() error {
	now := limits{min: b.s.spec.Edge.MinMM, max: b.s.spec.Edge.MaxMM, pitch: b.s.spec.Edge.PitchMinMM, keepouts: true}
	if now.max == 0 {
		now.max = math.Inf(1)
	}
	step := math.Max(0.05, (b.s.outline.maxY-b.first.Y)/8000)
	tracks := make([][]trackSpot, len(b.row.Tracks)-1)
	for i := range tracks {
		for y := b.first.Y + step; y <= b.s.outline.maxY; y += step {
			at := b.row.Tracks[i+1].at(y)
			clear, _ := b.s.spec.clearOfKeepouts(at)
			tracks[i] = append(tracks[i], trackSpot{at: at, edge: b.s.outline.signed(at), clear: clear})
		}
	}
	fails := func(l limits) int { // index of the first post without a place, or -1
		at := b.first
	posts:
		for i, line := range tracks {
			for _, sp := range line {
				if sp.at.Y > at.Y && sp.edge >= math.Max(l.min, 0) && sp.edge <= l.max && (!l.keepouts || sp.clear >= 0) && r2.Norm(r2.Sub(sp.at, at)) >= l.pitch {
					at = sp.at
					continue posts
				}
			}
			return i
		}
		return -1
	}
	bad := fails(now)
	if bad < 0 {
		bad = len(tracks) - 1 // thinner than the spots: the last post settles it
	}
	e := &InfeasibleError{Side: b.row.Side, Post: bad + 2, String: b.row.Tracks[bad+1].String}
	type trial struct {
		key  string
		now  float64
		set  func(l *limits, v float64)
		free float64
	}
	trials := []trial{
		{"edge.min_mm", now.min, func(l *limits, v float64) { l.min = v }, 0},
		{"edge.max_mm", now.max, func(l *limits, v float64) { l.max = v }, 500},
		{"edge.pitch_min_mm", now.pitch, func(l *limits, v float64) { l.pitch = v }, 0},
	}
	for _, t := range trials {
		l := now
		t.set(&l, t.free)
		if math.IsInf(t.now, 0) || t.now == t.free || fails(l) >= 0 {
			continue
		}
		tight, loose := t.now, t.free
		for math.Abs(loose-tight) > 0.002 {
			mid := (tight + loose) / 2
			t.set(&l, mid)
			if fails(l) < 0 {
				loose = mid
			} else {
				tight = mid
			}
		}
		loose = roundOut(loose, t.free > t.now)
		e.Relax = append(e.Relax, Relaxation{Key: t.key, NowMM: t.now, ToMM: loose})
	}
	sort.SliceStable(e.Relax, func(i, j int) bool {
		return math.Abs(e.Relax[i].ToMM-e.Relax[i].NowMM) < math.Abs(e.Relax[j].ToMM-e.Relax[j].NowMM)
	})
	b.nameLimit(e, bad, now, tracks[bad], fails)
	return e
}

// roundOut rounds to hundredths towards the looser side.
func roundOut(v float64, up bool) float64 {
	if up {
		return math.Ceil(v*100) / 100
	}
	return math.Floor(v*100) / 100
}

// nameLimit says in words which limit stops the post.
func (b *balancer) nameLimit(e *InfeasibleError, bad int, now limits, line []trackSpot, fails func(limits) int) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, sp := range line {
		lo, hi = math.Min(lo, sp.edge), math.Max(hi, sp.edge)
	}
	past := func(change func(*limits)) bool {
		l := now
		change(&l)
		f := fails(l)
		return f < 0 || f > bad
	}
	reach := fmt.Sprintf("its edge distance runs from %s to %s mm on its string", trimMM(lo), trimMM(hi))
	switch {
	case len(e.Relax) > 0:
		e.Limit = e.Relax[0].Key
	case past(func(l *limits) { l.keepouts = false }):
		e.Limit = "keepout"
	case past(func(l *limits) { l.min = 0 }):
		e.Limit = "edge.min_mm"
	case past(func(l *limits) { l.max = math.Inf(1) }):
		e.Limit = "edge.max_mm"
	case past(func(l *limits) { l.pitch = 0 }):
		e.Limit = "edge.pitch_min_mm"
	default:
		e.Limit = "outline"
	}
	switch e.Limit {
	case "keepout":
		e.Why = "every place within the edge band is in a keep-out"
	case "edge.min_mm":
		e.Why = fmt.Sprintf("edge.min_mm %s cannot be kept (%s)", trimMM(now.min), reach)
	case "edge.max_mm":
		e.Why = fmt.Sprintf("edge.max_mm %s cannot be kept (%s)", trimMM(now.max), reach)
	case "edge.pitch_min_mm":
		e.Why = fmt.Sprintf("edge.pitch_min_mm %s cannot be kept inside the edge band", trimMM(now.pitch))
	default:
		e.Why = fmt.Sprintf("no single limit is to blame: the outline leaves no room (%s)", reach)
	}
}
