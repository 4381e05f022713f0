package schedule

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"bookmatch/jobs"
)

// moves changes one thing at a time, with the same draws, and gives the three
// that move the safe date most. What moves it by less than the simulation can
// tell is not given.
func (q Question) moves() []Move {
	set := q.Settings.WithDefaults()
	n := max(set.Draws/4, 100)
	days := newGraphWalk(q, set).run(n).days
	zero := dayFor(days, 0.8)
	if zero >= promiseHorizon {
		return nil
	}
	noise := safeNoise(days)
	var out []Move
	try := func(what string, change func(*Question)) {
		f := q
		f.Own = slices.Clone(q.Own)
		change(&f)
		d := dayFor(newGraphWalk(f, set).run(n).days, 0.8)
		if d < promiseHorizon && d != zero && float64(abs(d-zero)) >= noise {
			out = append(out, Move{what, d - zero})
		}
	}
	each := func(change func(*QueueNeck)) func(*Question) {
		return func(f *Question) {
			for i := range f.Own {
				change(&f.Own[i])
			}
		}
	}
	try("one evening in five missed", func(f *Question) { f.missed = 0.2 })
	if n := len(q.Before); n > 0 {
		try(fmt.Sprintf("this neck put before %d %s", n, jobs.Plural(float64(n), "other")), func(f *Question) { f.Before = nil })
	}
	own := q.Own[0]
	if own.Parts != nil {
		try("parts two weeks later", each(func(n *QueueNeck) {
			n.Parts = &jobs.Arrival{Likely: own.Parts.Likely.Add(14), Safe: own.Parts.Safe.Add(14)}
		}))
	}
	for i, s := range own.Steps {
		if s.Marks.Has(IsErrand) && s.CuredMin > 0 && !s.Done {
			try(s.Name+" now", each(func(n *QueueNeck) {
				n.Steps = slices.Clone(n.Steps)
				n.Steps[i].Done, n.Steps[i].DoneMin = true, 0
			}))
		}
	}
	try("deposit two weeks later", each(func(n *QueueNeck) { n.Starts = max(own.Starts, jobs.DayOf(q.Now)).Add(14) }))
	try("a fifth more hours on it", each(func(n *QueueNeck) {
		n.Works = slices.Clone(n.Works)
		for i := range n.Works {
			n.Works[i].Estimate.Centre += math.Log(1.2)
		}
	}))
	sort.SliceStable(out, func(i, j int) bool { return abs(out[i].Days) > abs(out[j].Days) })
	return out[:min(3, len(out))]
}

// safeNoise is the standard error of the 80 % day of a simulation, in days:
// half the distance of the order statistics one binomial standard error below
// and above it (the usual interval of a quantile without a distribution).
func safeNoise(sorted []int) float64 {
	n := float64(len(sorted))
	rank := func(r float64) int { return sorted[min(max(int(math.Round(r)), 1), len(sorted))-1] }
	se := math.Sqrt(n * 0.8 * 0.2)
	return float64(rank(0.8*n+se)-rank(0.8*n-se)) / 2
}

func abs(n int) int { return max(n, -n) }
