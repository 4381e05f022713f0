package schedule

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// The invented shops of this file are drawn at random and live by rules of
// their own, written apart from the model under test: the truth has set-up
// and run off the standard by themselves, its own spread, attendance, length
// of evening, loose time and queue. What comes out of it is compared with what
// the estimator promised from the shop's history alone.

const (
	coverageShops = 1000
	coverageSeed  = 20261125
)

// truth is what the estimator does not see.
type truth struct {
	setup, run []float64 // true minutes of each operation
	sigma      float64   // from evening to evening
	jobSigma   float64   // common to one neck
	come       [7]float64
	length     float64
	lengthSD   float64
	unlogged   float64
}

// worldRoute is the route of an inlaid, finished headstock; minutes, cures and
// chances are judgement (common practice, no source).
func worldRoute() []jobs.Operation {
	const night = 10 * 60
	return []jobs.Operation{
		{Name: "choose-veneer", RunMin: 25, Per: "choice"},
		{Name: "thickness-core", SetupMin: 12, RunMin: 0.10, Per: "cm2", Noise: true},
		{Name: "joint-veneer", SetupMin: 10, RunMin: 0.10, Per: "cm2"},
		{Name: "glue-face", SetupMin: 8, RunMin: 0.05, Per: "cm2", CureMin: night, NoStop: true, ReworkChance: 0.04},
		{Name: "thickness-head", SetupMin: 4, RunMin: 0.08, Per: "cm2", Noise: true},
		{Name: "glue-back", SetupMin: 8, RunMin: 0.05, Per: "cm2", CureMin: night, NoStop: true, ReworkChance: 0.04},
		{Name: "flush-sand", SetupMin: 6, RunMin: 0.12, Per: "edge_cm", Noise: true, ReworkChance: 0.02},
		{Name: "block-sand", RunMin: 12, Per: "neck"},
		{Name: "template", SetupMin: 8, RunMin: 1, Per: "pages"},
		{Name: "layout", SetupMin: 6, RunMin: 1.5, Per: "holes"},
		{Name: "backing", SetupMin: 3, RunMin: 4, Per: "neck", CureMin: 5, NoStop: true},
		{Name: "drill", SetupMin: 10, RunMin: 1.5, Per: "holes", Noise: true, NoStop: true, ReworkChance: 0.03},
		{Name: "ease-holes", SetupMin: 2, RunMin: 0.5, Per: "holes"},
		{Name: "pilot-holes", SetupMin: 5, RunMin: 0.7, Per: "pilots", Noise: true},
		{Name: "inlay-draw", SetupMin: 15, RunMin: 4, Per: "inlay"},
		{Name: "inlay-cut", SetupMin: 10, RunMin: 12, Per: "inlay", ReworkChance: 0.05},
		{Name: "inlay-rout", SetupMin: 15, RunMin: 9, Per: "inlay", Noise: true, ReworkChance: 0.03},
		{Name: "inlay-glue", SetupMin: 8, RunMin: 2, Per: "inlay", CureMin: night, NoStop: true},
		{Name: "inlay-level", SetupMin: 5, RunMin: 3, Per: "inlay"},
		{Name: "finish-coat", SetupMin: 12, RunMin: 4, Per: "coats", CureMin: 24 * 60, NoStop: true, ReworkChance: 0.06},
		{Name: "ream-finish", SetupMin: 4, RunMin: 0.7, Per: "holes"},
		{Name: "fit-tuners", SetupMin: 5, RunMin: 3.5, Per: "holes", Hardware: true},
	}
}

func uniform(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }

func worldQuantities(r *rand.Rand) map[string]float64 {
	return map[string]float64{
		"neck": 1, "choice": float64(1 + r.IntN(2)), "holes": []float64{4, 6, 6, 7, 8}[r.IntN(5)], "pilots": float64(4 + r.IntN(5)),
		"cm2": uniform(r, 110, 180), "edge_cm": uniform(r, 40, 65), "pages": 1, "inlay": float64(2 + r.IntN(14)), "coats": float64(2 + r.IntN(3)),
	}
}

func newTruth(r *rand.Rand, route []jobs.Operation, stds []estimate.Standard) truth {
	t := truth{sigma: uniform(r, 0.2, 0.42), jobSigma: uniform(r, 0.08, 0.2), length: uniform(r, 0.8, 1.1), lengthSD: uniform(r, 0.05, 0.25), unlogged: uniform(r, 1.1, 1.45)}
	pace := uniform(r, -0.4, 0.4)
	for i := range route {
		off, at := 0.28, pace
		if stds[i].Own { // the builder knows his minutes better, and they hold his pace
			off, at = 0.2, 0
		}
		t.setup = append(t.setup, stds[i].SetupMin*math.Exp(at+off*r.NormFloat64()))
		t.run = append(t.run, stds[i].RunMin*math.Exp(at+off*r.NormFloat64()))
	}
	for d := range t.come {
		t.come[d] = uniform(r, 0.45, 0.98)
	}
	return t
}

