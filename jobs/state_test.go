package jobs

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func stateOf(t *testing.T, n Neck, now time.Time, entries ...Entry) NeckState {
	t.Helper()
	return Derive(n, entries, testOperations(), testShop(), now)
}

func viewOf(t *testing.T, st NeckState, operation string) StepView {
	t.Helper()
	for _, v := range st.Steps {
		if v.Operation == operation {
			return v
		}
	}
	t.Fatalf("no step %s", operation)
	return StepView{}
}

// The cure is sixteen hours before it is sanded: a judgement, no source.
func TestACureBlocksTheNextStepByTheClock(t *testing.T) {
	n := testNeck(t, "N1", "ada", nil)
	var es []Entry
	for i, operation := range []string{"choose-veneer", "thickness-core", "joint-veneer"} {
		es = append(es, work(uint64(i+1), operation, []string{"18:00", "18:30", "18:50"}[i], []string{"18:25", "18:45", "19:10"}[i], done("N1", i+1, 140)))
	}
	glue := work(9, "glue-face", "21:00", "21:15", done("N1", stepNo(t, n, "glue-face"), 140))
	es = append(es, glue)
	for _, tc := range []struct {
		after       time.Duration
		glue, level StepState
	}{{time.Minute, Curing, Waiting}, {16*time.Hour - time.Second, Curing, Waiting}, {16 * time.Hour, Done, Ready}} {
		st := stateOf(t, n, glue.To.Add(tc.after), es...)
		if g, l := viewOf(t, st, "glue-face").State, viewOf(t, st, "thickness-head").State; g != tc.glue || l != tc.level {
			t.Errorf("%v after the glue-up: glue-face %s, thickness-head %s; want %s, %s", tc.after, g, l, tc.glue, tc.level)
		}
	}
	cold := 12.0
	glue.TempC = &cold
	es[3] = glue
	v := viewOf(t, stateOf(t, n, glue.To.Add(17*time.Hour), es...), "glue-face")
	if v.State != Curing || !v.Cold || !v.ReadyAt.Equal(glue.To.Add(32*time.Hour)) {
		t.Errorf("a cold shop: %s until %v, want twice sixteen hours", v.State, v.ReadyAt)
	}
}

func TestStatesOfASteps(t *testing.T) {
	n := testNeck(t, "N1", "ada", nil)
	step := stepNo(t, n, "choose-veneer")
	now := work(1, "", "23:00", "").From
	if v := viewOf(t, stateOf(t, n, now), "choose-veneer"); v.State != Ready {
		t.Errorf("untouched first step: %s", v.State)
	}
	running := work(1, "choose-veneer", "22:00", "", Share{Neck: "N1", Step: step})
	if v := viewOf(t, stateOf(t, n, now, running), "choose-veneer"); v.State != On || v.Actual != time.Hour {
		t.Errorf("running: %s %v", v.State, v.Actual)
	}
	started := work(1, "choose-veneer", "20:00", "20:10", Share{Neck: "N1", Step: step})
	if v := viewOf(t, stateOf(t, n, now, started), "choose-veneer"); v.State != Started {
		t.Errorf("started: %s", v.State)
	}
	again := work(3, "choose-veneer", "21:00", "21:20", Share{Neck: "N1", Step: step})
	again.Class, again.Cause = Rework, "customer"
	v := viewOf(t, stateOf(t, n, now, work(2, "choose-veneer", "20:00", "20:10", done("N1", step, 1)), again), "choose-veneer")
	if v.State != Done || v.Actual != 10*time.Minute || v.Rework != 20*time.Minute || v.Counted != 1 {
		t.Errorf("reworked: %s %v %v %g", v.State, v.Actual, v.Rework, v.Counted)
	}
	out := stateOf(t, n, now, work(4, "fret-dress", "20:00", "20:30", Share{Neck: "N1"}))
	if out.Outside != 30*time.Minute || out.Total != 30*time.Minute {
		t.Errorf("work outside the route: %v of %v", out.Outside, out.Total)
	}
	n.Steps[0].Skip = "chosen by the customer"
	if v := viewOf(t, stateOf(t, n, now), "thickness-core"); v.State != Ready {
		t.Errorf("after a skipped step: %s", v.State)
	}
}

func TestAStepOutOfOrderIsTakenAndToldButNeverHidesTheGap(t *testing.T) {
	n := testNeck(t, "N1", "ada", nil)
	drilled := work(1, "drill", "19:00", "19:30", done("N1", stepNo(t, n, "drill"), 6))
	st := stateOf(t, n, drilled.To.Add(time.Hour), drilled)
	if v := viewOf(t, st, "drill"); v.State != Done {
		t.Errorf("drilled: %s", v.State)
	}
	if next, ok := st.Next(); !ok || next.Operation != "order-parts" {
		t.Errorf("next is %s", next.Operation)
	}
	_, cautions, err := Start{Operation: testOperations()["drill"], Necks: []NeckState{stateOf(t, n, drilled.From)}}.Begin(testOperations(), testShop(), drilled.From)
	if err != nil || len(cautions) != 1 || cautions[0].Code != "order" || cautions[0].Stops {
		t.Errorf("starting out of order: %+v %v", cautions, err)
	}
}

// TestDroppingAnEntryEqualsNeverHavingLoggedIt plays random evenings and takes
// one entry out: states, passes and shares are those of the log without it.
func TestDroppingAnEntryEqualsNeverHavingLoggedIt(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 3))
	shop, operations := testShop(), testOperations()
	for i := range 300 {
		es := randomEvenings(rng, 1+rng.IntN(4))
		now := es[len(es)-1].To.Add(time.Duration(rng.IntN(30)) * time.Hour)
		n := testNeck(t, "N2", "bo", nil)
		k := rng.IntN(len(es))
		without := append(append([]Entry{}, es[:k]...), es[k+1:]...)
		before := Derive(n, without, operations, shop, now)
		Derive(n, es, operations, shop, now) // must leave nothing behind
		if d := cmp.Diff(Derive(n, without, operations, shop, now), before); d != "" {
			t.Fatalf("seed %d case %d\n%s", seed, i, d)
		}
		// Adding it again gives the state of the whole.
		back := append(append(append([]Entry{}, es[:k]...), es[k]), es[k+1:]...)
		if d := cmp.Diff(Derive(n, back, operations, shop, now), Derive(n, es, operations, shop, now)); d != "" {
			t.Fatalf("seed %d case %d\n%s", seed, i, d)
		}
	}
}

// TestStepMinutesAddToTheNeck: what the steps, the rework and the work outside
// take is what the neck took.
func TestStepMinutesAddToTheNeck(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, 4))
	for i := range 300 {
		es := randomEvenings(rng, 1+rng.IntN(5))
		now := es[len(es)-1].To.Add(time.Hour)
		whole := time.Duration(0)
		for _, code := range []string{"N1", "N2", "N3"} {
			st := Derive(testNeck(t, code, "", nil), es, testOperations(), testShop(), now)
			sum := st.Outside
			for _, v := range st.Steps {
				sum += v.Actual + v.Rework
			}
			if sum != st.Total {
				t.Fatalf("seed %d case %d: steps %v, neck %v", seed, i, sum, st.Total)
			}
			whole += sum
		}
		all := time.Duration(0)
		for _, e := range es {
			all += e.Elapsed(now)
		}
		if whole != all {
			t.Fatalf("seed %d case %d: necks %v, log %v", seed, i, whole, all)
		}
	}
}
