package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Queue is the sheet for the wall: every open neck, what comes next, when its cure
// ends, and whether its date still holds.
func Queue(r *workshop.NeckQueueResult) Report {
	out := Of(r, "queue", "On the bench and in the queue")
	out.Headline = []string{queueLine(r)}
	type q = workshop.QueueRow
	t := Build(Table{Name: "queue", Title: out.Title, Subtitle: dayText(r.Date), Wide: true, Empty: "no open neck"}, r.Necks, []Col[q]{
		{Column{Key: "neck", Header: "neck"}, func(x q) Cell { return Text(x.Neck) }},
		{Column{Key: "nickname", Header: "name"}, func(x q) Cell { return Text(x.Nickname) }},
		{Column{Key: "customer", Header: "for", Max: 5}, func(x q) Cell { return Text(x.Customer) }},
		{Column{Key: "status", Header: "status", SheetOnly: true}, func(x q) Cell { return Text(statusWord(x.Status)) }},
		{Column{Key: "next", Header: "next step"}, func(x q) Cell {
			if x.Next == "" {
				return Text("finish")
			}
			return Text(x.Next)
		}},
		{Column{Key: "ready_at", Header: "from", Kind: KindInstant, SheetOnly: true}, func(x q) Cell {
			if x.ReadyAt == nil {
				return Empty()
			}
			return Instant(*x.ReadyAt)
		}},
		{Column{Key: "waits", Header: "waits for", Max: 16}, func(x q) Cell { return Text(x.Waits) }},
		{Column{Key: "left_h", Header: "left", Unit: "h", Kind: KindHours, Sum: true}, func(x q) Cell { return HoursOf(x.LeftH) }},
		{Column{Key: "promised", Header: "promised", Kind: KindDate}, func(x q) Cell {
			switch {
			case x.Due != "":
				return Day(string(x.Due))
			case x.Customer != "stock":
				return NotRecorded()
			}
			return Empty()
		}},
		{Column{Key: "likely", Header: "likely", Kind: KindDate, SheetOnly: true}, func(x q) Cell { return dayOrNone(x.Likely) }},
		{Column{Key: "safe", Header: "safe", Kind: KindDate}, func(x q) Cell { return dayOrNone(x.Safe) }},
		{Column{Key: "spare_days", Header: "spare", Unit: "days", Kind: KindCount}, func(x q) Cell {
			if x.SpareDays == nil {
				return Empty()
			}
			return Count(*x.SpareDays).Live("{promised}-{safe}").When(*x.SpareDays < 0, Bad)
		}},
		{Column{Key: "likely_weeks", Header: "weeks to likely", Kind: KindNumber, SheetOnly: true}, func(x q) Cell { return weeksCell(x.Safe, x.LikelyWeeks) }},
		{Column{Key: "more_weeks", Header: "more to safe", Kind: KindNumber, SheetOnly: true}, func(x q) Cell { return weeksCell(x.Safe, x.MoreWeeks) }},
	})
	for _, x := range r.Necks {
		if x.Safe != "" {
			t.Charts = []Chart{{Kind: ChartStackedBars, Title: "Weeks from today", X: "neck", XTitle: "neck", YTitle: "weeks from today", Series: []Series{{Y: "likely_weeks", Name: "to the likely date", Paint: Brass}, {Y: "more_weeks", Name: "more to the safe date", Paint: Sand}}}}
			break
		}
	}
	if len(r.Necks) == 0 {
		out.Next = []string{"neck add N1 --nickname wren"}
	} else {
		t.Note("Spare: days from the safe date to the promised one. Below zero the promise is at risk.")
		t.Note("Left: average hours of the steps left, without unlogged time. Averages add up.")
		out.Next = []string{"tonight"}
	}
	out.Add(t)
	if r.Load != nil {
		out.Add(loadTable(*r.Load))
	}
	out.Count("safe date", "Played through evening by evening over the whole queue: four times in five the neck is finished by then.")
	out.Count("evenings needed", "Hours left and the unlogged time, over the length of an evening as it really is.")
	return out
}

// queueLine is the answer of the queue: how many necks, how much work, which date
// is at risk.
func queueLine(r *workshop.NeckQueueResult) string {
	if len(r.Necks) == 0 {
		return "There is no open neck."
	}
	line := jobs.CountText(len(r.Necks), "neck") + " on the bench"
	if l := r.Load; l != nil {
		line += fmt.Sprintf(", %.1f h left: about %.0f evenings", l.LeftH, l.Evenings)
	}
	var late []string
	for _, x := range r.Necks {
		if x.SpareDays != nil && *x.SpareDays < 0 {
			name := x.Nickname
			if name == "" {
				name = x.Neck
			}
			late = append(late, name)
		}
	}
	if len(late) > 0 {
		return line + ". At risk: " + strings.Join(late, ", ") + "."
	}
	return line + "."
}

// loadTable sets what is left against the evenings there are.
func loadTable(l workshop.Load) Table {
	t := Table{Name: "load", Title: "Evenings needed", Columns: []Column{{Key: "what", Header: "what", Width: 34}, {Key: "value", Header: "value", Kind: KindNumber, Width: 12}, {Key: "unit", Header: "unit", Width: 12}}}
	add := func(key, what string, c Cell, unit string) { t.AddKey(key, Text(what), c, Text(unit)) }
	add("left", "left to do", HoursOf(l.LeftH).Live("{queue/left_h@total}"), "h")
	add("unlogged", "unlogged time", Number(l.UnloggedPercent), "%")
	add("length", "length of an evening", HoursOf(l.EveningH), "h")
	add("evenings", "evenings needed", Number(l.Evenings), "evenings")
	add("planned", "evenings planned", Number(l.PlannedPerWeek), "a week")
	add("worked", "evenings worked", Number(l.WorkedPerWeek), "a week")
	if l.Weeks > 0 {
		add("weeks", "weeks of work", Number(l.Weeks), "weeks")
	}
	return t
}

func dayOrNone(d jobs.Day) Cell {
	if d == "" {
		return Empty()
	}
	return Day(string(d))
}

func weeksCell(dated jobs.Day, weeks float64) Cell {
	if dated == "" {
		return Empty()
	}
	return Number(weeks)
}

// statusWord is the status of a neck as people say it.
func statusWord(s jobs.Status) string {
	if s == jobs.Held {
		return "on hold"
	}
	return string(s)
}
