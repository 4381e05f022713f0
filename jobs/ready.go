package jobs

import (
	"cmp"
	"slices"
	"time"
)

// order decides which steps may begin: those whose needs are met, and that no
// cure on the same neck keeps away. While a step on the neck cures, nothing
// touches that neck until it may be handled, and nothing shakes or loads it
// until it is cured. Work off the neck waits for neither.
func (st *NeckState) order(operations map[string]Operation, met []Met, now time.Time) {
	g, places := st.Neck.OpenGraph()
	at := map[string]int{} // places in Steps
	for k, s := range g {
		at[s.Name] = places[k]
	}
	views := st.Steps
	st.meet(met)
	st.imply(g, at, operations)
	operation := func(i int) Operation { return operations[PresentName(views[i].Operation, operations)] }
	for k, s := range g {
		v := &views[places[k]]
		for _, n := range s.After {
			v.Needs = append(v.Needs, n.String())
			v.await(views[at[n.Step]], n, now)
		}
		if !v.done() {
			v.touched(views, operation, now)
		}
	}
	for k := range g {
		views[places[k]].settle(now)
	}
	order := g.Order()
	for k := len(order) - 1; k >= 0; k-- {
		v := views[places[order[k]]]
		for _, n := range g[order[k]].After {
			b := &views[at[n.Step]]
			o := operation(at[n.Step])
			wait := n.Wait(o.UnclampMin, max(o.CureMin, o.UnclampMin))
			b.BehindMin = max(b.BehindMin, v.BehindMin+operation(places[order[k]]).StandardMin(v.Quantity)+wait)
		}
	}
}

func (v *StepView) done() bool { return v.DoneAt != nil && (v.State == Done || v.State == On) }

// meet marks the steps done whose errand a record has done.
func (st *NeckState) meet(met []Met) {
	for _, m := range met {
		for i := range st.Steps {
			v := &st.Steps[i]
			if v.Operation == m.Operation && v.DoneAt == nil && (v.State == Waiting || v.State == Started) {
				v.end(m.At, m.Ready)
			}
		}
	}
}

// end marks a step done without an entry.
func (v *StepView) end(at, ready time.Time) {
	v.State, v.Met, v.DoneAt, v.FreeAt, v.ReadyAt = Done, true, &at, &at, &ready
}

// imply marks errands and decisions done that nothing needs any more, because
// all that need them are done.
func (st *NeckState) imply(g Graph, at map[string]int, operations map[string]Operation) {
	order := g.Order()
	for k := len(order) - 1; k >= 0; k-- {
		name := g[order[k]].Name
		v := &st.Steps[at[name]]
		if !operations[PresentName(v.Operation, operations)].Decide || v.DoneAt != nil || v.State == On {
			continue
		}
		var first *time.Time
		open := false
		for _, s := range g {
			for _, n := range s.After {
				if n.Step != name {
					continue
				}
				d := st.Steps[at[s.Name]]
				if !d.done() {
					open = true
				} else if first == nil || d.DoneAt.Before(*first) {
					first = d.DoneAt
				}
			}
		}
		if !open && first != nil {
			v.end(*first, *first)
		}
	}
}

// await adds what a need still asks for.
func (v *StepView) await(e StepView, n Need, now time.Time) {
	if v.done() {
		return
	}
	if !e.done() {
		v.Waits = append(v.Waits, Wait{Step: e.Step})
		return
	}
	wait := n.Wait(e.FreeAt.Sub(*e.DoneAt).Minutes(), e.ReadyAt.Sub(*e.DoneAt).Minutes())
	until := e.DoneAt.Add(time.Duration(wait * float64(time.Minute)))
	if until.After(now) {
		v.Waits = append(v.Waits, Wait{Step: e.Step, Until: &until})
	}
}

// touched adds the cures on the same neck that keep the step away.
func (v *StepView) touched(views []StepView, operation func(int) Operation, now time.Time) {
	self := -1
	for i := range views {
		if &views[i] == v {
			self = i
		}
	}
	place := operation(self).At()
	if place == PlaceOff {
		return
	}
	for i := range views {
		e := &views[i]
		if i == self || !e.done() || operation(i).At() == PlaceOff {
			continue
		}
		until := e.FreeAt
		if place == PlaceForce {
			until = e.ReadyAt
		}
		if until.After(now) {
			v.Waits = append(v.Waits, Wait{Step: e.Step, Until: until, Touch: true})
		}
	}
}

// settle gives the state that follows from what the step waits for.
func (v *StepView) settle(now time.Time) {
	if v.done() {
		if v.State == Done && v.ReadyAt.After(now) {
			v.State = Curing
		}
		return
	}
	for _, w := range v.Waits {
		switch {
		case w.Until == nil:
			if v.Before == nil {
				s := w.Step
				v.Before = &s
			}
		case v.ReadyAt == nil || w.Until.After(*v.ReadyAt):
			v.ReadyAt = w.Until
		}
	}
	if v.Before != nil {
		v.ReadyAt = nil // nobody knows
	}
	if v.State == Waiting && len(v.Waits) == 0 {
		v.State = Ready
	}
}

// Next gives the step to do next, if any is left: of those that may begin the
// one with the longest path behind it, else the one that may begin first.
func (st NeckState) Next() (StepView, bool) {
	left := st.Left()
	if len(left) == 0 {
		return StepView{}, false
	}
	return left[0], true
}

// Left gives the steps that are not done in the order in which they may be done:
// what runs, what may begin, what a cure keeps, what needs another step.
func (st NeckState) Left() []StepView {
	rank := func(v StepView) int {
		switch {
		case v.State == On:
			return 0
		case len(v.Waits) == 0:
			return 1
		case v.Before == nil:
			return 2
		}
		return 3
	}
	var left []StepView
	for _, v := range st.Steps {
		switch v.State {
		case Done, Curing, Skipped:
		default:
			left = append(left, v)
		}
	}
	slices.SortStableFunc(left, func(a, b StepView) int {
		if r := rank(a) - rank(b); r != 0 {
			return r
		}
		switch rank(a) {
		case 1:
			return cmp.Compare(b.BehindMin, a.BehindMin)
		case 2:
			return a.ReadyAt.Compare(*b.ReadyAt)
		}
		return 0
	})
	return left
}
