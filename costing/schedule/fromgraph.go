package schedule

import "bookmatch/jobs"

// Minutes are the minutes of a step: setup and run, as planned with and on
// average.
type Minutes struct {
	SafeSetup, SafeRun, MeanSetup, MeanRun float64
}

// FromGraph gives the steps of a neck, unfolded for its quantities, as the
// search wants them: nothing done. minutes is asked for each operation and
// quantity. A step without a quantity, or whose operation is not there, is left
// out, and what names it inherits its needs.
func FromGraph(g jobs.Graph, operations map[string]jobs.GraphOperation, quantities map[string]float64, minutes func(o jobs.GraphOperation, quantity float64) Minutes) []Step {
	quantity := func(s jobs.GraphStep) float64 {
		q, known := quantities[operations[s.Operation].Per]
		if s.Repeat != "" || !known {
			return 1
		}
		return q
	}
	plain := g.Without(func(s jobs.GraphStep) bool {
		_, ok := operations[s.Operation]
		return !ok || quantity(s) <= 0
	}).Unfold(quantities)
	at := map[string]int{}
	for i, s := range plain {
		at[s.Name] = i
	}
	out := make([]Step, len(plain))
	for i, s := range plain {
		o := operations[s.Operation]
		out[i] = StepOf(s.Name, o, minutes(o, quantity(s)), quantity(s))
		for _, n := range s.After {
			j := at[n.Step]
			e := operations[plain[j].Operation]
			out[i].Needs = append(out[i].Needs, Need{j, n.Wait(e.HandledH*60, e.CuredH*60)})
		}
	}
	return out
}

// StepOf gives one step as the search wants it: without needs, not done. left
// is the quantity that the minutes are for.
func StepOf(name string, o jobs.GraphOperation, m Minutes, left float64) Step {
	return Step{
		Name: name, Operation: o.Name, Place: placeOf(o.Place), Marks: marksOf(o.Marks), Clamps: o.Marks.Clamps,
		SafeSetupMin: ceil(m.SafeSetup), SafeRunMin: ceil(m.SafeRun), MeanSetupMin: m.MeanSetup, MeanRunMin: m.MeanRun,
		Left: left, HandledMin: o.HandledH * 60, CuredMin: o.CuredH * 60,
	}
}

func placeOf(p jobs.Place) Place {
	switch p {
	case jobs.PlaceForce:
		return Force
	case jobs.PlaceLight:
		return Light
	}
	return Off
}

func marksOf(m jobs.Marks) (out Marks) {
	for _, p := range []struct {
		on   bool
		mark Marks
	}{{m.Noisy, Noisy}, {m.Dusty, Dusty}, {m.Machine, Machine}, {m.NoStop, NoStop}, {m.Resumable, Resumable}, {m.Wet, Wet}, {m.Errand, IsErrand}, {m.Parts, NeedsParts}} {
		if p.on {
			out |= p.mark
		}
	}
	return out
}
