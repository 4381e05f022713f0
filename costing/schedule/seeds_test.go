package schedule

import (
	"math"
	"testing"

	"bookmatch/jobs"
)

// standardMinutes takes the standard of an operation: safe 1.3 and mean 1.06
// times as long (judgement), bench waits as they are.
func standardMinutes(o jobs.GraphOperation, q float64) Minutes {
	run := o.RunMin * q
	return Minutes{1.3 * o.SetupMin, 1.3*run + o.BenchWaitMin, 1.06 * o.SetupMin, 1.06*run + o.BenchWaitMin}
}

// seedSteps gives the steps of a seeded route with some quantities changed.
func seedSteps(t testing.TB, route string, change map[string]float64) []Step {
	t.Helper()
	ops := map[string]jobs.GraphOperation{}
	for _, o := range jobs.SeedGraphOperations() {
		ops[o.Name] = o
	}
	for _, r := range jobs.SeedRoutes() {
		if r.Name == route {
			for k, v := range change {
				r.Quantities[k] = v
			}
			return FromGraph(r.Steps, ops, r.Quantities, standardMinutes)
		}
	}
	t.Fatalf("no route %s", route)
	return nil
}

// tueThu gives the coming evenings of Tuesday and Thursday, 2.5 h, the first a
// Thursday in two days.
func tueThu() Evening {
	e := Evening{Unlogged: 1.16, UsualMin: 150}
	for week := range 2 {
		for _, day := range []float64{2, 7} {
			from := (float64(7*week) + day) * 24 * 60
			e.Later = append(e.Later, Window{from, from + 150})
		}
	}
	return e
}

// checkSeeds is the other part of case 10: R of necks with nothing done. The
// figures come from a computation that shares no code with this package.
func checkSeeds(t *testing.T) {
	for _, c := range []struct {
		route  string
		change map[string]float64
		want   float64
	}{
		{"headstock", nil, 3.3},
		{"headstock", map[string]float64{"inlay": 6}, 4.4},
		{"headstock", map[string]float64{"inlay": 14, "coats": 6}, 11.3},
		{"neck", nil, 15.1},
		{"neck", map[string]float64{"inlay": 6, "scarf": 1, "ears": 2, "binding": 2}, 16.1},
	} {
		path, minutes, r, ok := Remaining(Neck{Steps: seedSteps(t, c.route, c.change)}, tueThu())
		if !ok || math.Round(r*10)/10 != c.want {
			t.Errorf("%s %v: R %.2f (path %.2f, minutes %.2f), want %.1f", c.route, c.change, r, path, minutes, c.want)
		}
	}
}

// TestSeedsAgreeWithTheCases compares the seeded steps with those of the cases:
// minutes, cures, places and needs.
func TestSeedsAgreeWithTheCases(t *testing.T) {
	seeds := map[int][]Step{}
	for _, s := range [][]Step{seedSteps(t, "headstock", nil), seedSteps(t, "headstock", map[string]float64{"inlay": 6}), seedSteps(t, "neck", nil), seedSteps(t, "neck", map[string]float64{"coats": 0})} {
		seeds[len(s)] = s
	}
	compared := 0
	for _, s := range readCases(t).situations(t) {
		for _, n := range s.Necks {
			byName := map[string]Step{}
			for _, st := range seeds[len(n.Steps)] {
				byName[st.Name] = st
			}
			for _, want := range n.Steps {
				got, ok := byName[want.Name]
				if !ok {
					t.Errorf("%d steps: no step %s", len(n.Steps), want.Name)
					continue
				}
				if got.Left != want.Left {
					continue // another quantity
				}
				compared++
				names := func(s Step, of []Step) map[string]float64 {
					out := map[string]float64{}
					for _, nd := range s.Needs {
						out[of[nd.Step].Name] = nd.WaitMin
					}
					return out
				}
				g, w := names(got, seeds[len(n.Steps)]), names(want, n.Steps)
				same := len(g) == len(w)
				for k, v := range w {
					same = same && g[k] == v
				}
				if !same {
					t.Errorf("%s needs %v, want %v", want.Name, g, w)
				}
				if got.Place != want.Place || got.Marks != want.Marks || got.Clamps != want.Clamps || got.HandledMin != want.HandledMin || got.CuredMin != want.CuredMin ||
					got.SafeSetupMin != want.SafeSetupMin || got.SafeRunMin != want.SafeRunMin || math.Abs(got.MeanRunMin-want.MeanRunMin) > 1e-6 || math.Abs(got.MeanSetupMin-want.MeanSetupMin) > 1e-6 {
					t.Errorf("%s is\n%+v, want\n%+v", want.Name, got, want)
				}
			}
		}
	}
	if compared < 300 {
		t.Errorf("only %d steps compared", compared)
	}
}
