package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs/workshop"
)

// QuoteReviewed is quoted against actual, and why.
func QuoteReviewed(r *workshop.QuoteReviewResult) Report {
	rv := r.Review
	out := Of(r, "review-"+rv.Quote, fmt.Sprintf("Quote %s against what it came to", rv.Quote))
	cur := out.Currency
	so := ""
	if !rv.Finished {
		so = " so far"
	}
	out.Headline = []string{
		fmt.Sprintf("Quote %s cost %s %s%s, %s.", rv.Quote, cur, cur.Print(rv.Actual), so, moreOrLess(rv.Difference, cur)),
		hoursAgainst(rv)}
	net := "Net price " + cur.Print(rv.Net)
	if rv.ChangeHours != 0 {
		net += " with its changes"
	}
	if rv.Finished {
		out.Headline = append(out.Headline, fmt.Sprintf("%s, of which %s is left (%s %%).", net, cur.Print(rv.Kept), rv.KeptPercent))
	} else {
		out.Headline = append(out.Headline, net+". What is left of it shows when the neck is finished.")
	}
	steps := reviewSteps(rv)
	out.Sections = []Section{{Table: ptr(reviewReasons(rv, cur))}, {At: Full | Why | Steps, Table: &steps}}
	if rv.OwnHours > 0 {
		out.Headline[2] += fmt.Sprintf(" Your own estimate: %.1f h.", rv.OwnHours)
	}
	out.Notes = append(out.Notes, rv.Notes...)
	out.Next = []string{"quote review " + rv.Quote + " --steps"}
	return out
}

func ptr[T any](x T) *T { return &x }

func moreOrLess(d money.Amount, cur money.Currency) string {
	switch {
	case d.Sign() > 0:
		return cur.Print(d) + " more than quoted"
	case d.Sign() < 0:
		return cur.Print(d.Neg()) + " less than quoted"
	}
	return "as quoted"
}

// hoursAgainst sets the logged hours against those of the quote, and of the quote
// with its changes.
func hoursAgainst(rv quote.Review) string {
	text := fmt.Sprintf("%.1f h logged. The quote: average %.1f h, safe %.1f h.", rv.ActualHours, rv.QuotedHours, rv.SafeHours)
	if rv.ChangeHours != 0 {
		text += fmt.Sprintf(" With its changes: average %.1f h, safe %.1f h.", rv.WithChanges, rv.SafeWithChanges)
	}
	switch {
	case !rv.UnderSafe:
		return text + " Over the safe hours."
	case rv.Finished:
		return text + " Under the safe hours."
	}
	return text
}

// reviewReasons is the difference by its causes, which add up to it.
func reviewReasons(rv quote.Review, cur money.Currency) Table {
	type part = quote.ReviewPart
	t := Build(Table{Name: "reasons", Title: "Why"}, rv.Parts, []Col[part]{
		{Column{Key: "part", Header: "cause"}, func(p part) Cell { return Text(p.Part) }},
		{Column{Key: "hours", Header: "hours", Unit: "h", Kind: KindHours, Sum: true}, func(p part) Cell {
			if p.Part == "price" {
				return Empty()
			}
			return HoursOf(p.Hours)
		}},
		{Column{Key: "amount", Header: "cost more", Unit: string(cur), Kind: KindMoney, Sum: true}, func(p part) Cell { return Money(p.Amount) }},
		{Column{Key: "because", Header: "mostly", Max: 44, Width: 60}, func(p part) Cell { return Text(p.Because) }},
	})
	t.Note("Quoted cost %s, actual cost %s: the causes add up to the difference.", cur.Print(rv.Quoted), cur.Print(rv.Actual))
	return t
}

func reviewSteps(rv quote.Review) Table {
	type step = quote.ReviewStep
	t := Build(Table{Name: "steps", Title: "Step by step"}, rv.Steps, []Col[step]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(s step) Cell {
			if s.Step == 0 {
				return Empty()
			}
			return Count(s.Step)
		}},
		{Column{Key: "operation", Header: "operation"}, func(s step) Cell { return Text(s.Operation) }},
		{Column{Key: "quoted_min", Header: "quoted", Unit: "min", Kind: KindMinutes, Sum: true}, func(s step) Cell { return MinutesOf(s.QuotedMin) }},
		{Column{Key: "actual_min", Header: "took", Unit: "min", Kind: KindMinutes, Sum: true}, func(s step) Cell { return MinutesOf(s.ActualMin) }},
		{Column{Key: "change_min", Header: "by change", Unit: "min", Kind: KindMinutes, Sum: true}, func(s step) Cell { return MinutesOf(s.ChangeMin) }},
		{Column{Key: "quantity_min", Header: "by quantity", Unit: "min", Kind: KindMinutes, Sum: true}, func(s step) Cell { return MinutesOf(s.QuantityMin) }},
		{Column{Key: "pace_min", Header: "by pace", Unit: "min", Kind: KindMinutes, Sum: true}, func(s step) Cell { return MinutesOf(s.PaceMin) }},
	})
	t.Note("Quoted minutes are averages, which add up.")
	t.Charts = []Chart{{Kind: ChartColumns, Title: "Quoted against actual", X: "operation", XTitle: "step", YTitle: "minutes", Series: []Series{{Y: "quoted_min", Name: "quoted (average)", Paint: Sand}, {Y: "actual_min", Name: "actual", Paint: Walnut}}}}
	return t
}

// QuoteHeld says how often quotes held.
func QuoteHeld(r *workshop.QuoteHeldResult) Report {
	c := r.Calibration
	out := Of(r, "calibration", "How often the quotes held")
	out.Headline = []string{c.Verdict}
	type kept = quote.Kept
	out.Add(Build(Table{Name: "calibration", Empty: "no finished neck has a quote yet"}, c.Quotes, []Col[kept]{
		{Column{Key: "quote", Header: "quote"}, func(k kept) Cell { return Text(k.Quote) }},
		{Column{Key: "mean", Header: "quoted average", Unit: "h", Kind: KindHours}, func(k kept) Cell { return HoursOf(k.Mean) }},
		{Column{Key: "safe", Header: "safe", Unit: "h", Kind: KindHours}, func(k kept) Cell { return HoursOf(k.P80) }},
		{Column{Key: "actual", Header: "actual", Unit: "h", Kind: KindHours}, func(k kept) Cell { return HoursOf(k.Actual) }},
		{Column{Key: "under", Header: "under safe", Kind: KindFlag}, func(k kept) Cell { return Flag(k.Actual <= k.P80) }},
		{Column{Key: "own", Header: "own estimate", Unit: "h", Kind: KindHours}, func(k kept) Cell {
			if k.Own > 0 {
				return HoursOf(k.Own)
			}
			return NotRecorded()
		}},
		{Column{Key: "on_time", Header: "on time", Kind: KindFlag}, func(k kept) Cell {
			if k.OnTime != nil {
				return Flag(*k.OnTime)
			}
			return NotRecorded()
		}},
	}))
	if c.N > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("Actual hours are %.2f times the quoted averages, all together.", c.Ratio))
		if c.OwnCount > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("They are %.2f times your own estimates (%d).", c.OwnRatio, c.OwnCount))
		}
		if c.Dated > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("%d of %d were finished by the promised date.", c.OnTime, c.Dated))
		}
	}
	out.Notes = append(out.Notes, c.Notes...)
	return out
}
