package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/plain"
)

// tonightWhy says what each line gains, what was weighed, and every neck that
// waits.
func tonightWhy(r *workshop.TonightResult) Report {
	out := Of(r, "tonight", "Tonight")
	out.Headline = []string{fmt.Sprintf("Why this plan: %s, %s to %s", r.From.Format("Mon 2 Jan"), clock(r.From), clock(r.Until))}
	text := tonightText{}
	add := func(format string, args ...any) { text.wide = append(text.wide, fmt.Sprintf(format, args...)) }
	for _, l := range r.Plan {
		word := l.Operation
		if l.Overnight {
			word = strings.ToUpper(word)
		}
		add("  %s  %s %s, %s, begin by %s", clock(l.From), word, strings.Join(l.Names, "+"), l.Amount, clock(l.BeginBy))
		add("         %s. Left with it: %s.", gainText(l), l.Left)
		if l.CuresAt != nil && l.HandledAt != nil {
			add("         Clamps or film until %s, cured %s.", when0(*l.HandledAt, r.Made), when0(*l.CuresAt, r.Made))
		}
		if len(l.Needs) > 0 {
			add("         %s.", strings.Join(l.Needs, ", "))
		}
	}
	add("Start times  Each job gets its safe minutes: 4 sessions in 5 take less.")
	if len(r.Plan) > 0 {
		unlogged := ""
		if r.Unlogged > 0 && r.Unlogged < 1 {
			unlogged = fmt.Sprintf(", %s with unlogged time (%.0f %%)", minutesOf(r.MeanMin/(1-r.Unlogged)), 100*r.Unlogged)
		}
		add("Total        %s on average%s.", minutesOf(r.MeanMin), unlogged)
	}
	add("Weighed      %s. %s", jobs.CountText(r.Sets, "plan"), gapText(r.Gap))
	add("Cures        Defaults. The product label decides.")
	if len(r.Waiting) == 0 {
		add("Waiting      Nothing. %s.", allOpen(r.OpenNeck))
	}
	for i, w := range r.Waiting {
		head := "Waiting      "
		if i > 0 {
			head = strings.Repeat(" ", len(head))
		}
		line := fmt.Sprintf("%s%s %s: %s", head, w.Name, w.Operation, w.Reason)
		if w.LiftsAt != nil && !strings.Contains(w.Reason, "until") {
			line += ", until " + when0(*w.LiftsAt, r.Made)
		}
		if w.AloneMin > 0 && w.Points > 0 {
			line += fmt.Sprintf(" (alone %d min, %s)", w.AloneMin, jobs.CountText(w.Points, "point"))
		}
		add("%s.", line)
	}
	for _, l := range text.wide {
		for i, part := range plain.Wrap(l, 55) {
			indent := len(l) - len(strings.TrimLeft(l, " "))
			if i > 0 {
				indent += 2
			}
			text.slim = append(text.slim, strings.Repeat(" ", min(indent, 4))+part)
		}
	}
	lines := text.wide
	text.wide = nil
	for _, l := range lines {
		for i, part := range plain.Wrap(l, 78) {
			if i > 0 {
				part = strings.Repeat(" ", 13) + part
			}
			text.wide = append(text.wide, part)
		}
	}
	plan, waiting := tonightPlan(r), tonightWaiting(r)
	out.Sections = []Section{{At: Why, Close: true, Drawing: text}, {At: Full, Table: &plan}, {At: Full, Table: &waiting}}
	return out
}

// gainText says what a line is worth.
func gainText(l workshop.TonightLine) string {
	points := jobs.CountText(l.Points, "point")
	if math.Abs(l.Gain) < 0.05 {
		return "Useful work, " + points
	}
	return fmt.Sprintf("Gains %.1f evenings, %s", l.Gain, points)
}

func gapText(gap float64) string {
	if gap == 0 {
		return "No other plan is worth more."
	}
	return fmt.Sprintf("The search stopped early: within %.0f %% of the best possible.", math.Ceil(100*gap))
}

func allOpen(n int) string {
	switch n {
	case 0:
		return "No neck is open"
	case 1:
		return "The one open neck has a step for tonight"
	}
	return fmt.Sprintf("All %d open necks have a step for tonight", n)
}
