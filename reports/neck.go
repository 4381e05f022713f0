package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/plain"
)

// How much of a neck the first screen has room for: 24 lines on a terminal of 60
// columns. fixedLines are those of the strip, the heads, the rules and the gaps.
const (
	screenLines = 24
	narrow      = 60
	fixedLines  = 10
	stateRoom   = 11 // columns for a state next to the longest operation
	mostSteps   = 5
	nextNotes   = 2
)

// linesOf counts the lines of sentences on a narrow terminal.
func linesOf(sentences []string) (n int) {
	for _, s := range sentences {
		n += len(plain.Wrap(s, narrow))
	}
	return n
}

// fitSteps gives the steps that the first screen has room for, one at least.
func fitSteps(left []workshop.NeckStep, room int, now time.Time) []workshop.NeckStep {
	for i, s := range left {
		if room--; len(stateText(s, now)) > stateRoom {
			room--
		}
		if i > 0 && room < 0 || i == mostSteps {
			return left[:i]
		}
	}
	return left
}

// NeckShow is everything about one neck. The first screen has what comes next and
// the cost by group, the report its route card and every line.
func NeckShow(r *workshop.NeckShowResult) Report {
	out := Of(r, "neck-"+strings.ToLower(r.Neck), strings.TrimSpace("Neck "+r.Neck+" "+r.Nickname))
	out.Subject = strings.Join(compact(r.Title, r.Wood, string(r.Status)), " · ")
	out.Headline = neckHeadline(r)
	if r.Layout != nil {
		out.Code, out.Void = r.Layout.Code, r.Layout.OutOfDate
	}
	strip := stripOf(r)
	legend := strip
	legend.Legend = true
	if !r.IsClosed() {
		out.Sections = append(out.Sections, Section{At: First | Steps | Cost, Drawing: strip, Close: true})
	}
	out.Sections = append(out.Sections, Section{At: Full, Drawing: legend, Close: true})
	if len(r.Notes) > 0 {
		out.Sections = append(out.Sections, noteSections(r)...)
	}
	groups, about := costSoFar(r), aboutNeck(r)
	if !r.IsClosed() {
		left := leftSteps(r)
		room := screenLines - fixedLines - linesOf(out.Headline) - len(groups.Rows) - linesOf(about[:min(len(about), firstNotes)]) - linesOf([]string{"Next: " + strings.Join(neckNext(r), "   ")})
		if len(r.Notes) > 0 {
			room -= 1 + strings.Count(noteSections(r)[0].Drawing.Text(narrow), "\n") + 1
		}
		shown := len(fitSteps(left, room, r.Made))
		if t := nextTable(r, left[:shown]); shown > 0 {
			out.Sections = append(out.Sections, Section{At: First, Table: &t})
		}
		if hidden := left[shown:]; len(hidden) > 0 {
			more := Pairs{{"", groupsText(hidden, r.Progress.Done) + " Last: " + left[len(left)-1].Operation + "."}}
			out.Sections = append(out.Sections, Section{At: First, Close: true, Drawing: more})
		}
	}
	if len(r.Cost.Lines) > 0 {
		out.Sections = append(out.Sections, Section{At: First, Table: &groups})
	}
	card := RouteCard(r)
	out.Sections = append(out.Sections, Section{At: Full | Steps, Table: &card})
	for _, t := range CostTables(r.Cost, r.Rates) {
		out.Sections = append(out.Sections, Section{At: Full | Cost, Table: &t})
	}
	if t, ok := costSteps(r); ok {
		out.Sections = append(out.Sections, Section{At: Full, Table: &t})
	}
	if len(r.Parts) > 0 {
		t := partTable(Table{Name: "parts", Title: "Parts you buy"}, r.Parts)
		out.Sections = append(out.Sections, Section{At: Full | Cost, Table: &t})
	}
	if r.Review != nil {
		for _, s := range QuoteReviewed(&workshop.QuoteReviewResult{Meta: r.Meta, Review: *r.Review}).Sections {
			s.At = Full | Why
			out.Sections = append(out.Sections, s)
		}
	}
	if len(r.Cautions) > 0 {
		out.Sections = append(out.Sections, Section{At: Full | Why, Title: "Cautions", Notes: marked(r.Cautions)})
	}
	out.Sections = append(out.Sections, Section{At: Why, Title: "Where the figures come from", Notes: neckReasons(r)})
	basis := basisTable(r)
	out.Sections = append(out.Sections, Section{At: Why, Table: &basis})
	out.Notes = about
	out.Next = neckNext(r)
	out.Inputs = CostInputs(r.Rates)
	for _, c := range neckCounted {
		out.Count(c.What, "%s", c.How)
	}
	return out
}

