package schedule

import "math"

// The points of a plan are the sum over its necks of
// weight x round(1000 x evenings gained + 300 x evenings of useful work).
// The figures are a judgement.
const (
	gainPoints = 1000
	workPoints = 300
)

// paces are the speeds at which evenings gained are averaged: a glue-up then
// counts fully, a lucky fit only in part.
func paces() [3]float64 { return [3]float64{0.75, 1, 1.3} }

// worth is what some work is worth to a neck.
type worth struct {
	gain float64 // evenings gained
	work float64 // evenings of useful work
}

func (w worth) points(weight int) int {
	return weight * int(math.Round(gainPoints*w.gain+workPoints*w.work))
}

// valuer gives the worth of work on one neck.
type valuer struct {
	*outlook
	before progress
	skip   [3]float64 // remaining evenings at each pace when tonight is skipped
	after  progress
}

func newValuer(o *outlook) *valuer {
	v := &valuer{outlook: o, before: o.now(), after: o.now()}
	for i, pace := range paces() {
		v.skip[i] = o.evenings(v.before, pace)
	}
	return v
}

// worth gives the worth of items of the neck with their ends. A setup that must be made again earns nothing, one that is
// shared earns in full.
func (v *valuer) worth(items []item, ends []int) worth {
	copy(v.after.ends, v.before.ends)
	clear(v.after.shares)
	minutes := 0.0
	for k := range items {
		it := &items[k]
		if it.share < 1 {
			v.after.shares[it.step] = it.share
			minutes += it.share * it.MeanRunMin
			continue
		}
		v.after.ends[it.step] = float64(ends[k])
		minutes += it.MeanSetupMin + it.MeanRunMin
	}
	var w worth
	for i, pace := range paces() {
		w.gain += (v.skip[i] - v.outlook.evenings(v.after, pace)) / float64(len(v.skip))
	}
	w.work = minutes * v.perMin
	return w
}
