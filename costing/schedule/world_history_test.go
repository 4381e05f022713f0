package schedule

import (
	"math"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// record is what a shop has logged when it asks for hours and a date.
type record struct {
	pastJobs map[string][]estimate.PastJob
	all      []estimate.PastJob
	evenings []Seen
	days     []jobs.Day // of the evenings
	worked   []estimate.Worked
}

// history lets the shop finish so many necks, two at a time, before day 0.
func (w *world) history(finish int) *record {
	h := &record{pastJobs: map[string][]estimate.PastJob{}}
	if finish == 0 {
		return h
	}
	const longAgo = -4000
	var bench []*worldNeck
	day := longAgo
	var log []Seen
	var dates []int
	var logged []float64
	sum := func() (total float64) {
		for _, n := range bench {
			for _, m := range n.logged {
				total += m
			}
		}
		return total
	}
	for started, finished := 0, 0; finished < finish; {
		for started < finish && len(bench)-finished < 2 {
			bench = append(bench, w.neck("past", w.IntN(6) == 0))
			bench[started].from = day
			started++
		}
		before := sum()
		count := func() (n int) {
			for _, b := range bench {
				if b.finished() {
					n++
				}
			}
			return n
		}
		was := finished
		day = 1 + w.live(bench, day, 0, func() bool { return count() > was }, func(d int, s jobs.Slot, seen Seen) {
			log, dates, logged = append(log, seen), append(dates, d), append(logged, sum()-before)
			before = sum()
		})
		finished = count()
		if day >= 0 {
			break
		}
	}
	for _, n := range bench {
		for i, s := range n.steps {
			if math.IsNaN(n.end[i]) || s.Marks.Has(IsErrand) {
				continue
			}
			o := w.ops[s.Operation]
			x := estimate.PastJob{Operation: o.Name, Quantity: n.quantities[i], Minutes: n.logged[i], SetupsResumed: n.resumed[i], Necks: []string{n.name},
				When: w.start.Noon().Add(time.Duration(n.end[i]-float64(day*dayMinutes)) * time.Minute)}
			x.StandardMin = standardOf(o).Expected(x)
			h.pastJobs[o.Name] = append(h.pastJobs[o.Name], x)
			h.all = append(h.all, x)
		}
	}
	// The log ends on the day before the question.
	for k, seen := range log {
		d := w.start.Add(dates[k] - day)
		h.evenings, h.days = append(h.evenings, seen), append(h.days, d)
		if seen.SpanMin > 0 {
			h.worked = append(h.worked, estimate.Worked{Day: d, SpanMin: seen.SpanMin, LoggedMin: logged[k]})
		}
	}
	return h
}

func standardOf(o jobs.GraphOperation) estimate.Standard {
	return estimate.Standard{SetupMin: o.SetupMin, RunMin: o.RunMin, Per: o.Per}
}

// queue gives necks before a new one, each somewhere in its work, and the new
// one last.
func (w *world) queue(before int) []*worldNeck {
	var out []*worldNeck
	for range before {
		n := w.neck("before", w.IntN(6) == 0)
		for range w.IntN(len(n.steps)) {
			var can []int
			for i := range n.steps {
				ok := math.IsNaN(n.end[i])
				for _, nd := range n.steps[i].Needs {
					ok = ok && !math.IsNaN(n.end[nd.Step])
				}
				if ok {
					can = append(can, i)
				}
			}
			if len(can) > 0 {
				n.end[can[w.IntN(len(can))]] = -20000
			}
		}
		out = append(out, n)
	}
	return append(out, w.neck("own", w.IntN(6) == 0))
}

// TestWorld checks that the process itself is sound: needs are kept, evenings
// end for want of work in some shops, and steps are resumed.
func TestWorld(t *testing.T) {
	starved, evenings, resumed, steps, finished := 0, 0, 0, 0, 0
	for i := range uint64(40) {
		w := newWorld(i)
		necks := w.queue([]int{0, 2}[i%2])
		own := necks[len(necks)-1]
		w.live(necks, 0, 2000, own.finished, func(_ int, _ jobs.Slot, seen Seen) {
			if seen.SpanMin > 0 {
				evenings++
				if seen.AtLeast {
					starved++
				}
			}
		})
		if own.finished() {
			finished++
		}
		for i, s := range own.steps {
			steps++
			resumed += own.resumed[i]
			for _, nd := range s.Needs {
				if own.end[i] < own.end[nd.Step]+nd.WaitMin {
					t.Errorf("%s ends before its need %s is over", s.Name, own.steps[nd.Step].Name)
				}
			}
		}
	}
	t.Logf("%d of 40 finished; %d of %d evenings ended for want of work; %.2f resumptions a step", finished, starved, evenings, float64(resumed)/float64(steps))
	if finished < 40 || starved == 0 || starved == evenings || resumed == 0 {
		t.Errorf("the process does not hold what it should")
	}
}
