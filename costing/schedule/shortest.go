package schedule

import (
	"math"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Bench is what a walk must know of the room.
type Bench struct {
	ClampSets    int  `json:"clamp_sets"`
	DustFreeRoom bool `json:"dust_free_room,omitempty"`
}

// run walks so many draws.
func (w *graphWalk) run(draws int) Walked {
	out := Walked{Resumed: map[string]float64{}}
	resumed := make([][]float64, len(w.Own))
	for k, n := range w.own() {
		resumed[k] = make([]float64, len(n.Steps))
	}
	out.each = make([][]int, len(w.Own))
	var hours, cost []float64
	for i := range draws {
		out.days = append(out.days, w.draw(uint64(i)))
		worked, paid := 0.0, 0.0
		for k, n := range w.own() {
			worked, paid = worked+n.worked/60, paid+n.cost/60
			day := promiseHorizon
			if n.left == 0 {
				day = max(0, int(n.last/dayMinutes))
			}
			out.each[k] = append(out.each[k], day)
			for j, times := range n.resumed {
				resumed[k][j] += float64(times) / float64(draws)
			}
		}
		hours, cost = append(hours, worked), append(cost, paid)
	}
	sort.Ints(out.days)
	for _, days := range out.each {
		sort.Ints(days)
	}
	// The mean is that of the estimates, which add, with the setups that come
	// again: it does not move with the seed but for these.
	mean, again := 0.0, 0.0
	for k, n := range w.Own {
		for i, s := range n.Steps {
			if s.Done {
				continue
			}
			min := n.Works[i].Estimate.MeanMin * (1 + n.Works[i].Rework)
			setups := min * s.MeanSetupMin / max(s.MeanSetupMin+s.MeanRunMin, 1e-9) * resumed[k][i]
			out.Resumed[s.Operation] += setups
			mean, again = mean+(min+setups)/60, again+setups/60
		}
	}
	out.Hours = estimate.NewHours(hours, cost, mean, w.set.Seed)
	out.Hours.Resumed = again
	return out
}

// shortest counts the evenings a neck takes at least and names its longest
// path.
func shortest(own QueueNeck, now time.Time, cal Habits) (float64, []string) {
	day := jobs.DayOf(now)
	minute := float64(now.Hour()*60 + now.Minute())
	off := map[jobs.Day]bool{}
	for _, h := range cal.Holidays {
		off[h] = true
	}
	e := Evening{Unlogged: cal.Unlogged}
	for d := 0; d < 12*7; d++ {
		for _, s := range cal.Slots {
			from := float64(d*dayMinutes+int(s.From)) - minute
			if s.Day == day.Add(d).Weekday() && !off[day.Add(d)] && from >= 0 {
				e.Later = append(e.Later, Window{from, from + float64(s.Minutes())*cal.Length})
				e.UsualMin += float64(s.Minutes()) * cal.Length
			}
		}
	}
	if len(e.Later) == 0 {
		return 0, nil
	}
	e.UsualMin /= float64(len(e.Later))
	sort.Slice(e.Later, func(i, j int) bool { return e.Later[i].FromMin < e.Later[j].FromMin })
	row := newEvenings(e.Later)
	o, ok := newOutlook(own.Steps, &row, e)
	if !ok {
		return 0, nil
	}
	r := o.evenings(o.now(), 1)
	return r, o.path()
}

// path gives the names of the longest path of the last count, first step
// first: from the step that ends last, each time the need that lets it begin.
func (o *outlook) path() (names []string) {
	last := -1
	for _, i := range o.order {
		if !o.steps[i].Done && (last < 0 || o.finish[i] > o.finish[last]) {
			last = i
		}
	}
	for last >= 0 {
		names = append([]string{o.steps[last].Name}, names...)
		best, at := -1, math.Inf(-1)
		for _, n := range o.steps[last].Needs {
			if o.steps[n.Step].Done {
				continue
			}
			ready := o.finish[n.Step]
			if n.WaitMin > 0 {
				ready = o.row.position(o.row.moment(ready) + n.WaitMin)
			}
			if ready > at {
				best, at = n.Step, ready
			}
		}
		last = best
	}
	return names
}
