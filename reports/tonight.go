package reports

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// The first screen has at most so many lines, and so many of them of the plan.
const (
	mostLines = 8
	mostJobs  = 5
)

// Tonight is the plan of an evening: at most eight lines on the first screen,
// the reasons behind --why, and a sheet for the wall.
func Tonight(r *workshop.TonightResult) Report {
	out := Of(r, "tonight-"+string(jobs.DayOf(r.From)), "Tonight, "+dayText(jobs.DayOf(r.From)))
	out.Subject = fmt.Sprintf("from %s until %s: %s", clock(r.From), clock(r.Until), SpanText(r.Until.Sub(r.From)))
	narrow := out
	out.Headline, narrow.Headline = []string{r.Headline}, []string{strings.Replace(r.Headline, "safe to finish by", "safe by", 1)}
	lines := tonightText{}
	if len(r.Plan) == 0 {
		out.Headline, narrow.Headline = append(out.Headline, tonightNotes(r)...), append(narrow.Headline, tonightNotes(r)...)
	}
	rows, more := tonightRows(r.Plan)
	word, name := 12, 8
	for _, l := range rows {
		word, name = max(word, len(l.word)), max(name, len([]rune(l.name)))
	}
	for _, l := range rows {
		wide, slim := l.text(word, name)
		lines.wide, lines.slim = append(lines.wide, wide), append(lines.slim, slim)
	}
	notes := tonightNotes(r)
	if more > 0 {
		notes[len(notes)-1] = jobs.CountText(more, "more job") + ", reasons, what is waiting: tonight --why"
	}
	if room := mostLines - 1 - len(lines.wide); len(notes) > room { // the first and the last are worth most
		notes = append(notes[:room-1:room-1], notes[len(notes)-1])
	}
	plan, waiting := tonightPlan(r), tonightWaiting(r)
	out.Sections = []Section{{At: First, Close: true, Drawing: lines, Notes: notes}, {At: Full, Table: &plan}, {At: Full, Table: &waiting}}
	if len(r.Plan) == 0 {
		out.Sections = out.Sections[1:]
	}
	narrow.Sections = out.Sections
	out.Count("the order", "The plan that brings the necks furthest forward in evenings, the necks whose dates press first. Cures that can start are started, glue-ups go last.")
	out.Count("safe", "In eight evenings of ten the step takes no longer.")
	why := tonightWhy(r)
	out.Narrow, out.Reasons = &narrow, &why
	return out
}

// tonightText is lines of a plan in columns: full from 76 columns on, and in
// fewer words below.
type tonightText struct{ wide, slim []string }

// wideFrom is the columns from which the full lines are shown.
const wideFrom = 76

// Text gives the lines.
func (t tonightText) Text(width int) string {
	if width >= wideFrom {
		return strings.Join(t.wide, "\n")
	}
	return strings.Join(t.slim, "\n")
}

// tonightRow is one line of the screen: a job, or all errands that follow each
// other.
type tonightRow struct {
	at         time.Time
	word, name string
	likely     float64
	safe       float64
	why        string
	overnight  bool
}

// sharedErrands is how many minutes of errands share a line.
const sharedErrands = 10

// tonightRows gives the lines of the screen, and how many jobs they leave out.
// Errands of ten minutes together share one. What cures overnight is never left
// out before other work.
func tonightRows(plan []workshop.TonightLine) (out []tonightRow, more int) {
	errand := false
	for _, l := range plan {
		name := strings.Join(l.Names, "+")
		if last := len(out) - 1; l.Errand && errand && out[last].safe+l.SafeMin <= sharedErrands {
			last := &out[last]
			last.why, last.word = "", last.word+" "+last.name+", "+l.Operation
			last.name, last.likely, last.safe = name, last.likely+l.LikelyMin, last.safe+l.SafeMin
			continue
		}
		word := l.Operation
		if l.Overnight {
			word = strings.ToUpper(word)
		}
		out = append(out, tonightRow{l.From, word, name, l.LikelyMin, l.SafeMin, l.Why, l.Overnight})
		errand = l.Errand
	}
	for i := len(out) - 1; i >= 0 && len(out) > mostJobs; i-- {
		if !out[i].overnight || i < len(out)-mostJobs {
			out = append(out[:i], out[i+1:]...)
			more++
		}
	}
	return out, more
}

// text gives the line for 80 columns and in fewer words for 60.
func (x tonightRow) text(word, name int) (wide, slim string) {
	likely, safe := math.Ceil(x.likely), math.Ceil(x.safe)
	times := fmt.Sprintf("%3.0f min (safe %.0f)", likely, safe)
	wide = strings.TrimRight(fmt.Sprintf("  %s  %-*s  %-*s  %-17s  %s", clock(x.at), word, x.word, name, x.name, times, x.why), " ")
	until := ""
	if when, cures := strings.CutPrefix(x.why, "leave until "); cures {
		until = "  to " + when
	}
	return wide, fmt.Sprintf(" %s %-*s %-*s %2.0f min, safe %.0f%s", clock(x.at), min(word, 14), cut(x.word, 14), min(name, 7), cut(x.name, 7), likely, safe, until)
}

