package jobs

import (
	"slices"
	"time"
)

// StepState is what a step has come to, derived from the entries.
type StepState string

// The states of a step, in the order a step lives through them.
const (
	Waiting StepState = "waiting" // something before it is not done
	Ready   StepState = "ready"
	On      StepState = "on"      // being worked now
	Started StepState = "started" // worked, not done
	Curing  StepState = "curing"
	Done    StepState = "done"
	Skipped StepState = "skipped"
)

// StepView is a step with all that follows from the log.
type StepView struct {
	Step
	State   StepState
	Actual  time.Duration // first passes
	Rework  time.Duration
	DoneAt  *time.Time
	FreeAt  *time.Time // clamps come off
	ReadyAt *time.Time // when it is cured (done), or when it may begin (waiting for a cure)
	Counted float64    // units logged as done
	Assumed bool
	Cold    bool
	Met     bool   // done by a record, not by an entry
	Scuff   bool   // the window after the copy before is over: the surface is scuffed first
	Before  *Step  // first step it needs that is not done
	Waits   []Wait // all that it waits for
	Needs   []string
	// BehindMin is the longest path after it: minutes of work and of cures.
	BehindMin float64
}

// Wait is what keeps a step from beginning: a step that is not done, or the cure
// of one. Until is when the cure lets it begin, nil for a step to be done.
type Wait struct {
	Step  Step
	Until *time.Time
	Touch bool // not a need: the cure is on the same neck
}

// Met is a record that does the errand of a step: ordered parts, a frozen plan.
// Ready is when its lead time is over.
type Met struct {
	Operation string
	At, Ready time.Time
}

// NeckState is a neck with its steps as the log has them.
type NeckState struct {
	Neck    Neck
	Steps   []StepView
	Outside time.Duration // work that belongs to no step of the route
	Last    *time.Time    // end of its last entry
	Total   time.Duration
	Late    int // entries written after closing
}

// Derive gives the state of a neck from its entries (others are skipped) and
// from records that do an errand, at an instant. It keeps no counter: the same
// entries give the same state whatever was undone or amended on the way.
func Derive(n Neck, entries []Entry, operations map[string]Operation, shop Shop, now time.Time, met ...Met) NeckState {
	st := NeckState{Neck: n}
	views := make([]StepView, len(n.Steps))
	for i, s := range n.Steps {
		views[i] = StepView{Step: s, State: Waiting}
		if s.Skip != "" {
			views[i].State = Skipped
		}
	}
	for _, e := range entries {
		i := e.ShareOf(n.Code)
		if i < 0 {
			continue
		}
		part := e.ShareOut(now)[i]
		st.Total += part
		if end := e.End(now); st.Last == nil || end.After(*st.Last) {
			st.Last = &end
		}
		if e.Late {
			st.Late++
		}
		share := e.Shares[i]
		k := slices.IndexFunc(views, func(v StepView) bool { return v.No == share.Step && share.Step > 0 })
		if k < 0 {
			st.Outside += part
			continue
		}
		views[k].add(e, share, part, operations[views[k].Operation], shop, now)
	}
	st.Steps = views
	st.order(operations, met, now)
	for i, v := range st.Steps {
		st.Steps[i].Scuff = v.DoneAt == nil && st.windowIsOver(v.Step, now)
	}
	return st
}

// windowIsOver says that the copy before a step was done longer ago than the window of
// the step allows.
func (st NeckState) windowIsOver(s Step, now time.Time) bool {
	if s.Window == nil {
		return false
	}
	last := time.Duration(s.Window.ToH * float64(time.Hour))
	return slices.ContainsFunc(s.After, func(n Need) bool {
		return slices.ContainsFunc(st.Steps, func(v StepView) bool {
			return v.Name == n.Step && v.Operation == s.Operation && v.DoneAt != nil && now.Sub(*v.DoneAt) > last
		})
	})
}

func (v *StepView) add(e Entry, share Share, part time.Duration, operation Operation, shop Shop, now time.Time) {
	if e.Class == Rework {
		v.Rework += part
	} else {
		v.Actual += part
		v.Counted += share.Count
	}
	v.Assumed = v.Assumed || e.Assumed
	if v.State == Skipped {
		v.State = Waiting // worked after all
	}
	switch {
	case e.Running():
		v.State = On
	case share.Done:
		if v.State != On {
			v.State = Done
		}
		end := e.End(now)
		unclamp, full, cold := operation.Cure(shop, e.TempC)
		free, ready := end.Add(unclamp), end.Add(full)
		if v.DoneAt == nil || end.After(*v.DoneAt) {
			v.DoneAt, v.FreeAt, v.ReadyAt, v.Cold = &end, &free, &ready, cold
		}
	case v.State == Waiting:
		v.State = Started
	}
}

// StepsLeft counts the steps that are neither done nor skipped.
func (st NeckState) StepsLeft() (n int) {
	for _, v := range st.Steps {
		switch v.State {
		case Done, Curing, Skipped:
		default:
			n++
		}
	}
	return n
}

// View gives the step with a number.
func (st NeckState) View(no int) (StepView, bool) {
	for _, v := range st.Steps {
		if v.No == no {
			return v, true
		}
	}
	return StepView{}, false
}

// StepFor chooses the step of an operation that a typed word means on this neck: the
// first that is not done, else the last done one (again is true: rework). ok
// is false when the route has no such step.
func (st NeckState) StepFor(operation string) (v StepView, again, ok bool) {
	for _, s := range st.Steps {
		if s.Operation != operation || s.State == Skipped {
			continue
		}
		if s.DoneAt == nil || s.State == On {
			return s, false, true
		}
		v, again, ok = s, true, true
	}
	return v, again, ok
}
