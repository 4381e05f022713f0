package schedule

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// An invented evening: Tuesday 24 March 2026, 19:00 in UTC, until 22:00.

var tonightNow = time.Date(2026, 3, 24, 19, 0, 0, 0, time.UTC)

func tonightShop() jobs.Shop {
	s := jobs.DefaultShop()
	s.Evenings = []jobs.Slot{{Day: time.Tuesday, From: 19 * 60, To: 22 * 60}, {Day: time.Thursday, From: 19 * 60, To: 22 * 60}}
	return s
}

func tonightOperations() map[string]jobs.Operation {
	out := map[string]jobs.Operation{}
	for _, k := range jobs.SeedOperations() {
		out[k.Name] = k
	}
	return out
}

// tonightOf is the input for necks given as states, with the default standards.
func tonightOf(until time.Duration, necks ...jobs.NeckState) Tonight {
	operations := tonightOperations()
	t := Tonight{Now: tonightNow, Until: tonightNow.Add(until), NextVisit: time.Date(2026, 3, 26, 19, 0, 0, 0, time.UTC), Shop: tonightShop(), Operations: operations, Unlogged: estimate.Unlogged{Factor: 1.25},
		Estimate: func(operation string, q float64) estimate.Estimate {
			return estimate.ForStep(estimate.StandardOf(operations[operation]), q, nil, estimate.Pace{}, estimate.Settings{})
		}}
	for _, n := range necks {
		t.Necks = append(t.Necks, TonightNeck{State: n, Gates: map[int]Gate{}, Needs: map[int][]string{}})
	}
	return t
}

// at gives a neck whose route is done up to the named operation; doneAgo is how long
// ago the step before it ended.
func at(code, next string, doneAgo time.Duration) jobs.NeckState {
	operations := tonightOperations()
	steps, quantities, err := jobs.PlanSteps(jobs.SeedRoutes()[0], operations, map[string]float64{"inlay": 4, "coats": 3})
	if err != nil {
		panic(err)
	}
	n := jobs.Neck{Code: code, Nickname: strings.ToLower(code), Status: jobs.Open, Steps: steps, Quantities: quantities, Wood: "hard-maple"}
	i := slices.IndexFunc(steps, func(s jobs.Step) bool { return s.Operation == next })
	if i < 0 {
		panic(next)
	}
	var es []jobs.Entry
	for k := range i {
		end := tonightNow.Add(-doneAgo - time.Duration(i-1-k)*48*time.Hour)
		es = append(es, jobs.Entry{ID: uint64(k + 1), Operation: steps[k].Operation, Class: jobs.First, From: end.Add(-10 * time.Minute), To: &end,
			Shares: []jobs.Share{{Neck: code, Step: steps[k].No, Count: steps[k].Quantity, Done: true}}})
	}
	return jobs.Derive(n, es, operations, tonightShop(), tonightNow)
}

const long = 100 * time.Hour

func show(lines []TonightLine) []string {
	out := []string{}
	for _, l := range lines {
		out = append(out, l.Operation+" "+strings.Join(l.Names, "+"))
	}
	return out
}

