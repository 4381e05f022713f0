package stock

import (
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// PlanUses says what the steps that are not done yet will take of each supply,
// by supply, in the order of necks and steps. When a step comes is only roughly
// known: the steps of a neck with a due date are spread evenly up to it; else
// one planned evening a step, shared by the open necks. On orders deliveries,
// it promises nothing.
func PlanUses(states []jobs.NeckState, operations map[string]jobs.Operation, shop jobs.Shop, today jobs.Day) map[string][]PlannedUse {
	out := map[string][]PlannedUse{}
	EachStep(states, shop, today, func(n jobs.Neck, v jobs.StepView, on jobs.Day) {
		for _, r := range operations[v.Operation].Recipe {
			out[r.Supply] = append(out[r.Supply], PlannedUse{Neck: n.Code, Step: v.No, Operation: v.Operation, Quantity: r.Quantity(money.QtyFromFloat(v.Quantity)), On: on})
		}
	})
	return out
}

// EachStep gives each step of the open necks that is not done, with the day on
// which PlanUses expects it.
func EachStep(states []jobs.NeckState, shop jobs.Shop, today jobs.Day, fn func(n jobs.Neck, v jobs.StepView, on jobs.Day)) {
	open := 0
	for _, st := range states {
		if !st.Neck.IsClosed() {
			open++
		}
	}
	for _, st := range states {
		if st.Neck.IsClosed() {
			continue
		}
		var rest []jobs.StepView
		for _, v := range st.Steps {
			if v.State != jobs.Done && v.State != jobs.Skipped && v.State != jobs.Curing {
				rest = append(rest, v)
			}
		}
		start := max(today, st.Neck.Starts)
		for i, v := range rest {
			fn(st.Neck, v, stepDay(start, st.Neck.Due, i, len(rest), open, shop))
		}
	}
}

// stepDay is the day of the i-th of n remaining steps.
func stepDay(start, due jobs.Day, i, n, open int, shop jobs.Shop) jobs.Day {
	if due > start {
		return start.Add(start.DaysTo(due) * i / n)
	}
	if due != "" {
		return start // overdue: all of it is wanted now
	}
	perWeek := max(len(shop.Evenings), 1)
	return start.Add(i * max(open, 1) * 7 / perWeek)
}