// minutes of one pass in the world.
func (t truth) minutes(r *rand.Rand, i int, q, job float64) float64 {
	return (t.setup[i] + t.run[i]*q) * math.Exp(t.jobSigma*job+t.sigma*r.NormFloat64())
}

// live walks the world's evenings from a day until the steps of every neck are
// done, neck 0 first, and gives the day on which the last neck is out.
func (t truth) live(r *rand.Rand, route []jobs.Operation, left [][]float64, first []int, safe [][]float64, plan []jobs.Slot, start jobs.Day, partsDay int) int {
	pos := append([]int(nil), first...)
	ready := make([]float64, len(left)) // absolute minutes
	last := len(left) - 1
	for day := 0; day < 3000; day++ {
		for _, s := range plan {
			if s.Day != start.Add(day).Weekday() || r.Float64() > t.come[s.Day] {
				continue
			}
			now := float64(day*1440 + int(s.From))
			end := now + float64(s.Minutes())*t.length*math.Exp(t.lengthSD*r.NormFloat64())
			quietAfter := float64(day*1440 + 21*60)
			begun := false
		again:
			for now < end {
				wait := math.Inf(1)
				for n := range left {
					if pos[n] == len(route) {
						continue
					}
					k := route[pos[n]]
					room := (end - now) / t.unlogged
					switch {
					case ready[n] > now:
						wait = math.Min(wait, ready[n])
						continue
					case k.Noise && now >= quietAfter, n == last && k.Hardware && day < partsDay:
						continue
					case k.NoStop && begun && safe[n][pos[n]] > room, room < math.Min(15, safe[n][pos[n]]):
						continue
					}
					begun = true
					until := end
					if k.Noise && !k.NoStop {
						until = math.Min(end, quietAfter)
					}
					finish := now + left[n][pos[n]]*t.unlogged
					if !k.NoStop && finish > until {
						left[n][pos[n]] = (finish-until)/t.unlogged + t.setup[pos[n]]
						now = until
						continue again
					}
					now = finish
					ready[n] = now + k.CureMin
					pos[n]++
					if pos[last] == len(route) {
						return int(ready[last] / 1440)
					}
					continue again
				}
				if math.IsInf(wait, 1) || wait >= end {
					break
				}
				now = wait
			}
		}
	}
	return 3000
}

type covered struct {
	hours50, hours80, hours90, date50, date80 bool
	ratio                                     float64 // P80 / P50
	days                                      int     // safe date in days
}