func TestTonight(t *testing.T) {
	for _, tc := range []struct {
		name  string
		until time.Duration
		necks []jobs.NeckState
		edit  func(*Tonight)
		plan  []string
		other []string
		waits []string // "neck: reason"
	}{
		{"the glue-up comes last and what leads to it first", 3 * time.Hour, []jobs.NeckState{at("A", "thickness-head", long)}, nil,
			[]string{"thickness-head a", "glue-back a"}, nil, nil},
		{"the longest chain is glued first", 25 * time.Minute, []jobs.NeckState{at("A", "glue-back", long), at("B", "glue-face", long)}, nil,
			[]string{"glue-face b"}, []string{"glue-back a"}, []string{"a: time: 24 min to be safe, too many with the plan"}},
		{"unless a date presses", 25 * time.Minute, []jobs.NeckState{at("A", "glue-back", long), at("B", "glue-face", long)},
			func(x *Tonight) { x.Necks[0].State.Neck.Due = "2026-04-01" },
			[]string{"glue-back a"}, []string{"glue-face b"}, []string{"b: time: 24 min to be safe, too many with the plan"}},
		{"two glue-ups of an operation share a set-up", 3 * time.Hour, []jobs.NeckState{at("A", "glue-back", long), at("B", "glue-back", long)}, nil,
			[]string{"glue-back a+b"}, nil, nil},
		{"clamps are counted", 3 * time.Hour, []jobs.NeckState{at("A", "glue-back", long), at("B", "glue-back", long)},
			func(x *Tonight) { x.Shop.Clamps = 1 },
			[]string{"glue-back a"}, []string{"glue-back b"}, []string{"b: clamps: the plan takes the free sets"}},
		{"clamps that are held are not free", 3 * time.Hour, []jobs.NeckState{at("A", "thickness-head", 2*time.Hour), at("B", "glue-back", long)},
			func(x *Tonight) { x.Shop.Clamps = 1 },
			nil, nil, []string{"a: glue-face cures until Wed 03:00", "b: clamps: 1 of 1 sets are held"}},
		{"a cure waits by the clock", 3 * time.Hour, []jobs.NeckState{at("A", "thickness-head", 2*time.Hour)}, nil,
			nil, nil, []string{"a: glue-face cures until Wed 03:00"}},
		{"a cure that ends tonight is waited for", 4 * time.Hour, []jobs.NeckState{at("A", "thickness-head", 9*time.Hour)},
			func(x *Tonight) { x.Shop.QuietAfter = 0 },
			[]string{"thickness-head a", "glue-back a"}, nil, nil},
		{"noise stops at the curfew", 3 * time.Hour, []jobs.NeckState{at("A", "flush-sand", long), at("B", "block-sand", long)},
			func(x *Tonight) {
				x.Now = tonightNow.Add(2 * time.Hour)
			},
			[]string{"block-sand b", "print-template b", "mark-posts b"}, nil, []string{"a: noise curfew 21:00"}},
		{"a quiet step that would delay noise past the curfew is not called noisy", 149 * time.Minute, []jobs.NeckState{at("A", "choose-veneer", long), at("B", "choose-veneer", long)},
			func(x *Tonight) { x.Shop.QuietAfter = jobs.Clock(20*60 + 30) },
			[]string{"choose-veneer a", "thickness-core a", "joint-veneer a", "glue-face a"}, []string{"choose-veneer b", "thickness-core b", "joint-veneer b", "glue-face b"}, []string{"b: it would push noisy work of the plan past the quiet hour 20:30"}},
		{"noisy work comes before quiet work", 3 * time.Hour, []jobs.NeckState{at("A", "block-sand", long), at("B", "pilot-holes", long)}, nil,
			[]string{"pilot-holes b", "block-sand a", "print-template a", "mark-posts a", "fit-backing a", "drill a", "ease-holes a"}, nil, nil},
		{"necks with the same operation share a set-up", 45 * time.Minute, []jobs.NeckState{at("A", "mark-posts", long), at("B", "mark-posts", long)}, nil,
			[]string{"mark-posts a+b"}, nil, nil},
		{"an open film keeps dust away", 90 * time.Minute, []jobs.NeckState{at("A", "ream-finish", 2*time.Hour), at("B", "block-sand", long)},
			func(x *Tonight) { x.Shop.QuietAfter = 0 },
			nil, nil, []string{"b: dust: the finish-coat on a is open until Wed 17:00", "a: finish-coat cures until Wed 17:00"}},
		{"no film after dust the same evening", 3 * time.Hour, []jobs.NeckState{at("A", "finish-coat", long)},
			func(x *Tonight) { x.DustTonight = "flush-sand" },
			nil, nil, []string{"a: film: dust from flush-sand tonight"}},
		{"no dust on an evening that ends with a film", 2 * time.Hour, []jobs.NeckState{at("A", "finish-coat", long), at("B", "block-sand", long)}, nil,
			[]string{"finish-coat a"}, nil, []string{"b: dust: the evening ends with finish-coat on a"}},
		{"a decision fills what is left", 50 * time.Minute, []jobs.NeckState{at("A", "choose-veneer", long)}, nil,
			[]string{"choose-veneer a"}, nil, nil},
		{"held and not yet begun", 3 * time.Hour, []jobs.NeckState{at("A", "mark-posts", long), at("B", "mark-posts", long)},
			func(x *Tonight) {
				x.Necks[0].State.Neck.Status, x.Necks[0].State.Neck.Why = jobs.Held, "on holiday"
				x.Necks[1].State.Neck.Starts = "2026-03-26"
			},
			nil, nil, []string{"a: held: on holiday", "b: starts on 2026-03-26"}},
		{"what a gate stops is not planned", 3 * time.Hour, []jobs.NeckState{at("A", "fit-tuners", long)},
			func(x *Tonight) {
				x.Necks[0].Gates[x.Necks[0].State.Steps[len(x.Necks[0].State.Steps)-1].No] = Gate{"parts are not here: tuners", nil}
			},
			nil, nil, []string{"a: parts are not here: tuners"}},
		{"what may stop midway is done as far as it goes, and the glue still comes last", 100 * time.Minute, []jobs.NeckState{at("A", "inlay-cut", long), at("B", "glue-back", long)}, nil,
			[]string{"inlay-cut a", "glue-back b"}, nil, nil},
		{"too little time for anything", 5 * time.Minute, []jobs.NeckState{at("A", "glue-back", long)}, nil,
			nil, nil, []string{"a: time: 24 min to be safe, 5 are left"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			in := tonightOf(tc.until, tc.necks...)
			if tc.edit != nil {
				tc.edit(&in)
			}
			got := PlanTonight(in)
			if d := cmp.Diff(show(got.Plan), tc.plan, cmpopts.EquateEmpty()); d != "" {
				t.Errorf("plan (-got +want)\n%s", d)
			}
			if d := cmp.Diff(show(got.Other), tc.other, cmpopts.EquateEmpty()); d != "" {
				t.Errorf("other (-got +want)\n%s", d)
			}
			var waits []string
			for _, b := range got.Blocked {
				waits = append(waits, b.Name+": "+b.Reason)
			}
			if d := cmp.Diff(waits, tc.waits, cmpopts.EquateEmpty()); d != "" {
				t.Errorf("waiting (-got +want)\n%s", d)
			}
			checkTonight(t, in, got)
		})
	}
}

