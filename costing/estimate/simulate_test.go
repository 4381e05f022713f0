package estimate

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/floats/scalar"
)

func route25() []Work {
	operations := []Standard{{10, 1.5, "holes", false}, {15, 12, "inlay", false}, {8, 0.05, "cm2", false}, {0, 25, "choice", false}, {6, 0.12, "edge_cm", true}}
	qs := []float64{6, 14, 160, 1, 60}
	var out []Work
	for i := range 25 {
		k := i % 5
		out = append(out, Work{Name: "step", Estimate: ForStep(operations[k], qs[k], nil, Pace{}, Settings{}), Rework: 0.03, PerHour: 40})
	}
	return out
}

// The limit is 150 ms for 20 000 draws of 25 steps.
func BenchmarkSimulate25Steps(b *testing.B) {
	work := route25()
	for b.Loop() {
		simulate(work, Settings{Draws: 20000})
	}
	b.ReportMetric(150, "limit-ms")
}

func TestSimulateIsRepeatable(t *testing.T) {
	a, b := simulate(route25(), Settings{Seed: 7, Draws: 500}), simulate(route25(), Settings{Seed: 7, Draws: 500})
	if a.P80 != b.P80 || a.P50 != b.P50 {
		t.Errorf("the same seed gave %v and %v", a.P80, b.P80)
	}
	if c := simulate(route25(), Settings{Seed: 8, Draws: 500}); c.P80 == a.P80 {
		t.Error("another seed gave the same draws")
	}
}

// One operation without history: the simulation against the closed forms, within
// the simulation error that it states itself.
func TestSimulateAgreesWithClosedForm(t *testing.T) {
	std := Standard{SetupMin: 10, RunMin: 1.5}
	student := ForStep(std, 6, nil, Pace{}, Settings{})
	lognormal := Estimate{StandardMin: 19, Centre: math.Log(19), Scale: 0.35, DF: math.Inf(1)}
	lognormal.MeanMin = 19 * clampedMean(math.Inf(1), 0.35, 4)
	some := []PastJob{pastJob("drill", 6, 25, 1), pastJob("drill", 6, 21, 2), pastJob("drill", 8, 30, 3)}
	for name, e := range map[string]Estimate{
		"Student t, no history":  student,
		"lognormal, sigma known": lognormal,
		"Student t, 3 past jobs": ForStep(std, 6, some, ShopPace(some, Settings{}), Settings{}),
	} {
		for seed := uint64(1); seed <= 5; seed++ {
			h := simulate([]Work{{Estimate: e}}, Settings{Seed: seed})
			for _, c := range []struct {
				what           string
				got, want, err float64
			}{
				{"P50", h.P50, e.Quantile(0.5) / 60, h.P50Error},
				{"P80", h.P80, e.Quantile(0.8) / 60, h.P80Error},
				{"P90", h.P90, e.Quantile(0.9) / 60, h.P90Error},
				{"mean", h.Simulated, h.Mean, h.MeanError},
			} {
				// 60 comparisons of 95 % intervals: three half-widths are 5.9 sd / 2.
				if !scalar.EqualWithinAbs(c.got, c.want, 1.6*c.err) {
					t.Errorf("%s seed %d: %s %.5f h, closed form %.5f, stated error %.5f", name, seed, c.what, c.got, c.want, c.err)
				}
			}
		}
	}
}

// The marginal of a step does not depend on what it shares with others.
func TestSimulateOrder(t *testing.T) {
	for _, work := range [][]Work{route25(), route25()[:1], route25()[:5]} {
		h := simulate(work, Settings{Draws: 4000})
		if !(h.P50 <= h.Mean && h.Mean <= h.P80 && h.P80 <= h.P90) {
			t.Errorf("%d steps: P50 %.2f mean %.2f P80 %.2f P90 %.2f are out of order", len(work), h.P50, h.Mean, h.P80, h.P90)
		}
	}
}

// Twenty steps of spread 0.35 with 0.15 of it common to the job and medians
// adding to 37.2 h (computed once more here, no outside source): P50 38.9,
// mean 39.5, P80 45.1 in an earlier computation by hand.
func TestSimulateTwentySteps(t *testing.T) {
	var work []Work
	for range 20 {
		m := 37.2 * 60 / 20
		e := Estimate{StandardMin: m, Centre: math.Log(m), Scale: 0.35, DF: math.Inf(1)}
		e.MeanMin = m * clampedMean(e.DF, e.Scale, 4)
		work = append(work, Work{Estimate: e})
	}
	h := simulate(work, Settings{})
	if sum := 20 * work[0].Estimate.Quantile(0.8) / 60; h.P80 > sum-3 {
		t.Errorf("the P80 of the sum, %.2f h, is not well below the sum of the P80s, %.2f h", h.P80, sum)
	}
	for what, c := range map[string][2]float64{"P50": {h.P50, 39.3}, "mean": {h.Mean, 39.55}, "P80": {h.P80, 45}} {
		if math.Abs(c[0]-c[1]) > 0.6 {
			t.Errorf("%s %.2f h, want about %.1f", what, c[0], c[1])
		}
	}
}

func TestReworkRaisesTheMeanByItsChance(t *testing.T) {
	w := route25()[:1]
	w[0].Rework = 0
	plain := simulate(w, Settings{})
	w[0].Rework = 0.25
	again := simulate(w, Settings{})
	if !scalar.EqualWithinRel(again.Mean, plain.Mean*1.25, 1e-12) {
		t.Errorf("mean %.4f, want %.4f", again.Mean, plain.Mean*1.25)
	}
	if math.Abs(again.Simulated-again.Mean) > 1.5*again.MeanError {
		t.Errorf("simulated mean %.4f, computed %.4f, error %.4f", again.Simulated, again.Mean, again.MeanError)
	}
}

func pastJob(operation string, q, minutes float64, day int) PastJob {
	at := time.Date(2026, 3, day, 20, 0, 0, 0, time.UTC)
	std := Standard{SetupMin: 10, RunMin: 1.5}
	return PastJob{Operation: operation, Quantity: q, Minutes: minutes, StandardMin: std.Minutes(q), When: at, Necks: []string{"N" + at.Format("02")}, Evening: at.Format(time.DateOnly)}
}

// simulate draws the steps of a job without a calendar.
func simulate(work []Work, set Settings) Hours {
	set = set.WithDefaults()
	r := rand.New(rand.NewPCG(set.Seed, 1))
	var ds []Drawer
	mean := 0.0
	for _, w := range work {
		ds = append(ds, NewDrawer(w, set))
		mean += w.Estimate.MeanMin * (1 + w.Rework) / 60
	}
	var hours, cost []float64
	for range set.Draws {
		c := DrawShared(r)
		h, paid := 0.0, 0.0
		for k, w := range work {
			t := ds[k].Draw(r, c) / 60
			h, paid = h+t, paid+t*w.PerHour
		}
		hours, cost = append(hours, h), append(cost, paid)
	}
	return NewHours(hours, cost, mean, set.Seed)
}
