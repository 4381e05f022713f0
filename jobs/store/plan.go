package store

import (
	"fmt"

	"bookmatch/jobs"
)

// KeepPlan stores a solved plan as the next version of its neck's layout and
// carries its holes to the neck's steps. A plan with the code of the newest
// version is that version: nothing is written but a staleness it lifts. The
// plan comes back with its version.
func (tx *Tx) KeepPlan(st jobs.NeckState, p jobs.Plan, operations map[string]jobs.Operation) (jobs.Plan, error) {
	last, ok, err := tx.CurrentPlan(st.Neck.Code)
	if err != nil {
		return p, err
	}
	if ok && last.Code == p.Code {
		if last.Stale == "" && last.Spec == p.Spec && last.File == p.File && last.SpecSum == p.SpecSum {
			return last, nil
		}
		last.Stale, last.Spec, last.File, last.SpecSum = "", p.Spec, p.File, p.SpecSum
		return last, Put(tx, Plans, last)
	}
	p.Neck, p.Version, p.Made = st.Neck.Code, last.Version+1, tx.Now
	if err := Put(tx, Plans, p); err != nil {
		return p, err
	}
	return p, Put(tx, Necks, jobs.ApplyPlan(st, p, operations))
}

// PlanOf gives one version of a neck's plan, the newest for 0. Errors are of
// class jobs.ErrNotFound.
func (tx *Tx) PlanOf(n jobs.Neck, version int) (jobs.Plan, error) {
	if version == 0 {
		p, ok, err := tx.CurrentPlan(n.Code)
		if err == nil && !ok {
			err = &jobs.NotFoundError{Noun: "layout plan of neck", Value: n.Name()}
		}
		return p, err
	}
	p, ok, err := GetPair(tx, Plans, n.Code, version)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "version of the layout of " + n.Name(), Value: fmt.Sprint(version)}
	}
	return p, err
}

// FreezePlan fixes a plan for drilling; freezing twice changes nothing.
func (tx *Tx) FreezePlan(p jobs.Plan) (jobs.Plan, error) {
	if p.Frozen != nil {
		return p, nil
	}
	at := tx.Now
	p.Frozen = &at
	return p, Put(tx, Plans, p)
}
