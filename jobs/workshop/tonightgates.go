package workshop

import (
	"slices"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// gates shuts the steps that a record stops: parts, plan and bit. It asks only
// for steps that tonight could reach, and notes what a line should say of bits
// and supplies.
func (p *planner) gates(x *plannedNeck, st jobs.NeckState, stock map[string]string) error {
	for i, v := range x.views {
		s := &x.state.Steps[i]
		if s.Done || !p.reachable(x.state.Steps, i, 0) {
			continue
		}
		o := p.Operations[jobs.PresentName(v.Operation, p.Operations)]
		if o.Hardware {
			shut, err := p.partsGate(st.Neck.Code)
			if err != nil {
				return err
			}
			s.Shut = shut
		}
		if _, why, _, err := p.recordGate(o, st); err != nil {
			return err
		} else if why != "" {
			s.Shut = &schedule.Shut{Reason: why, LiftsMin: -1}
		}
		if o.Drills != "" || o.PlanNeed {
			gate, err := p.DrillGate(o, []jobs.NeckState{st}, "", "")
			r, refused := jobs.RefusalOf("", err)
			switch {
			case refused && r.Code == "plan" && x.waitsFor(freezePlan):
			case refused:
				s.Shut = &schedule.Shut{Reason: r.Why, LiftsMin: -1}
			case err != nil:
				return err
			}
			if gate.Verdict == bitlife.VerdictTest {
				x.needs[i] = append(x.needs[i], "a test hole first")
			}
			if gate.Text != "" {
				x.needs[i] = append(x.needs[i], gate.Text)
			}
		}
		for _, l := range o.Recipe {
			need, err := p.stockWord(l.Supply, stock)
			if err != nil {
				return err
			}
			if need != "" {
				x.needs[i] = append(x.needs[i], need)
			}
		}
	}
	return nil
}

// waitsFor says that a step of an operation is still to do.
func (x *plannedNeck) waitsFor(operation string) bool {
	return slices.ContainsFunc(x.state.Steps, func(s schedule.Step) bool { return s.Operation == operation && !s.Done })
}

// reachable says whether a step could begin before the evening ends, by its
// needs and their cures alone.
func (p *planner) reachable(steps []schedule.Step, i, depth int) bool {
	if depth > len(steps) {
		return false
	}
	for _, n := range steps[i].Needs {
		e := steps[n.Step]
		switch {
		case e.Done && e.DoneMin+n.WaitMin >= float64(p.evening.Minutes):
			return false
		case !e.Done && n.WaitMin >= float64(p.evening.Minutes):
			return false
		case !e.Done && !p.reachable(steps, n.Step, depth+1):
			return false
		}
	}
	return true
}

// partsGate gives the first bought part of a neck that is not there.
func (p *planner) partsGate(code string) (*schedule.Shut, error) {
	parts, err := store.By(p.Tx, store.Parts, store.PartsByNeck, code)
	if err != nil {
		return nil, err
	}
	today := jobs.DayOf(p.Wall(p.Now))
	for _, x := range parts {
		if !x.Missing(today) {
			continue
		}
		g := &schedule.Shut{Reason: "parts: " + x.Name + " " + x.Where(today), LiftsMin: -1}
		if x.Arrives != "" {
			g.LiftsMin = max(x.Arrives.Noon().Sub(p.from).Minutes(), 0)
			if g.LiftsMin == 0 {
				g.LiftsMin = -1 // it is late
			}
		}
		return g, nil
	}
	return nil, nil
}

// stockWord says that a supply of a recipe is used up by the records. Use
// beyond them is allowed, so it does not stop a step.
func (p *planner) stockWord(name string, known map[string]string) (string, error) {
	if w, ok := known[name]; ok {
		return w, nil
	}
	known[name] = ""
	s, ok, err := store.Get(p.Tx, store.Supplies, name)
	if err != nil || !ok {
		return "", err
	}
	ledger, err := p.SupplyLedger(s)
	if err != nil {
		return "", err
	}
	if ledger.OnHand.Sign() <= 0 {
		known[name] = "the records show no " + name + " left"
	}
	return known[name], nil
}
