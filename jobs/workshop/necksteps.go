package workshop

import (
	"math"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// leastLeft is the smallest share that is left of a step that was started without
// a count (judgement).
const leastLeft = 0.25

// planSteps gives the steps of a neck for a plan or a walk, with the view of
// each. Minutes count from an instant. A step that runs counts as done then.
func (b *Book) planSteps(st jobs.NeckState, from time.Time) ([]schedule.Step, []jobs.StepView, error) {
	graph, places := st.Neck.OpenGraph()
	at := map[string]int{}
	for i, s := range graph {
		at[s.Name] = i
	}
	steps := make([]schedule.Step, len(graph))
	views := make([]jobs.StepView, len(graph))
	for i, s := range graph {
		v, _ := st.View(st.Neck.Steps[places[i]].No)
		o := b.Operations[jobs.PresentName(v.Operation, b.Operations)]
		est, left, err := b.stepLeft(v, o)
		if err != nil {
			return nil, nil, err
		}
		steps[i], views[i] = schedule.StepOf(s.Name, o.Graph(), minutesFor(est, o, left), left), v
		x := &steps[i]
		switch {
		case v.State == jobs.On:
			x.Done = true
		case v.DoneAt != nil:
			x.Done, x.DoneMin = true, v.DoneAt.Sub(from).Minutes()
			x.HandledMin, x.CuredMin = v.FreeAt.Sub(*v.DoneAt).Minutes(), v.ReadyAt.Sub(*v.DoneAt).Minutes()
		}
	}
	for i, s := range graph {
		for _, n := range s.After {
			j := at[n.Step]
			steps[i].Needs = append(steps[i].Needs, schedule.Need{Step: j, WaitMin: n.Wait(steps[j].HandledMin, steps[j].CuredMin)})
		}
	}
	return steps, views, nil
}

// stepLeft estimates what is left of a step, and gives its quantity. Work that
// was logged without a count takes its time off, but never all of it. A copy whose window
// is over takes its setup once more, for scuffing.
func (b *Book) stepLeft(v jobs.StepView, o jobs.Operation) (estimate.Estimate, float64, error) {
	left := v.Quantity
	if v.Counted > 0 && v.Counted < left {
		left -= v.Counted
	}
	est, err := b.Est().Step(o.Name, left)
	est = est.Times(v.Difficulty)
	if v.Scuff {
		est = scuffed(est, o, left)
	}
	if v.DoneAt == nil && v.Counted == 0 && v.Actual > 0 && est.MeanMin > 0 {
		share := max(1-v.Actual.Minutes()/est.MeanMin, leastLeft)
		if rest := left * share; left > 1 {
			share = math.Ceil(rest) / left // whole pieces
		}
		left, est = left*share, est.Times(share)
	}
	return est, left, err
}

// scuffed adds the setup of an operation to an estimate once more.
func scuffed(e estimate.Estimate, o jobs.Operation, quantity float64) estimate.Estimate {
	if all := o.SetupMin + o.BenchWaitMin + o.RunMin*quantity; all > 0 {
		return e.Times(1 + o.SetupMin/all)
	}
	return e
}

// minutesFor parts an estimate in setup and run, as its standard does.
func minutesFor(e estimate.Estimate, o jobs.Operation, quantity float64) schedule.Minutes {
	share := 0.0
	if all := o.SetupMin + o.BenchWaitMin + o.RunMin*quantity; all > 0 {
		share = o.SetupMin / all
	}
	whole := func(m float64) float64 { return math.Max(m, 0) }
	return schedule.Minutes{SafeSetup: whole(e.SafeMin * share), SafeRun: whole(e.SafeMin * (1 - share)), MeanSetup: whole(e.MeanMin * share), MeanRun: whole(e.MeanMin * (1 - share))}
}
