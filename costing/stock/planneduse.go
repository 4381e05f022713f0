package stock

import (
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// PlanUses says what the steps that are not done yet will take of each supply,
// by supply, in the order of necks and steps. When a step comes is only roughly
// known: the steps of a neck are spread evenly up to its likely date, or to its due
// date where that is earlier; a neck without either takes one planned evening a step,
// shared by the open necks. It orders deliveries and promises nothing.
func PlanUses(states []jobs.NeckState, likely map[string]jobs.Day, operations map[string]jobs.Operation, shop jobs.Shop, today jobs.Day) map[string][]PlannedUse {
	out := map[string][]PlannedUse{}
	EachStep(states, likely, shop, today, func(n jobs.Neck, v jobs.StepView, on jobs.Day) {
		for _, r := range operations[v.Operation].Recipe {
			out[r.Supply] = append(out[r.Supply], PlannedUse{Neck: n.Code, Step: v.No, Operation: v.Operation, Quantity: r.Quantity(money.QtyFromFloat(v.Quantity)), On: on})
		}
	})
	return out
}

// EachStep gives each step of the open necks that is not done, with the day on
// which PlanUses expects it.
func EachStep(states []jobs.NeckState, likely map[string]jobs.Day, shop jobs.Shop, today jobs.Day, fn func(n jobs.Neck, v jobs.StepView, on jobs.Day)) {
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
		start, end := max(today, st.Neck.Starts), st.Neck.Due
		if l := likely[st.Neck.Code]; l != "" && (end == "" || l < end) {
			end = l
		}
		for i, v := range rest {
			fn(st.Neck, v, stepDay(start, end, i, len(rest), open, shop))
		}
	}
}

// stepDay is the day of the i-th of n remaining steps, the last of which is done by
// a day that may be empty.
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
