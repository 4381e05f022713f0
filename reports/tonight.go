package reports

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// Tonight is the plan of an evening as a sheet for the wall: what, on which
// neck, from when and done by when, why now, and what it needs on the bench.
func Tonight(p schedule.TonightPlan, shop jobs.Shop, now time.Time) Report {
	zone := shop.Location()
	day := shop.Evening(p.From)
	r := ShopReport(shop, now, "tonight-"+string(day), "Tonight, "+dayText(day))
	r.Subject = fmt.Sprintf("from %s until %s: %s", p.From.In(zone).Format("15:04"), p.Until.In(zone).Format("15:04"), SpanText(p.Until.Sub(p.From)))
	plan := tonightLines("plan", "The plan", p, p.Plan)
	plan.Notes = append(plan.Notes, p.Notes...)
	if n := len(p.Plan); n > 0 {
		plan.Note("the plan ends by %s, %s before the evening does", p.Plan[n-1].EndsBy.In(zone).Format("15:04"), SpanText(max(p.Until.Sub(p.Plan[n-1].EndsBy), 0)))
	}
	plan.Note("each step fits with 80 %%; likely and safe minutes are of one step and are not added up")
	r.Add(plan)
	if len(p.Other) > 0 {
		r.Add(tonightLines("other plan", "Or instead", p, p.Other))
	}
	wait := Table{Name: "waiting", Title: "Waiting", Empty: "no neck waits", Columns: []Column{
		{Key: "neck", Header: "neck"}, {Key: "name", Header: "name"}, {Key: "operation", Header: "step"}, {Key: "reason", Header: "why not", Max: 34}, {Key: "lifts_at", Header: "lifts", Kind: KindInstant}}}
	for _, b := range p.Blocked {
		lifts := Empty()
		if b.LiftsAt != nil {
			lifts = Instant(*b.LiftsAt)
		}
		wait.Add(Text(b.Neck), Text(b.Name), Text(b.Operation), Text(b.Reason), lifts)
	}
	wait.Note("cures are over by the defaults of the file; the label of the product goes before them")
	r.Add(wait)
	r.Count("the order", "The glue-up that closes the evening is reserved first, for the neck on which most of the calendar hangs; then what must come before it, necks that share its set-ups, other ready steps, decisions.")
	r.Count("safe", "P80 of the step: in eight evenings of ten it takes no longer.")
	return r
}

func tonightLines(name, title string, p schedule.TonightPlan, lines []schedule.TonightLine) Table {
	t := Table{Name: name, Title: title, Wide: true, Empty: "nothing fits", Columns: []Column{
		{Key: "starts", Header: "from", Kind: KindClock}, {Key: "ends_by", Header: "by", Kind: KindClock}, {Key: "operation", Header: "step"}, {Key: "necks", Header: "neck"},
		{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, {Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, {Key: "why", Header: "why now", Width: 34}, {Key: "needs", Header: "needs", SheetOnly: true, Width: 30},
		{Key: "cure_until", Header: "cures until", Kind: KindInstant, SheetOnly: true},
		{Key: "after_min", Header: "after", Unit: "min", Kind: KindMinutes, SheetOnly: true}, {Key: "more_min", Header: "likely to safe", Unit: "min", Kind: KindMinutes, SheetOnly: true}}}
	for _, l := range lines {
		cure := Empty()
		if l.CureUntil != nil {
			cure = Instant(*l.CureUntil)
		}
		t.Add(Clock(l.Starts), Clock(l.EndsBy), Text(l.Operation), Text(strings.Join(l.Names, "+")), MinutesOf(l.LikelyMin), MinutesOf(l.SafeMin), Text(l.Why), Text(strings.Join(l.Needs, "; ")),
			cure, Minutes(l.Starts.Sub(p.From)), MinutesOf(max(l.SafeMin-l.LikelyMin, 0)).Live("MAX({safe_min}-{likely_min},0)"))
	}
	t.Charts = []Chart{{Kind: ChartStackedBars, Title: title + ": likely dark, more to the safe time light", X: "operation", XTitle: "step", YTitle: "minutes from " + p.From.Format("15:04"),
		Series: []Series{{Y: "after_min", Unseen: true}, {Y: "likely_min", Name: "likely", Paint: Walnut}, {Y: "more_min", Name: "more to safe", Paint: Sand}}}}
	return t
}