// coverShop invents shop i, lets it finish n necks, asks for hours and a date of
// the next one, and then lets the world build it.
func coverShop(i uint64, n int) covered {
	r := rand.New(rand.NewPCG(coverageSeed, i))
	route := worldRoute()
	stds := make([]estimate.Standard, len(route))
	for k := range route {
		stds[k] = estimate.StandardOf(route[k])
		stds[k].Own = r.Float64() < 0.25
	}
	t := newTruth(r, route, stds)
	plan := slots("mon 19:30-22:00", "tue 19:30-22:00", "thu 19:00-22:00", "sat 09:00-12:00")[:2+r.IntN(3)]
	start := jobs.Day("2026-11-30").Add(r.IntN(300))
	set := estimate.Settings{Draws: 300, DateDraws: 200, Seed: i + 1}

	samples := make([][]estimate.Sample, len(route))
	var all []estimate.Sample
	for neck := range n {
		job, quantities := r.NormFloat64(), worldQuantities(r)
		for k, operation := range route {
			x := estimate.Sample{Operation: operation.Name, Quantity: quantities[operation.Per], Own: stds[k].Own, Necks: []string{fmt.Sprint(neck)}, When: start.Noon().AddDate(0, 0, -60*(n-neck)).Add(time.Duration(k) * time.Hour)}
			x.Minutes = t.minutes(r, k, x.Quantity, job)
			x.StandardMin = stds[k].Expected(x)
			samples[k] = append(samples[k], x)
			all = append(all, x)
		}
	}
	cal := NewCalendar(jobs.Shop{Evenings: plan, QuietAfter: 21 * 60})
	if n > 0 {
		var log []estimate.Worked
		from := start.Add(-60 * n)
		for day := from; day < start; day = day.Add(1) {
			for _, s := range plan {
				if s.Day == day.Weekday() && r.Float64() < t.come[s.Day] {
					span := float64(s.Minutes()) * t.length * math.Exp(t.lengthSD*r.NormFloat64())
					log = append(log, estimate.Worked{Day: day, SpanMin: span, LoggedMin: span / t.unlogged})
				}
			}
		}
		cal = cal.Learn(log, from, start.Add(-1))
	} else {
		// Without a log nothing is known of the evenings; hours are what is tested.
		cal.Unlogged = t.unlogged
	}
	pace := estimate.ShopPace(all, set)

	others := r.IntN(5)
	first := make([]int, others+1)
	left := make([][]float64, others+1)
	safe := make([][]float64, others+1)
	var queue []Job
	var own Job
	actual := 0.0
	for neck := range others + 1 {
		job, quantities := r.NormFloat64(), worldQuantities(r)
		if neck < others {
			first[neck] = r.IntN(len(route))
		}
		var j Job
		for k, operation := range route {
			q := quantities[operation.Per]
			e := estimate.ForStep(stds[k], q, samples[k], pace, set)
			m := t.minutes(r, k, q, job)
			if r.Float64() < operation.ReworkChance {
				m += t.minutes(r, k, q, job)
			}
			left[neck] = append(left[neck], m)
			safe[neck] = append(safe[neck], e.SafeMin)
			if neck == others {
				actual += m / 60
			}
			if k >= first[neck] {
				j.Tasks = append(j.Tasks, Task{Work: estimate.Work{Name: operation.Name, Estimate: e, Rework: operation.ReworkChance}, SetupMin: stds[k].SetupMin, CureMin: operation.CureMin, NoStop: operation.NoStop, Noise: operation.Noise, Hardware: operation.Hardware})
			}
		}
		if neck < others {
			queue = append(queue, j)
		} else {
			own = j
		}
	}
	partsDay := 0
	if r.Float64() < 0.5 {
		likely := uniform(r, 10, 60)
		ratio := uniform(r, 1.1, 1.6)
		own.Parts = &jobs.Arrival{Likely: start.Add(int(likely)), Safe: start.Add(int(likely * ratio))}
		l, s := float64(int(likely)), float64(int(likely*ratio))
		partsDay = int(math.Ceil(l * math.Exp(math.Log(s/l)/0.8416212*r.NormFloat64())))
	}

	h := estimate.Simulate(withoutCalendar(own), set)
	s := scenario{now: start.Noon().Add(-12 * time.Hour), own: own, before: queue, cal: cal}
	days := s.finish(set.WithDefaults(), set.DateDraws)
	out := t.live(r, route, left, first, safe, plan, start, partsDay)
	safeDay := dayFor(days, 0.8)
	return covered{actual <= h.P50, actual <= h.P80, actual <= h.P90, out <= middleDay(days), out <= safeDay, h.P80 / h.P50, safeDay}
}

func withoutCalendar(j Job) []estimate.Work {
	var out []estimate.Work
	for _, t := range j.Tasks {
		out = append(out, t.Work)
	}
	return out
}

// Simulation-based calibration: of 1 000 invented shops, how many hold. The
// bands are for three and more finished necks; with none the estimate must at
// least not be bold.
func TestCoverageOverInventedShops(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand shops")
	}
	t.Logf("seed %d, %d shops; standard error of a share of 80 %% is 1.3 %%", coverageSeed, coverageShops)
	t.Logf("%-10s %8s %8s %8s %8s %8s %9s %6s", "necks", "hours", "hours", "hours", "likely", "safe", "P80/P50", "safe")
	t.Logf("%-10s %8s %8s %8s %8s %8s %9s %6s", "finished", "P50 %", "P80 %", "P90 %", "date %", "date %", "of hours", "days")
	for _, n := range []int{0, 3, 10} {
		results := make([]covered, coverageShops)
		var wg sync.WaitGroup
		for lane := range 2 {
			wg.Go(func() {
				for i := lane; i < coverageShops; i += 2 {
					results[i] = coverShop(uint64(i), n)
				}
			})
		}
		wg.Wait()
		var h50, h80, h90, d50, d80, ratio, days float64
		count := func(at *float64, ok bool) {
			if ok {
				*at += 100.0 / coverageShops
			}
		}
		for _, c := range results {
			count(&h50, c.hours50)
			count(&h80, c.hours80)
			count(&h90, c.hours90)
			count(&d50, c.date50)
			count(&d80, c.date80)
			ratio += c.ratio / coverageShops
			days += float64(c.days) / coverageShops
		}
		t.Logf("%-10d %8.1f %8.1f %8.1f %8.1f %8.1f %9.2f %6.0f", n, h50, h80, h90, d50, d80, ratio, days)
		if n < 3 {
			continue
		}
		for _, c := range []struct {
			what           string
			got, low, high float64
		}{{"P50 of hours", h50, 45, 55}, {"P80 of hours", h80, 76, 84}, {"likely date", d50, 45, 55}, {"safe date", d80, 76, 84}} {
			if c.got < c.low || c.got > c.high {
				t.Errorf("%d necks: the %s holds in %.1f %%, want %.0f to %.0f", n, c.what, c.got, c.low, c.high)
			}
		}
	}
}