// tonightNotes gives at most three sentences below the plan.
func tonightNotes(r *workshop.TonightResult) []string {
	var out []string
	cures, gains := false, true
	for _, l := range r.Plan {
		if l.Overnight {
			cures, gains = true, gains && l.Gain >= 0.75*float64(len(l.Necks))
		}
	}
	switch {
	case cures && gains:
		out = append(out, "CAPITALS cure overnight: skip one, lose an evening.")
	case cures:
		out = append(out, "CAPITALS cure overnight: skip one, lose up to an evening.")
	}
	var short []string
	for _, s := range r.TwentyMin {
		word := s.Operation
		for _, l := range r.Plan {
			if l.Overnight && l.Operation == word {
				word = strings.ToUpper(word)
				break
			}
		}
		short = append(short, word+" "+s.Name)
	}
	if len(short) > 0 {
		out = append(out, "Only 20 minutes? "+strings.Join(short, " or ")+".")
	}
	if len(r.Plan) == 0 && len(r.Waiting) > 0 {
		w := r.Waiting[0]
		out = append(out, fmt.Sprintf("%s waits: %s.", w.Name, w.Reason))
	}
	return append(out, "Reasons, label times, what is waiting: tonight --why")
}

// tonightPlan is the table of the plan.
func tonightPlan(r *workshop.TonightResult) Table {
	type l = workshop.TonightLine
	t := Build(Table{Name: "plan", Title: "The plan", Wide: true, Empty: "nothing fits"}, r.Plan, []Col[l]{
		{Column{Key: "from", Header: "from", Kind: KindClock}, func(x l) Cell { return Clock(x.From) }},
		{Column{Key: "by", Header: "by", Kind: KindClock}, func(x l) Cell { return Clock(x.By) }},
		{Column{Key: "operation", Header: "step"}, func(x l) Cell { return Text(x.Operation) }},
		{Column{Key: "necks", Header: "neck"}, func(x l) Cell { return Text(strings.Join(x.Names, "+")) }},
		{Column{Key: "amount", Header: "how much"}, func(x l) Cell { return Text(x.Amount) }},
		{Column{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, func(x l) Cell { return MinutesOf(x.LikelyMin) }},
		{Column{Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, func(x l) Cell { return MinutesOf(x.SafeMin) }},
		{Column{Key: "why", Header: "why now", Width: 34}, func(x l) Cell { return Text(x.Why) }},
		{Column{Key: "needs", Header: "needs", SheetOnly: true, Width: 30}, func(x l) Cell { return Text(strings.Join(x.Needs, ", ")) }},
		{Column{Key: "evenings_gained", Header: "evenings gained", Kind: KindNumber, Digits: 2}, func(x l) Cell { return Number(x.Gain) }},
		{Column{Key: "begin_by", Header: "begin by", Kind: KindClock, SheetOnly: true}, func(x l) Cell { return Clock(x.BeginBy) }},
		{Column{Key: "cures_until", Header: "cures until", Kind: KindInstant, SheetOnly: true}, func(x l) Cell { return instantOr(x.CuresAt) }},
		{Column{Key: "after_min", Header: "after", Unit: "min", Kind: KindMinutes, SheetOnly: true}, func(x l) Cell { return Minutes(x.From.Sub(r.From)) }},
		{Column{Key: "more_min", Header: "likely to safe", Unit: "min", Kind: KindMinutes, SheetOnly: true}, func(x l) Cell {
			return MinutesOf(max(x.SafeMin-x.LikelyMin, 0)).Live("MAX({safe_min}-{likely_min},0)")
		}},
	})
	t.Note("Each step fits in four evenings of five. Likely and safe minutes are of one step.")
	t.Charts = []Chart{{Kind: ChartStackedBars, Title: "The plan: likely dark, more to the safe time light", X: "operation", XTitle: "step", YTitle: "minutes from " + clock(r.From),
		Series: []Series{{Y: "after_min", Unseen: true}, {Y: "likely_min", Name: "likely", Paint: Walnut}, {Y: "more_min", Name: "more to safe", Paint: Sand}}}}
	return t
}

// tonightWaiting is the table of the necks that wait.
func tonightWaiting(r *workshop.TonightResult) Table {
	type w = workshop.TonightWaiting
	t := Build(Table{Name: "waiting", Title: "Waiting", Empty: "no neck waits"}, r.Waiting, []Col[w]{
		{Column{Key: "neck", Header: "neck"}, func(x w) Cell { return Text(x.Neck) }},
		{Column{Key: "name", Header: "name"}, func(x w) Cell { return Text(x.Name) }},
		{Column{Key: "operation", Header: "step"}, func(x w) Cell { return Text(x.Operation) }},
		{Column{Key: "reason", Header: "why not", Max: 34}, func(x w) Cell { return Text(x.Reason) }},
		{Column{Key: "lifts_at", Header: "lifts", Kind: KindInstant}, func(x w) Cell { return instantOr(x.LiftsAt) }},
	})
	t.Note("Cures end by the defaults of the file. The product label decides.")
	return t
}

func instantOr(t *time.Time) Cell {
	if t == nil {
		return Empty()
	}
	return Instant(*t)
}
