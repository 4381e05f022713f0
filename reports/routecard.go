package reports

import (
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// RouteCard is the sheet that goes with a neck through the shop: every step with
// its times, what is done, and room for a measured value and initials.
func RouteCard(r *workshop.NeckShowResult) Table {
	type s = workshop.NeckStep
	t := Build(Table{Name: "route card", Title: strings.TrimSpace("Route card of " + r.Neck + " " + r.Nickname), Subtitle: strings.Join(compact(r.Title, r.Wood, string(r.Status)), " · "), Wide: true}, r.Steps, []Col[s]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(x s) Cell { return Count(x.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(x s) Cell { return Text(x.Operation) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity}, func(x s) Cell { return quantityCell(x.Quantity) }},
		{Column{Key: "unit", Header: "unit", SheetOnly: true}, func(x s) Cell { return Text(x.Unit) }},
		{Column{Key: "setup_min", Header: "setup", Unit: "min", Kind: KindMinutes, SheetOnly: true, Digits: 1}, func(x s) Cell { return MinutesOf(x.SetupMin) }},
		{Column{Key: "run_min", Header: "run time", Unit: "min", Kind: KindMinutes, SheetOnly: true, Digits: 1}, func(x s) Cell { return MinutesOf(x.RunMin) }},
		{Column{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, func(x s) Cell { return MinutesOf(x.LikelyMin) }},
		{Column{Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, func(x s) Cell { return MinutesOf(x.SafeMin) }},
		{Column{Key: "actual_min", Header: "took", Unit: "min", Kind: KindMinutes, Sum: true}, func(x s) Cell { return minutesOrNone(x.ActualMin) }},
		{Column{Key: "rework_min", Header: "rework", Unit: "min", Kind: KindMinutes, Sum: true, SheetOnly: true}, func(x s) Cell { return minutesOrNone(x.ReworkMin) }},
		{Column{Key: "cure_h", Header: "cures", Unit: "h", Kind: KindHours, SheetOnly: true}, func(x s) Cell {
			if x.CureH == 0 {
				return Empty()
			}
			return HoursOf(x.CureH)
		}},
		{Column{Key: "state", Header: "state"}, func(x s) Cell {
			if x.Assumed {
				return Text(string(x.State) + " *")
			}
			return Text(string(x.State))
		}},
		{Column{Key: "done", Header: "done", Kind: KindDate}, func(x s) Cell {
			if x.DoneAt == nil {
				return Empty()
			}
			return Date(*x.DoneAt)
		}},
		{Column{Key: "ready_at", Header: "cured at", Kind: KindInstant, SheetOnly: true}, func(x s) Cell {
			if x.ReadyAt == nil {
				return Empty()
			}
			return Instant(*x.ReadyAt)
		}},
		{Column{Key: "measured", Header: "measured", SheetOnly: true, Hand: true, Width: 11}, func(s) Cell { return Empty() }},
		{Column{Key: "initials", Header: "initials", SheetOnly: true, Hand: true, Width: 9}, func(s) Cell { return Empty() }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 14}, func(x s) Cell { return Text(strings.Join(compact(x.Note, x.Skip), ", ")) }},
	})
	t.Note("Times are per step. Do not add them up. A started step has the time that is left.")
	for _, x := range r.Steps {
		if x.Assumed {
			t.Note("* An end in it was assumed, not clocked.")
		}
	}
	if r.Hours.OutsideMin > 0 {
		t.Note("%s more was logged on no step of the route.", minutesLong(r.Hours.OutsideMin))
	}
	t.Note("Curing times are defaults. The label of the product comes first.")
	if r.Hours.TotalMin > 0 {
		t.Charts = []Chart{{Kind: ChartColumns, Title: "Steps: likely against taken", X: "operation", XTitle: "step", YTitle: "minutes", Series: []Series{{Y: "likely_min", Name: "likely", Paint: Sand}, {Y: "actual_min", Name: "took", Paint: Walnut}}}}
	}
	return t
}

// StripOf is the progress of a neck in one line.
func StripOf(r *workshop.NeckShowResult) StripLine { return StripLine(stripOf(r)) }

// NumberedStripOf is the same with the numbers of its steps.
func NumberedStripOf(r *workshop.NeckShowResult) NumberedStrip {
	n := NumberedStrip{StripLine: StripOf(r)}
	for _, x := range r.Steps {
		if x.State != jobs.Skipped {
			n.Numbers = append(n.Numbers, x.Step)
		}
	}
	return n
}

// stripOf is the progress of a neck: each step as long as it is likely to take.
func stripOf(r *workshop.NeckShowResult) Strip {
	s := Strip{Title: strings.TrimSpace(r.Neck + " " + r.Nickname + "  " + r.Title)}
	states := map[jobs.StepState]StepState{jobs.Ready: StepReady, jobs.On: StepRunning, jobs.Started: StepRunning, jobs.Curing: StepCuring, jobs.Done: StepDone}
	for _, x := range r.Steps {
		if x.State == jobs.Skipped {
			continue
		}
		st, weight := states[x.State], x.LikelyMin
		if x.State == jobs.Waiting && x.ReadyAt != nil {
			st = StepBlocked // only a cure is before it
		}
		if st == StepRunning {
			weight += x.ActualMin
		}
		s.Steps = append(s.Steps, StripStep{x.Operation, st, weight})
	}
	s.Share = r.Progress.Share
	return s
}

func minutesOrNone(m float64) Cell {
	if m == 0 {
		return Empty()
	}
	return MinutesOf(m)
}

func quantityCell(q float64) Cell { return Quantity(money.QtyFromFloat(q)) }

// compact leaves out empty words.
func compact(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}