// neckHeadline is what a neck has come to.
func neckHeadline(r *workshop.NeckShowResult) []string {
	hours := fmt.Sprintf("%s logged on %s", minutesLong(r.Hours.TotalMin), jobs.CountText(r.Hours.Evenings, "evening"))
	switch r.Status {
	case jobs.Finished:
		line := fmt.Sprintf("%s is finished, %s.", r.Full(), hours)
		if r.Closed != nil {
			line = fmt.Sprintf("%s was finished on %s, %s.", r.Full(), r.Closed.Format("2 Jan 2006"), hours)
		}
		return append([]string{line}, saleLine(r)...)
	case jobs.Scrapped:
		line := fmt.Sprintf("%s was scrapped: %s.", r.Full(), strings.TrimSuffix(r.Why, "."))
		second := hours + "."
		if s := r.Cost.Scrap; s != nil {
			second = fmt.Sprintf("%s. %s lost.", hours, amount(r.Currency, s.Loss))
		}
		return []string{line, second}
	}
	line := r.Full() + ": nothing is left to do. Finish it with: neck finish " + r.Name()
	if s := nextStep(r.Steps); s != nil {
		state := string(s.State)
		switch s.State {
		case jobs.On:
			state = "running"
		case jobs.Ready:
			state = "next"
		}
		line = fmt.Sprintf("%s: %s is %s.", r.Full(), s.Operation, state)
		if s.ActualMin > 0 {
			line = fmt.Sprintf("%s: %s is %s, %s so far.", r.Full(), s.Operation, state, minutesLong(s.ActualMin))
		}
	}
	if r.Status == jobs.Held {
		line = fmt.Sprintf("%s is on hold: %s.", r.Full(), strings.TrimSuffix(r.Why, "."))
	}
	second := strings.TrimSpace(leftLine(r) + " " + promiseLine(r))
	return compact(line, second)
}

func leftLine(r *workshop.NeckShowResult) string {
	if r.Hours.LeftH == 0 {
		return ""
	}
	return fmt.Sprintf("About %.1f h left.", r.Hours.LeftH)
}

// promiseLine says when the neck is promised and whether that holds.
func promiseLine(r *workshop.NeckShowResult) string {
	p := r.Promise
	switch {
	case r.Due == "" && p == nil:
		return ""
	case r.Due == "":
		return fmt.Sprintf("Safe date %s.", longDay(p.Safe))
	case p == nil || p.SpareDays == nil:
		return fmt.Sprintf("Promised %s.", longDay(r.Due))
	case *p.SpareDays < 0:
		return fmt.Sprintf("Promised %s, at risk by %s.", longDay(r.Due), jobs.CountText(-*p.SpareDays, "day"))
	}
	return fmt.Sprintf("Promised %s, %s to spare.", longDay(r.Due), jobs.CountText(*p.SpareDays, "day"))
}

func saleLine(r *workshop.NeckShowResult) []string {
	s := r.Sale
	when := ""
	if s.On != "" {
		when = " on " + longDay(s.On)
	}
	switch s.How {
	case jobs.Gift:
		return []string{"Given away" + when + "."}
	case jobs.Kept:
		return []string{"Kept" + when + "."}
	case jobs.Sold:
		line := "Sold" + when
		if s.On == "" {
			line = "Sold by quote " + r.Quote
		}
		if s.Price.Sign() > 0 {
			line += fmt.Sprintf(" for %s", amount(r.Currency, s.Price))
			if s.Due.Sign() > 0 {
				line += fmt.Sprintf(", %s still to come", amount(r.Currency, s.Due))
			}
		}
		line += "."
		if !s.PerHour.IsZero() {
			line += fmt.Sprintf(" It earned %s for each hour.", amount(r.Currency, s.PerHour))
		}
		return []string{line}
	}
	return nil
}