// checkTonight holds what must be true of every plan.
func checkTonight(t *testing.T, in Tonight, got TonightPlan) {
	t.Helper()
	for _, lines := range [][]TonightLine{got.Plan, got.Other} {
		cursor := in.Now
		closed, dust, wet, sum := false, false, false, 0.0
		clamps := 0
		steps := map[string]int{}
		for _, l := range lines {
			k := in.Operations[l.Operation]
			if l.Starts.Before(cursor) || l.EndsBy.Sub(l.Starts).Minutes() != l.SafeMin || l.EndsBy.After(in.Until) {
				t.Errorf("%s %v: %v to %v does not hold its safe %g min before %v", l.Operation, l.Names, l.Starts, l.EndsBy, l.SafeMin, in.Until)
			}
			if l.LikelyMin > l.SafeMin || l.Why == "" {
				t.Errorf("%s: likely %g, safe %g, why %q", l.Operation, l.LikelyMin, l.SafeMin, l.Why)
			}
			if closed && !l.Closes {
				t.Errorf("%s comes after a closing step", l.Operation)
			}
			closed = closed || l.Closes
			dust, wet = dust || k.Dust, wet || k.Wet
			if l.Closes {
				clamps += k.Clamps * len(l.Necks)
			}
			for _, n := range l.Necks {
				if steps[n] >= l.steps[n] && !k.Decide {
					t.Errorf("%s on %s is planned out of its order", l.Operation, n)
				}
				steps[n] = max(steps[n], l.steps[n])
				for _, x := range in.Necks {
					if _, gated := x.Gates[l.steps[n]]; gated && x.State.Neck.Code == n {
						t.Errorf("%s on %s is planned though it is stopped", l.Operation, n)
					}
				}
			}
			cursor = l.EndsBy
			sum += l.SafeMin
		}
		if sum > in.Until.Sub(in.Now).Minutes() {
			t.Errorf("safe minutes add to %g", sum)
		}
		if wet && (dust || in.DustTonight != "") {
			t.Error("dust beside a film")
		}
		if clamps > in.Shop.Clamps {
			t.Errorf("%d clamp sets of %d", clamps, in.Shop.Clamps)
		}
	}
	planned := map[string]bool{}
	for _, l := range got.Plan {
		for _, n := range l.Necks {
			planned[n] = true
		}
	}
	for _, b := range got.Blocked {
		if planned[b.Neck] || b.Reason == "" {
			t.Errorf("%s is both planned and waiting, or waits for nothing: %q", b.Neck, b.Reason)
		}
		planned[b.Neck] = true
	}
	for _, n := range in.Necks {
		if _, open := n.State.Next(); open && !planned[n.State.Neck.Code] {
			t.Errorf("%s is neither planned nor waiting", n.State.Neck.Code)
		}
	}
}

