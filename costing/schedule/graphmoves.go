package schedule

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// graphMoves changes one thing at a time, with the same draws, and gives the
// three that move the safe date most. What moves it by less than the
// simulation can tell is not given.
func graphMoves(base future, set estimate.Settings) []Move {
	n := max(set.DateDraws/4, 100)
	days, _, _ := newGraphWalk(base, set).run(n)
	zero := dayFor(days, 0.8)
	if zero >= promiseHorizon {
		return nil
	}
	noise := safeNoise(days)
	var out []Move
	last := len(base.necks) - 1
	try := func(what string, change func(*future)) {
		f := base
		f.necks = slices.Clone(base.necks)
		change(&f)
		days, _, _ := newGraphWalk(f, set).run(n)
		if d := dayFor(days, 0.8); d < promiseHorizon && d != zero && float64(abs(d-zero)) >= noise {
			out = append(out, Move{what, d - zero})
		}
	}
	try("one evening in five missed", func(f *future) { f.missed = 0.2 })
	if last > 0 {
		try(fmt.Sprintf("this neck put before %d %s", last, necksWord(last)), func(f *future) { f.necks = f.necks[last:] })
	}
	own := base.necks[last]
	if own.Parts != nil {
		try("parts two weeks later", func(f *future) {
			f.necks[last].Parts = &jobs.Arrival{Likely: own.Parts.Likely.Add(14), Safe: own.Parts.Safe.Add(14)}
		})
	}
	for i, s := range own.Steps {
		if s.Marks.Has(IsErrand) && s.CuredMin > 0 && !s.Done {
			try(s.Name+" now", func(f *future) {
				f.necks[last].Steps = slices.Clone(own.Steps)
				f.necks[last].Steps[i].Done, f.necks[last].Steps[i].DoneMin = true, 0
			})
		}
	}
	try("deposit two weeks later", func(f *future) {
		f.necks[last].Starts = max(own.Starts, jobs.DayOf(base.now)).Add(14)
	})
	try("a fifth more hours on it", func(f *future) {
		f.necks[last].Works = slices.Clone(own.Works)
		for i := range own.Works {
			f.necks[last].Works[i].Estimate.Centre += math.Log(1.2)
		}
	})
	sort.SliceStable(out, func(i, j int) bool { return abs(out[i].Days) > abs(out[j].Days) })
	return out[:min(3, len(out))]
}

func necksWord(n int) string {
	if n == 1 {
		return "other neck"
	}
	return "other necks"
}
