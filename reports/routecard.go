package reports

import (
	"strings"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// RouteInput is a neck with its steps, what each is likely to take (by step
// number) and the operations they are of.
type RouteInput struct {
	Shop       jobs.Shop
	State      jobs.NeckState
	Operations map[string]jobs.Operation
	Estimates  map[int]estimate.Estimate
	Evenings   int // on which the neck was worked
	Cautions   []string
	Now        time.Time
}

// RouteCard is the sheet that goes with a neck through the shop: every step
// with its times, what is done, and room for a measured value and initials.
func RouteCard(in RouteInput) Table {
	n := in.State.Neck
	t := Table{Name: "route card", Title: strings.TrimSpace("Route card of " + n.Code + " " + n.Nickname), Subtitle: strings.Join(compact(n.Title, n.Wood, string(n.Status)), " · "), Wide: true, Columns: []Column{
		{Key: "step", Header: "no", Kind: KindCount}, {Key: "operation", Header: "step"}, {Key: "quantity", Header: "qty", Kind: KindQuantity}, {Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "setup_min", Header: "set up", Unit: "min", Kind: KindMinutes, SheetOnly: true, Digits: 1}, {Key: "run_min", Header: "run", Unit: "min", Kind: KindMinutes, SheetOnly: true, Digits: 1},
		{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, {Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes},
		{Key: "actual_min", Header: "took", Unit: "min", Kind: KindMinutes, Sum: true}, {Key: "rework_min", Header: "again", Unit: "min", Kind: KindMinutes, Sum: true, SheetOnly: true},
		{Key: "cure_h", Header: "wait after", Unit: "h", Kind: KindHours, SheetOnly: true}, {Key: "state", Header: "state"}, {Key: "done", Header: "done", Kind: KindDate}, {Key: "ready_at", Header: "next from", Kind: KindInstant, SheetOnly: true},
		{Key: "measured", Header: "measured", SheetOnly: true, Width: 11}, {Key: "initials", Header: "initials", SheetOnly: true, Width: 9}, {Key: "note", Header: "note", SheetOnly: true, Width: 14},
	}}
	zone := in.Shop.Location()
	for _, v := range in.State.Steps {
		k, e := in.Operations[v.Operation], in.Estimates[v.No]
		factor := 1.0
		if v.Difficulty > 0 {
			factor = v.Difficulty
		}
		took, again, done, ready, cure := Empty(), Empty(), Empty(), Empty(), Empty()
		if v.Actual > 0 {
			took = Minutes(v.Actual)
		}
		if v.Rework > 0 {
			again = Minutes(v.Rework)
		}
		if v.DoneAt != nil {
			done = Date(v.DoneAt.In(zone))
		}
		if v.ReadyAt != nil && v.ReadyAt.After(in.Now) {
			ready = Instant(*v.ReadyAt)
		}
		if k.CureMin > 0 {
			cure = HoursOf(k.CureMin / 60)
		}
		state := string(v.State)
		if v.Assumed {
			state += " *"
		}
		t.Add(Count(v.No), Text(v.Operation), quantityCell(v.Quantity), Text(k.Unit()), MinutesOf(k.SetupMin), MinutesOf(k.RunMin*v.Quantity),
			MinutesOf(e.LikelyMin*factor), MinutesOf(e.SafeMin*factor), took, again, cure, Text(state), done, ready, Empty(), Empty(), Text(v.Note))
	}
	t.Note("likely and safe are P50 and P80 of one step; they do not add up to those of the neck, so they have no total")
	for _, v := range in.State.Steps {
		if v.Assumed {
			t.Note("* an end in it was assumed, not clocked")
		}
	}
	if in.State.Outside > 0 {
		t.Note("%s more was logged beside the route", SpanText(in.State.Outside))
	}
	if in.State.Late > 0 {
		t.Note("changed after closing: %d entries", in.State.Late)
	}
	t.Note("waiting times are the defaults of the file; the label of the product goes before them")
	for _, c := range in.Cautions {
		t.Note("%s", c)
	}
	if in.State.Total > 0 {
		t.Charts = []Chart{{Kind: ChartColumns, Title: "Steps: likely against taken", X: "operation", XTitle: "step", YTitle: "minutes", Series: []Series{{Y: "likely_min", Name: "likely", Paint: Sand}, {Y: "actual_min", Name: "took", Paint: Walnut}}}}
	}
	return t
}

// StripOf is the progress strip of a neck: each step as long as it is likely
// to take.
func StripOf(in RouteInput) Strip {
	n := in.State.Neck
	s := Strip{Title: strings.TrimSpace(n.Code + " " + n.Nickname + "  " + n.Title)}
	states := map[jobs.StepState]StepState{jobs.Ready: StepReady, jobs.On: StepRunning, jobs.Started: StepRunning, jobs.Curing: StepCuring, jobs.Done: StepDone}
	for _, v := range in.State.Steps {
		if v.State == jobs.Skipped {
			continue
		}
		st := states[v.State]
		if v.State == jobs.Waiting && v.Before == nil {
			st = StepBlocked // nothing before it but a cure
		}
		s.Steps = append(s.Steps, StripStep{v.Operation, st, in.Estimates[v.No].LikelyMin})
	}
	return s
}

// NeckReport is everything about one neck: route card, what it has cost and
// how the cost comes together. Rates are inputs.
func NeckReport(in RouteInput, cost quote.NeckCost, rates quote.RateCard) Report {
	n := in.State.Neck
	r := ShopReport(in.Shop, in.Now, "neck-"+strings.ToLower(n.Code), strings.TrimSpace("Neck "+n.Code+" "+n.Nickname))
	r.Subject = strings.Join(compact(n.Title, n.Wood, string(n.Status)), " · ")
	r.Add(RouteCard(in))
	r.Add(CostTables(cost, rates)...)
	r.Inputs = CostInputs(rates)
	w := NewWaterfall("cost steps", "How the cost comes together", rates.Currency, "cost ("+string(rates.Currency)+")")
	words := map[quote.CostGroup]string{quote.GroupBits: "bit wear", quote.GroupParts: "bought-in parts"}
	any := false
	for _, g := range quote.CostGroups() {
		if a := cost.Group(g); !a.IsZero() {
			name := words[g]
			if name == "" {
				name = string(g)
			}
			w.Step(string(g), name, a, "{groups/amount@"+string(g)+"}")
			any = true
		}
	}
	if any {
		w.Total("total", "cost of the neck")
		r.Add(w.Table())
	}
	r.Count("likely, safe", "P50 and P80 of the step from the written standard and the first passes in the log; see operation show.")
	r.Count("took", "Logged time of first passes and decisions; rework stands apart.")
	r.Count("labour", "Logged hours x the rate of the operation, else of the shop.")
	r.Count("overhead", "The same hours x the overhead of the shop an hour.")
	r.Count("supplies", "By lot, first in first out, by the time of use.")
	r.Count("bit wear", "Price of a fresh edge x the part of its expected life that this neck wore off.")
	r.Count("rework", "Passes made again, with their overhead and supplies, by cause; never part of labour.")
	return r
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