// TestTonightHoldsForRandomShops plays random necks, hours and gates: what must
// hold of every plan does, and the same values give the same plan in any order
// of the necks.
func TestTonightHoldsForRandomShops(t *testing.T) {
	const seed = 4711
	rng := rand.New(rand.NewPCG(seed, 9))
	var operations []string
	for _, s := range at("A", "fit-tuners", long).Neck.Steps {
		operations = append(operations, s.Operation)
	}
	for i := range 300 {
		var necks []jobs.NeckState
		for n := range 1 + rng.IntN(7) {
			st := at(fmt.Sprint("N", n), operations[rng.IntN(len(operations))], time.Duration(rng.IntN(40*60))*time.Minute)
			switch rng.IntN(8) {
			case 0:
				st.Neck.Status = jobs.Held
			case 1:
				st.Neck.Due = jobs.Day("2026-03-20").Add(rng.IntN(60))
			case 2:
				st.Neck.Starts = jobs.Day("2026-03-20").Add(rng.IntN(10))
			}
			necks = append(necks, st)
		}
		in := tonightOf(time.Duration(10+rng.IntN(300))*time.Minute, necks...)
		in.Shop.Clamps = rng.IntN(4)
		if rng.IntN(3) == 0 {
			in.Shop.QuietAfter = jobs.Clock(18*60 + rng.IntN(300))
		}
		if rng.IntN(5) == 0 {
			in.DustTonight = "flush-sand"
		}
		for j := range in.Necks {
			if rng.IntN(4) == 0 {
				steps := in.Necks[j].State.Steps
				in.Necks[j].Gates[steps[rng.IntN(len(steps))].No] = Gate{"stopped", nil}
			}
		}
		got := PlanTonight(in)
		checkTonight(t, in, got)
		rng.Shuffle(len(in.Necks), func(a, b int) { in.Necks[a], in.Necks[b] = in.Necks[b], in.Necks[a] })
		if d := cmp.Diff(PlanTonight(in), got, cmpopts.IgnoreUnexported(TonightLine{})); d != "" {
			t.Fatalf("seed %d case %d: the order of the necks matters\n%s", seed, i, d)
		}
		if t.Failed() {
			t.Fatalf("seed %d case %d", seed, i)
		}
	}
}

// Two of four pieces are 34 min by the standard (10 + 2 x 12), three are 46.
func TestPartOfAStep(t *testing.T) {
	in := tonightOf(60*time.Minute, at("A", "inlay-cut", long))
	got := PlanTonight(in)
	if len(got.Plan) != 1 || !got.Plan[0].Part || got.Plan[0].Quantity != 2 || got.Plan[0].LikelyMin != 34 {
		t.Fatalf("got %+v", got.Plan)
	}
	if !strings.Contains(got.Plan[0].Why, "2 of 4") {
		t.Errorf("why %q", got.Plan[0].Why)
	}
	in.Operations["inlay-cut"] = func(k jobs.Operation) jobs.Operation { k.NoStop = true; return k }(in.Operations["inlay-cut"])
	if got := PlanTonight(in); len(got.Plan) != 0 {
		t.Errorf("a step that cannot stop midway: %v", show(got.Plan))
	}
}

func TestShortSuggestions(t *testing.T) {
	in := tonightOf(20*time.Minute, at("A", "choose-veneer", long), at("B", "ease-holes", long))
	in.Errands = []Errand{{"order tuners for b", 10, "a step waits for it"}}
	var got []string
	for _, s := range PlanTonight(in).Short {
		got = append(got, s.Text)
		if s.SafeMin > 2*2*shortMin {
			t.Errorf("%s needs %g min", s.Text, s.SafeMin)
		}
	}
	if d := cmp.Diff(got, []string{"order tuners for b", "choose-veneer a", "ease-holes b"}); d != "" {
		t.Error(d)
	}
}

// A step that was begun without a count needs less; never under a quarter.
func TestMinutesAlreadyPutIn(t *testing.T) {
	in := tonightOf(time.Hour)
	whole, _, _, _ := in.minutes("drill", 6, 1, 0)
	rest, _, _, _ := in.minutes("drill", 6, 1, 10)
	least, _, _, _ := in.minutes("drill", 6, 1, 500)
	if math.Abs(whole-rest-10) > 1e-9 || math.Abs(least-whole/4) > 1e-9 {
		t.Errorf("whole %g, after 10 min %g, after 500 min %g", whole, rest, least)
	}
}
