package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// KeepPlan stores a solved plan as the next version of its neck's layout and
// carries its holes to the neck's steps. A plan with the code of the newest
// version is that version: nothing is written but a staleness it lifts. The
// plan comes back with its version.
func (b *Book) KeepPlan(st jobs.NeckState, p jobs.Plan) (jobs.Plan, error) {
	last, ok, err := b.CurrentPlan(st.Neck.Code)
	if err != nil {
		return p, err
	}
	if ok && last.Code == p.Code {
		if last.OutOfDate == "" && last.Spec == p.Spec && last.File == p.File && last.SpecSum == p.SpecSum {
			return last, nil
		}
		last.OutOfDate, last.Spec, last.File, last.SpecSum = "", p.Spec, p.File, p.SpecSum
		return last, store.Put(b.Tx, store.Plans, last)
	}
	p.Neck, p.Version, p.Made = st.Neck.Code, last.Version+1, b.Now
	if err := store.Put(b.Tx, store.Plans, p); err != nil {
		return p, err
	}
	return p, store.Put(b.Tx, store.Necks, jobs.ApplyPlan(st, p, b.Operations))
}

// PlanOf gives one version of a neck's plan, the newest for 0. Errors are of
// class jobs.ErrNotFound.
func (b *Book) PlanOf(n jobs.Neck, version int) (jobs.Plan, error) {
	if version == 0 {
		p, ok, err := b.CurrentPlan(n.Code)
		if err == nil && !ok {
			err = &jobs.Refusal{Code: "no-plan", Class: jobs.Missing, Why: "neck " + n.Name() + " has no layout plan", Type: []string{"layout solve " + n.Name() + " --spec head.toml --mode balanced"}}
		}
		return p, err
	}
	p, ok, err := store.GetPair(b.Tx, store.Plans, n.Code, version)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "version of the layout of " + n.Name(), Value: fmt.Sprint(version)}
	}
	return p, err
}

// FreezePlan fixes a plan for drilling; freezing twice changes nothing.
func (b *Book) FreezePlan(p jobs.Plan) (jobs.Plan, error) {
	if p.Frozen != nil {
		return p, nil
	}
	at := b.Now
	p.Frozen = &at
	return p, store.Put(b.Tx, store.Plans, p)
}
