package schedule

import (
	"fmt"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// calibrationShops is how many shops are invented for each cell, from the shop
// calibrationFirst on (BOOKMATCH_FIRST_SHOP takes others).
const (
	calibrationShops = 300
	calibrationFirst = 1000
)

// firstShop gives the first shop of a run.
func firstShop(b *testing.B) int {
	text := os.Getenv("BOOKMATCH_FIRST_SHOP")
	if text == "" {
		return calibrationFirst
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		b.Fatalf("BOOKMATCH_FIRST_SHOP %q is no shop: want a number from 0", text)
	}
	return n
}

// asked is one answer to an invented shop, and what came of it.
type asked struct {
	likely, safe, hours50, hours80 bool
	quoted, took                   float64 // mean hours, hours logged
	late                           int     // days after the likely date
}

// ask lets shop i finish so many necks, asks for the hours and the date of one
// more with others before it, and lets the world build it.
func ask(i uint64, logged, before int) asked {
	w := newWorld(i)
	set := estimate.Settings{Draws: 200, Seed: i + 1}.WithDefaults()
	h := w.history(logged)
	necks := w.queue(before)
	pace := estimate.ShopPace(h.all, set)
	var queue []QueueNeck
	for _, n := range necks {
		q := QueueNeck{Name: n.name}
		for k := range n.steps {
			s := n.steps[k]
			o := w.ops[s.Operation]
			e := estimate.ForStep(standardOf(o), n.quantities[k], h.pastJobs[s.Operation], pace, set)
			share := o.SetupMin / e.StandardMin
			s.MeanSetupMin, s.MeanRunMin = e.MeanMin*share, e.MeanMin*(1-share)
			s.Done, s.DoneMin = n.end[k] < 0, n.end[k]
			q.Steps = append(q.Steps, s)
			q.Works = append(q.Works, estimate.Work{Name: s.Name, Estimate: e})
		}
		queue = append(queue, q)
	}
	habits := LearnHabits(jobs.Shop{Evenings: w.plan, QuietAfter: jobs.Clock(w.quiet)}, h.days, h.evenings, h.worked, w.starts)
	now := w.start.Noon().Add(-12 * time.Hour)
	last := len(queue) - 1
	q := Question{Now: now, Own: queue[last:], Before: queue[:last], Calendar: habits, Bench: Bench{ClampSets: 4}, Settings: set}
	walked := q.Walk()
	days, answer := walked.days, walked.Hours
	own := necks[last]
	out := w.live(necks, 0, 3000, own.finished, func(int, jobs.Slot, Seen) {})
	took := 0.0
	for _, m := range own.logged {
		took += m / 60
	}
	return asked{out <= middleDay(days), out <= dayFor(days, 0.8), took <= answer.P50, took <= answer.P80, answer.Mean, took, out - middleDay(days)}
}

// BenchmarkCalibration asks the invented shops of world_test.go, which was
// written before the walk. It prints how often dates and hours hold, by necks
// logged and necks ahead. Goals: safe dates and hours 76 to 84 % pooled and 72
// to 88 % in every cell, likely 45 to 55 % pooled, mean hours within 3 %.
func BenchmarkCalibration(b *testing.B) {
	first := firstShop(b)
	for b.Loop() {
		text := fmt.Sprintf("\nshops %d to %d of seed 20261126; standard error of 80 %% in a cell is 2.3 %%\n%6s %5s %8s %8s %8s %8s %10s\n", first, first+calibrationShops-1, "logged", "ahead", "likely", "safe", "hours50", "hours80", "mean/took")
		var pooled []asked
		for _, logged := range []int{0, 2, 4, 8} {
			for _, before := range []int{1, 3} {
				cell := make([]asked, calibrationShops)
				var wg sync.WaitGroup
				for lane := range 2 {
					wg.Go(func() {
						for i := lane; i < calibrationShops; i += 2 {
							cell[i] = ask(uint64(first+i), logged, before)
						}
					})
				}
				wg.Wait()
				text += fmt.Sprintf("%6d %5d %s\n", logged, before, shares(cell))
				pooled = append(pooled, cell...)
			}
		}
		fmt.Print(text, fmt.Sprintf("%12s %s\n", "pooled", shares(pooled)))
	}
}

func shares(all []asked) string {
	var likely, safe, h50, h80, quoted, took float64
	for _, a := range all {
		count := func(at *float64, ok bool) {
			if ok {
				*at += 100 / float64(len(all))
			}
		}
		count(&likely, a.likely)
		count(&safe, a.safe)
		count(&h50, a.hours50)
		count(&h80, a.hours80)
		quoted, took = quoted+a.quoted, took+a.took
	}
	return fmt.Sprintf("%8.1f %8.1f %8.1f %8.1f %10.3f", likely, safe, h50, h80, quoted/took)
}
