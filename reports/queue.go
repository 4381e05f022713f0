package reports

import (
	"math"
	"strings"
	"time"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/reports/plain"
)

// QueueRow is an open neck with what is left of it. Promise is nil where no
// date was worked out.
type QueueRow struct {
	State   jobs.NeckState
	LeftMin float64 // mean minutes of the steps that are left; means add
	Promise *schedule.Promise
}

// Queue is the sheet for the wall: every open neck, what comes next, when its
// cure ends, and whether its date still holds.
func Queue(shop jobs.Shop, rows []QueueRow, cal schedule.Calendar, now time.Time) Report {
	r := ShopReport(shop, now, "queue", "On the bench and in the queue")
	today := shop.Evening(now)
	t := Table{Name: "queue", Title: "On the bench and in the queue", Subtitle: dayText(today), Wide: true, Columns: []Column{
		{Key: "neck", Header: "neck"}, {Key: "nickname", Header: "name"}, {Key: "customer", Header: "for", Max: 5}, {Key: "status", Header: "status", SheetOnly: true},
		{Key: "next", Header: "next step"}, {Key: "ready_at", Header: "from", Kind: KindInstant, SheetOnly: true}, {Key: "waits", Header: "waits for", Max: 16},
		{Key: "left_h", Header: "left", Unit: "h", Kind: KindHours, Sum: true},
		{Key: "promised", Header: "promised", Kind: KindDate}, {Key: "likely", Header: "likely", Kind: KindDate, SheetOnly: true}, {Key: "safe", Header: "safe", Kind: KindDate}, {Key: "slack_days", Header: "slack", Unit: "d", Kind: KindCount},
		{Key: "likely_weeks", Header: "weeks to likely", Kind: KindNumber, SheetOnly: true}, {Key: "more_weeks", Header: "more to safe", Kind: KindNumber, SheetOnly: true},
	}, Empty: "no open neck"}
	dated := false
	for _, q := range rows {
		n := q.State.Neck
		next, waits, ready := Text("finish"), "", Empty()
		if v, ok := q.State.Next(); ok {
			next = Text(v.Operation)
			switch {
			case n.Status == jobs.Held:
				waits = "held: " + n.Why
			case v.ReadyAt != nil && v.ReadyAt.After(now) && v.State == jobs.Waiting:
				waits, ready = "cure, "+shop.WhenFrom(*v.ReadyAt, now), Instant(*v.ReadyAt)
			case v.State == jobs.On:
				waits = "on now"
			}
		}
		likely, safe, slack, weeks, more := Empty(), Empty(), Empty(), Empty(), Empty()
		if p := q.Promise; p != nil && p.Safe != "" {
			dated = true
			likely, safe = Day(string(p.Likely)), Day(string(p.Safe))
			w := float64(today.DaysTo(p.Likely)) / 7
			weeks, more = Number(round(w, 1)), Number(round(float64(p.Likely.DaysTo(p.Safe))/7, 1))
			if n.Due != "" {
				days := p.Safe.DaysTo(n.Due)
				slack = Count(days).Live("{promised}-{safe}")
				if days < 0 {
					slack = slack.In(Bad)
				}
			}
		}
		due := NotRecorded()
		if n.Due != "" {
			due = Day(string(n.Due))
		} else if n.Customer == "" {
			due = Empty()
		}
		who := "stock"
		if n.Customer != "" {
			who = Initials(n.Customer)
		}
		t.Add(Text(n.Code), Text(n.Nickname), Text(who), Text(string(n.Status)), next, ready, Text(waits), HoursOf(q.LeftMin/60), due, likely, safe, slack, weeks, more)
	}
	if dated {
		t.Charts = []Chart{{Kind: ChartStackedBars, Title: "Weeks from today", X: "neck", XTitle: "neck", YTitle: "weeks from today", Series: []Series{{Y: "likely_weeks", Name: "to the likely date", Paint: Brass}, {Y: "more_weeks", Name: "more to the safe date", Paint: Sand}}}}
	}
	t.Note("slack: days from the safe date to the promised one; below zero the promise is at risk")
	t.Note("left: mean hours of the steps not done, without un-logged time; means add, medians and P80s do not")
	r.Add(t)
	if len(rows) > 0 && len(cal.Slots) > 0 {
		r.Add(load(rows, cal))
	}
	r.Count("safe date", "Simulated evening by evening over the whole queue: with 80 %% the neck is finished by then.")
	r.Count("evenings needed", "Hours left x loose factor over the length of an evening as it really is.")
	return r
}

// load sets what is left against the evenings there are.
func load(rows []QueueRow, cal schedule.Calendar) Table {
	left := 0.0
	for _, q := range rows {
		left += q.LeftMin
	}
	planned, worked := cal.EveningsPerWeek()
	length := 0.0
	for _, s := range cal.Slots {
		length += float64(s.Minutes())
	}
	length = length / float64(len(cal.Slots)) * cal.Length
	evenings := left * cal.Unlogged / length
	t := Table{Name: "load", Title: "Evenings load", Columns: []Column{{Key: "what", Header: "what", Width: 34}, {Key: "value", Header: "value", Kind: KindNumber, Width: 12}, {Key: "unit", Header: "unit", Width: 12}}}
	add := func(key, what string, c Cell, unit string) { t.AddKey(key, Text(what), c, Text(unit)) }
	add("left", "left to do", HoursOf(left/60).Live("{queue/left_h@total}"), "h")
	add("loose", "evening over logged work", Number(round(cal.Unlogged, 2)), "x")
	add("length", "length of an evening", HoursOf(round(length/60, 2)), "h")
	add("evenings", "evenings needed", Number(round(evenings, 1)), "evenings")
	add("planned", "evenings planned a week", Number(planned), "a week")
	add("worked", "evenings really worked a week", Number(round(worked, 1)), "a week")
	if worked > 0 {
		add("weeks", "weeks of work", Number(round(evenings/worked, 1)), "weeks")
	}
	return t
}

// Initials shortens a customer's name for a sheet that hangs on the wall.
func Initials(name string) string {
	var out []rune
	for _, w := range strings.Fields(plain.Clean(name)) {
		out = append(out, []rune(w)[0])
	}
	return strings.ToUpper(string(out))
}

// round keeps n digits, for figures that are no better known.
func round(v float64, n int) float64 {
	f := math.Pow(10, float64(n))
	return math.Round(v*f) / f
}
