package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// recordGate says why a gate of an operation is shut for a neck and what to type to
// open it: the stack of its plan fails, no veneer is chosen, nothing is decided, what
// is left of a supply is past its date. Parts, plan and bit have gates of their own. A
// neck without a plan, or whose spec has no stack, is not asked for one.
func (b *Book) recordGate(o jobs.Operation, st jobs.NeckState) (g jobs.Gate, why string, typed []string, err error) {
	name := st.Neck.Name()
	for _, g = range o.Gates {
		switch g {
		case jobs.GateStack:
			why, err = b.stackFails(st.Neck)
			typed = []string{"stack show " + name, "layout solve " + name}
		case jobs.GateVeneer:
			done := slices.ContainsFunc(st.Steps, func(v jobs.StepView) bool { return v.Operation == g.Errand() && v.DoneAt != nil })
			if !done && st.Neck.Veneer == "" {
				why = "no veneer is chosen for " + name
			}
			typed = []string{"neck set " + name + " --veneer walnut", "on " + g.Errand() + " " + name}
		case jobs.GateDecision:
			if !slices.ContainsFunc(st.Neck.Notes, func(n jobs.NeckNote) bool { return strings.HasPrefix(strings.ToLower(n.Text), "decided") }) {
				why = "no note of " + name + " says what is decided"
			}
			typed = []string{"neck note " + name + ` "decided: bone nut"`}
		case jobs.GateLot:
			why, typed, err = b.lotsPast(o)
		}
		if why != "" || err != nil {
			return g, why, typed, err
		}
	}
	return "", "", nil, nil
}

// shutGate gives the gate that keeps a step from beginning, empty where none does. The
// bit's is asked when work starts.
func (b *Book) shutGate(o jobs.Operation, st jobs.NeckState) (jobs.Gate, error) {
	if o.Hardware {
		if _, missing, err := b.missingPart(st.Neck); missing || err != nil {
			return jobs.GateParts, err
		}
	}
	if err := b.planGate(&DrillGate{}, o, []jobs.NeckState{st}, ""); err != nil {
		if _, refused := jobs.RefusalOf("", err); !refused {
			return "", err
		}
		return jobs.GatePlan, nil
	}
	g, _, _, err := b.recordGate(o, st)
	return g, err
}

// stackFails says by how much the head of a neck's plan does not fit its tuners.
func (b *Book) stackFails(n jobs.Neck) (string, error) {
	rec, ok, err := b.CurrentPlan(n.Code)
	if err != nil || !ok {
		return "", err
	}
	plan, err := SolvedOf(rec)
	if err != nil {
		return "", err
	}
	for _, f := range plan.Findings {
		if f.Check == "stack" && f.Result == layout.Fail {
			return "the stack of " + n.Name() + ": " + f.Text, nil
		}
	}
	return "", nil
}

// lotsPast names a supply of which only what is past its date is left.
func (b *Book) lotsPast(o jobs.Operation) (string, []string, error) {
	for _, l := range o.Recipe {
		s, ok, err := store.Get(b.Tx, store.Supplies, l.Supply)
		if err != nil || !ok {
			return "", nil, err
		}
		ledger, err := b.SupplyLedger(s)
		if err != nil {
			return "", nil, err
		}
		if ledger.OnHand.Sign() <= 0 && ledger.Expired.Sign() > 0 {
			return "what is left of " + s.Name + " is past its date", []string{"supply receive " + s.Name + " 500 --price 11.80", "shopping"}, nil
		}
	}
	return "", nil, nil
}

// recordsOpen stops work while a record keeps its gate shut. Anyway gives a reason
// that passes over it; rework is not stopped.
func (b *Book) recordsOpen(o jobs.Operation, class jobs.Class, necks []jobs.NeckState, anyway string) error {
	if class == jobs.Rework {
		return nil
	}
	for _, st := range necks {
		_, why, typed, err := b.recordGate(o, st)
		if err != nil {
			return err
		}
		if why == "" {
			continue
		}
		if anyway != "" {
			b.Warnf("gate", "%s. Started anyway.", strings.ToUpper(why[:1])+why[1:])
			continue
		}
		r := jobs.Refuse("gate", why, append(typed, fmt.Sprintf("on %s %s --anyway \"a test piece\"", o.Name, jobs.NeckNames(necks)))...)
		r.Anyway = true
		return r
	}
	return nil
}
