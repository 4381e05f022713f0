package workshop

import (
	"slices"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckState derives the state of one neck.
func (b *Book) NeckState(n jobs.Neck) (jobs.NeckState, error) {
	entries, err := b.NeckEntries(n.Code)
	if err != nil {
		return jobs.NeckState{}, err
	}
	met, err := b.met(n)
	if err != nil {
		return jobs.NeckState{}, err
	}
	return jobs.Derive(n, b.settleView(entries), b.Operations, b.Shop, b.Now, met...), nil
}

// met gives the errands of a neck that a record has done: a frozen plan, and
// parts that are ordered or here.
func (b *Book) met(n jobs.Neck) (out []jobs.Met, err error) {
	if slices.ContainsFunc(n.Steps, func(s jobs.Step) bool { return s.Operation == freezePlan }) {
		plan, ok, err := b.CurrentPlan(n.Code)
		if err != nil {
			return nil, err
		}
		if ok && plan.Frozen != nil && b.OutOfDate(plan) == "" {
			out = append(out, jobs.Met{Operation: freezePlan, At: *plan.Frozen, Ready: *plan.Frozen})
		}
	}
	if !slices.ContainsFunc(n.Steps, func(s jobs.Step) bool { return s.Operation == orderParts }) {
		return out, nil
	}
	parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
	if err != nil {
		return nil, err
	}
	m := jobs.Met{Operation: orderParts}
	for _, p := range parts {
		switch p.State(b.today()) {
		case jobs.PartReturned:
			continue
		case jobs.PartToOrder:
			return out, nil // the errand is still to do
		}
		at, ready := b.arrival(p)
		if at.After(m.At) {
			m.At = at
		}
		if ready.After(m.Ready) {
			m.Ready = ready
		}
	}
	if !m.At.IsZero() {
		out = append(out, m)
	}
	return out, nil
}

// The errands that a record does.
const (
	freezePlan = "freeze-plan"
	orderParts = "order-parts"
)

// arrival gives when a part was ordered, and when it is or will be here. Without
// a day it takes the lead time of the errand.
func (b *Book) arrival(p jobs.Part) (at, ready time.Time) {
	noon := func(d jobs.Day) time.Time { return d.Noon().Add(-8 * time.Hour) }
	at = b.Now.Add(-time.Hour)
	if p.Ordered != "" && noon(p.Ordered).Before(at) {
		at = noon(p.Ordered)
	}
	switch {
	case p.Arrived != "":
		ready = noon(p.Arrived)
	case p.Arrives != "":
		ready = p.Arrives.Noon()
		if ready.Before(b.Now) {
			ready = b.Now.Add(24 * time.Hour) // it is late, nobody knows by how much
		}
	case p.Ordered != "":
		ready = at.Add(time.Duration(b.Operations[orderParts].CureMin) * time.Minute)
	}
	if ready.Before(at) {
		ready = at
	}
	return at, ready
}

// BenchStates derives every neck that is open or on hold.
func (b *Book) BenchStates() ([]jobs.NeckState, error) {
	necks, err := b.BenchNecks()
	if err != nil {
		return nil, err
	}
	var out []jobs.NeckState
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

// settleView gives entries with forgotten ends assumed, without writing: what
// a reader shows before the next bench word settles it.
func (b *Book) settleView(entries []jobs.Entry) []jobs.Entry {
	for i, e := range entries {
		if !jobs.Forgotten(e, b.Shop, b.Now) {
			continue
		}
		if done, _, err := b.assume(e); err == nil {
			entries = slices.Clone(entries)
			entries[i] = done
		}
	}
	return entries
}

// Settled gives entries with forgotten ends assumed, for readers outside this
// package.
func (b *Book) Settled(entries []jobs.Entry) []jobs.Entry {
	return b.settleView(entries)
}

// assume works out the assumed end of a forgotten entry.
func (b *Book) assume(e jobs.Entry) (jobs.Entry, string, error) {
	after, err := b.EntriesBetween(e.From.Add(time.Second), b.Now.Add(time.Second))
	if err != nil {
		return e, "", err
	}
	var next *time.Time
	for _, f := range after {
		if f.ID != e.ID && f.SpentSec == 0 && (next == nil || f.From.Before(*next)) {
			next = &f.From
		}
	}
	log, err := b.EntriesBetween(e.From.AddDate(0, 0, -120), e.From)
	if err != nil {
		return e, "", err
	}
	operation := b.Operations[e.Operation]
	q := 0.0
	var states []jobs.NeckState
	for _, s := range e.Shares {
		n, ok, err := store.Get(b.Tx, store.Necks, s.Neck)
		if err != nil {
			return e, "", err
		}
		st := jobs.NeckState{Neck: n}
		if step, has := n.Step(s.Step); ok && has {
			q += step.Quantity
			st.Steps = []jobs.StepView{{Step: step}}
		}
		states = append(states, st)
	}
	est, err := b.NewEstimator().Step(e.Operation, max(q, 1))
	if err != nil {
		return e, "", err
	}
	p95 := time.Duration(est.Quantile(0.95) * float64(time.Minute))
	if p95 <= 0 {
		p95 = time.Hour
	}
	end, why := jobs.AssumedEnd(e, next, jobs.UsualEnd(e.From, log, b.Shop), p95, b.Now)
	e = jobs.Stop(e, operation, states, end)
	e.To, e.Assumed = &end, true
	return e, why, nil
}