// nextStep is what to work on: what runs, else the ready step with the longest
// path behind it. Nil when nothing is left.
func nextStep(steps []workshop.NeckStep) *workshop.NeckStep {
	best := -1
	for i, s := range steps {
		if s.IsLeft() && (best < 0 || s.Order < steps[best].Order) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return &steps[best]
}

func leftSteps(r *workshop.NeckShowResult) []workshop.NeckStep {
	var out []workshop.NeckStep
	for _, s := range r.Steps {
		if s.IsLeft() {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b workshop.NeckStep) int { return a.Order - b.Order })
	return out
}

// groupsText counts the steps that the screen has no room for, by what can be done
// with them: "2 more are ready, 14 wait, 9 are done."
func groupsText(hidden []workshop.NeckStep, done int) string {
	ready := 0
	for _, s := range hidden {
		if s.State != jobs.Waiting {
			ready++
		}
	}
	count := func(n int, one, many string) string {
		if n == 1 {
			return "1 " + one
		}
		return fmt.Sprintf("%d %s", n, many)
	}
	var out []string
	if ready > 0 {
		out = append(out, count(ready, "more is ready", "more are ready"))
	}
	if n := len(hidden) - ready; n > 0 {
		out = append(out, count(n, "waits", "wait"))
	}
	if done > 0 {
		out = append(out, count(done, "is done", "are done"))
	}
	return strings.Join(out, ", ") + "."
}

// nextTable is the steps that come next.
func nextTable(r *workshop.NeckShowResult, left []workshop.NeckStep) Table {
	type s = workshop.NeckStep
	return Build(Table{Name: "next"}, left, []Col[s]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(x s) Cell { return Count(x.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(x s) Cell { return Text(x.Operation) }},
		{Column{Key: "quantity_text", Header: "quantity"}, func(x s) Cell { return Text(x.QuantityText) }},
		{Column{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, func(x s) Cell { return MinutesOf(x.LikelyMin) }},
		{Column{Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, func(x s) Cell { return MinutesOf(x.SafeMin) }},
		{Column{Key: "state", Header: "state", Max: 26}, func(x s) Cell { return Text(stateText(x, r.Made)) }},
	})
}

// stateText says how far a step has come and what it waits for.
func stateText(s workshop.NeckStep, now time.Time) string {
	text := string(s.State)
	switch {
	case s.State == jobs.On:
		return "running, what is left"
	case s.State == jobs.Started:
		return "what is left"
	case s.ReadyAt != nil && (s.State == jobs.Waiting || s.State == jobs.Curing):
		return text + " until " + when0(*s.ReadyAt, now)
	case s.Gate != "":
		return "waits for " + s.Gate.Wants()
	case s.State == jobs.Waiting && len(s.WaitsFor) > 0:
		return "waits for " + s.WaitsFor[0]
	case s.Scuff:
		text += ", scuff it first"
	case s.State != jobs.Done && s.CureH > 0 && s.Errand:
		text += ", then a lead time of " + jobs.CountText(int(s.CureH/24), "day")
	case s.State != jobs.Done && s.CureH > 0:
		text += ", then cures " + figure(s.CureH) + " h"
	}
	return text
}

func neckNext(r *workshop.NeckShowResult) []string {
	var out []string
	if s := nextStep(r.Steps); s != nil && r.Status == jobs.Open {
		if s.State == jobs.On {
			out = append(out, "done")
		} else {
			out = append(out, "on "+s.Operation+" "+r.Name())
		}
	} else if r.Status == jobs.Held || r.Status == jobs.Scrapped {
		out = append(out, "neck resume "+r.Name())
	} else if r.Status == jobs.Open {
		out = append(out, "neck finish "+r.Name())
	} else if r.Sale.How == "" {
		out = append(out, "neck finish "+r.Name()+" --keep")
	}
	return append(out, "neck show "+r.Name()+" --steps")
}

// costSoFar is the cost by group, with what is behind each in a few words.
func costSoFar(r *workshop.NeckShowResult) Table {
	how := map[quote.CostGroup]string{}
	for _, l := range r.Cost.Lines {
		switch l.Group {
		case quote.GroupParts:
			how[l.Group] = strings.Join(compact(how[l.Group], l.What), ", ")
		case quote.GroupSupplies, quote.GroupBits:
			for _, m := range l.Marks {
				if !strings.Contains(how[l.Group], m) {
					how[l.Group] = strings.Join(compact(how[l.Group], m), ", ")
				}
			}
		}
	}
	how[quote.GroupLabour] = fmt.Sprintf("%.1f h on %s", (r.Hours.FirstMin+r.Hours.DecideMin)/60, jobs.CountText(r.Hours.Evenings, "evening"))
	how[quote.GroupRework] = fmt.Sprintf("%.1f h", r.Hours.ReworkMin/60)
	t := Table{Name: "cost so far", Columns: []Column{{Key: "group", Header: "cost"}, {Key: "amount", Header: r.Currency, Kind: KindMoney}, {Key: "how", Header: "from", Max: 40}}}
	for _, g := range quote.CostGroups() {
		a, name := r.Cost.Group(g), string(g)
		switch g {
		case quote.GroupSupplies:
			if !r.Cost.Bits.IsZero() {
				a, name = r.Cost.SuppliesAndBits(), "supplies, bits"
				how[g] = strings.Join(compact(how[g], how[quote.GroupBits]), ", ")
			}
		case quote.GroupBits:
			continue
		}
		if !a.IsZero() {
			t.AddKey(string(g), Text(name), Money(a), Text(how[g]))
		}
	}
	t.Rows = append(t.Rows, Row{Key: "total", Style: Total, Cells: []Cell{Text("total"), Money(r.Cost.Total), Empty()}})
	return t
}
