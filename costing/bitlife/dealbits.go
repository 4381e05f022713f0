package bitlife

import (
	"cmp"
	"slices"

	"bookmatch/jobs"
)

// Plan says which bit to take for a job, and what is thought of it there.
type Plan struct {
	Job     FaceJob `json:"-"`
	Neck    string  `json:"neck"`
	Bit     string  `json:"bit,omitempty"`
	Why     string  `json:"why"`
	Verdict Verdict `json:"verdict"`
}

// PlanBits deals the bits of one size out to tonight's jobs: the freshest edge
// to the dearest face; each cheaper face the most worn edge that is still ready
// for it, so that fresh edges are kept; hidden holes the general set. Wear of
// the jobs dealt before counts. Jobs come back in their own order; a job
// without a bit says why.
func (a Advisor) PlanBits(diameterMM float64, work []FaceJob) ([]Plan, error) {
	order := make([]int, len(work))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		if work[i].Hidden != work[j].Hidden {
			return map[bool]int{true: 1, false: -1}[work[i].Hidden]
		}
		return work[j].TornHoleCost.Cmp(work[i].TornHoleCost)
	})
	plans := make([]Plan, len(work))
	sim := a
	sim.Lives = slices.Clone(a.Lives)
	first := true
	for _, i := range order {
		job := work[i]
		p, err := sim.pick(diameterMM, job, first)
		if err != nil {
			return nil, err
		}
		first = first && job.Hidden
		plans[i] = p
		for k := range sim.Lives {
			if l := &sim.Lives[k]; l.Bit == p.Bit && l.Edge == p.Verdict.Edge {
				l.WearM += job.CutM
				l.LifeM += job.CutM
				l.Tested = false
			}
		}
	}
	return plans, nil
}

// pick chooses for one job among the bits of a size.
func (a Advisor) pick(diameterMM float64, job FaceJob, dearest bool) (Plan, error) {
	want := jobs.KeepShow
	if job.Hidden {
		want = jobs.KeepGeneral
	}
	var fit []jobs.EdgeLife
	for _, b := range a.Book.Bits {
		l, ok := a.Life(b.Code)
		if ok && l.Keep == want && gone(l) == "" && jobs.Fits(l.MeasuredMM, diameterMM, a.FitMM, job.Planned) {
			fit = append(fit, l)
		}
	}
	plan := Plan{Job: job, Neck: job.Neck, Why: "no bit kept for " + jobs.KeepText(want) + " fits"}
	if len(fit) == 0 {
		return plan, nil
	}
	slices.SortStableFunc(fit, func(x, y jobs.EdgeLife) int {
		return cmp.Or(cmp.Compare(x.WearM+x.PossibleM, y.WearM+y.PossibleM), cmp.Compare(x.Bit, y.Bit))
	})
	take, judged := fit[0], (*Verdict)(nil)
	plan.Why = "the freshest bit for the dearest face"
	switch {
	case job.Hidden:
		plan.Why = "hidden holes: the most worn general bit that is not dull"
		for _, l := range slices.Backward(fit) {
			if !l.Event {
				take = l
				break
			}
		}
	case !dearest:
		plan.Why = "the freshest bit left"
		for _, l := range slices.Backward(fit) {
			v, err := a.Verdict(l.Bit, job)
			if err != nil {
				return Plan{}, err
			}
			if v.Verdict == VerdictReady || v.Verdict == VerdictLast {
				take, judged, plan.Why = l, &v, "worn, but good enough for this face: keeps the fresh one"
				break
			}
		}
	}
	if judged == nil {
		v, err := a.Verdict(take.Bit, job)
		if err != nil {
			return Plan{}, err
		}
		judged = &v
	}
	plan.Bit, plan.Verdict = take.Bit, *judged
	return plan, nil
}
