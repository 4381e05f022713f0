package schedule

import "math"

// outlook counts a neck's remaining evenings.
type outlook struct {
	steps    []Step
	order    []int // every step after its needs
	rank     []int // place in order
	row      *evenings
	perMin   float64 // evenings for one mean minute
	finish   []float64
	longest  float64
	allShare float64
}

// progress is how far a neck is: the end of every done step in minutes from
// now, not-a-number for the others, and the share done of those started.
type progress struct {
	ends   []float64
	shares []float64
}

// newOutlook prepares the count. It reports false when the needs have a loop.
func newOutlook(steps []Step, row *evenings, e Evening) (*outlook, bool) {
	o := &outlook{steps: steps, row: row, perMin: e.Unlogged / e.UsualMin, finish: make([]float64, len(steps)), rank: make([]int, len(steps))}
	state := make([]int8, len(steps))
	var visit func(i int) bool
	visit = func(i int) bool {
		if state[i] != 0 {
			return state[i] == 2
		}
		state[i] = 1
		for _, n := range steps[i].Needs {
			if !visit(n.Step) {
				return false
			}
		}
		state[i] = 2
		o.rank[i] = len(o.order)
		o.order = append(o.order, i)
		return true
	}
	for i := range steps {
		if !visit(i) {
			return nil, false
		}
	}
	return o, true
}

// now gives the progress of the records.
func (o *outlook) now() progress {
	p := progress{make([]float64, len(o.steps)), make([]float64, len(o.steps))}
	for i, s := range o.steps {
		p.ends[i] = math.NaN()
		if s.Done {
			p.ends[i] = s.DoneMin
		}
	}
	return p
}

// evenings gives R: how many evenings from the next one until the neck could
// be finished with the bench to itself. It is the larger of the longest path
// through needs, cures and lead times over the real evenings, and of all its
// minutes. The mean minutes are taken times pace.
func (o *outlook) evenings(p progress, pace float64) float64 {
	path, all := 0.0, 0.0
	for _, i := range o.order {
		if !math.IsNaN(p.ends[i]) {
			continue
		}
		s := &o.steps[i]
		at := 0.0
		if s.Shut != nil && s.Shut.LiftsMin > 0 {
			at = o.row.position(s.Shut.LiftsMin)
		}
		for _, n := range s.Needs {
			ready := 0.0
			if end := p.ends[n.Step]; !math.IsNaN(end) {
				ready = o.row.position(end + n.WaitMin)
			} else if ready = o.finish[n.Step]; n.WaitMin > 0 {
				ready = o.row.position(o.row.moment(ready) + n.WaitMin)
			}
			at = max(at, ready)
		}
		need := (s.MeanSetupMin + (1-p.shares[i])*s.MeanRunMin) * pace * o.perMin
		o.finish[i] = at + need
		path = max(path, o.finish[i])
		all += need
	}
	o.longest, o.allShare = path, all
	return max(path, all)
}

// behind gives, by step, the minutes of the longest path after it.
func (o *outlook) behind() []float64 {
	out := make([]float64, len(o.steps))
	for k := len(o.order) - 1; k >= 0; k-- {
		i := o.order[k]
		s := &o.steps[i]
		for _, n := range s.Needs {
			out[n.Step] = max(out[n.Step], out[i]+n.WaitMin+s.MeanSetupMin+s.MeanRunMin)
		}
	}
	return out
}

// Remaining gives a neck's remaining evenings at the mean pace: the longest
// path, all its minutes, and R, the larger of the two. It reports false when
// the needs have a loop.
func Remaining(n Neck, e Evening) (path, minutes, r float64, ok bool) {
	row := newEvenings(e.Later)
	o, ok := newOutlook(n.Steps, &row, e)
	if !ok {
		return 0, 0, 0, false
	}
	r = o.evenings(o.now(), 1)
	return o.longest, o.allShare, r, true
}
