package reports

import (
	"fmt"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// QuoteCompare lays two revisions side by side.
func QuoteCompare(was, is QuoteSheet, shop jobs.Shop) Report {
	cur := is.Input.Rates.Currency
	r := is.report(shop, "quote")
	r.Title = fmt.Sprintf("Quote %s: revision %d beside %d", is.Quote.Code, is.Revision.No, was.Revision.No)
	t := Table{Name: "revisions", Title: r.Title, Subtitle: is.subject(), Columns: []Column{
		{Key: "what", Header: "what", Max: 26, Width: 30}, {Key: "was", Header: fmt.Sprintf("revision %d", was.Revision.No)}, {Key: "is", Header: fmt.Sprintf("revision %d", is.Revision.No)}, {Key: "change", Header: "change"},
	}}
	amount := func(what string, a, b money.Amount) {
		d := cur.Line(b.Sub(a))
		change := cur.Print(d)
		switch {
		case d.IsZero():
			change = "same"
		case d.Sign() > 0:
			change = "+" + change
		}
		t.Add(Text(what), Text(cur.Print(a)), Text(cur.Print(b)), Text(change))
	}
	hours := func(what string, a, b float64) {
		t.Add(Text(what), Text(fmt.Sprintf("%.1f h", a)), Text(fmt.Sprintf("%.1f h", b)), Text(changeText(fmt.Sprintf("%+.1f h", b-a))))
	}
	p, q := was.Result.Price, is.Result.Price
	amount("labour an hour", was.Input.Rates.Labour, is.Input.Rates.Labour)
	amount("overhead an hour", was.Input.Rates.Overhead, is.Input.Rates.Overhead)
	for _, g := range quoteGroups {
		amount(g, groupSum(was.Result, g), groupSum(is.Result, g))
	}
	amount("cost", p.Cost, q.Cost)
	amount("margin", p.Margin, q.Margin)
	amount("net price", p.Net, q.Net)
	amount("price with tax", p.Gross, q.Gross)
	amount("deposit", p.Deposit, q.Deposit)
	hours("likely (P50)", was.Result.Hours.P50, is.Result.Hours.P50)
	hours("mean", was.Result.Hours.Mean, is.Result.Hours.Mean)
	hours("safe (P80)", was.Result.Hours.P80, is.Result.Hours.P80)
	day := func(what string, a, b jobs.Day) {
		change := ""
		if a != "" && b != "" {
			change = changeText(fmt.Sprintf("%+d days", a.DaysTo(b)))
		}
		t.Add(Text(what), Text(string(a)), Text(string(b)), Text(change))
	}
	day("likely date", was.Result.Promise.Likely, is.Result.Promise.Likely)
	day("safe date", was.Result.Promise.Safe, is.Result.Promise.Safe)
	t.Add(Text("chance of a loss"), Text(bitlife.Percent(was.Result.LossChance)), Text(bitlife.Percent(is.Result.LossChance)))
	r.Sections = Sections(t)
	return r
}

func groupSum(q quote.Quoted, group string) money.Amount {
	sum := money.Zero
	for _, l := range q.Lines {
		if l.Group == group {
			sum = sum.Add(l.Amount)
		}
	}
	return sum
}

func changeTable(changes []quote.ChangeOrder, cur money.Currency) Table {
	t := Table{Name: "changes", Title: "Changes", Columns: []Column{
		{Key: "change", Header: "no", Kind: KindCount}, {Key: "what", Header: "what", Max: 24, Width: 40}, {Key: "asked", Header: "asked", Kind: KindDate}, {Key: "status", Header: "status"},
		{Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, {Key: "undo", Header: "undo", Unit: string(cur), Kind: KindMoney}, {Key: "net", Header: "net", Unit: string(cur), Kind: KindMoney}, {Key: "days", Header: "days", Kind: KindCount},
	}}
	for _, c := range changes {
		status := Text(string(c.Status))
		if c.Status == quote.ChangeUnagreed {
			status = status.In(Careful)
		}
		t.Add(Count(c.No), Text(c.What), Day(string(c.Asked)), status, HoursOf(c.Hours), Money(c.Undo), Money(c.Net), Count(c.Days))
	}
	return t
}

// QuoteChange is one change order.
func QuoteChange(q quote.Quote, c quote.ChangeOrder, shop jobs.Shop) Report {
	cur := shop.Currency
	title := fmt.Sprintf("Change %d of quote %s: %s", c.No, q.Code, c.Status)
	t := Table{Name: "change", Title: title, Subtitle: fmt.Sprintf("%s, asked by %s on %s", c.What, c.AskedBy, c.Asked), Empty: "nothing in the quote hangs on it", Columns: []Column{
		{Key: "what", Header: "what", Max: 26, Width: 40}, {Key: "quantity", Header: "quantity"}, {Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true}, {Key: "basis", Header: "basis", Max: 30, Width: 50},
	}}
	for _, l := range c.Lines {
		t.Add(Text(l.What), Text(quantityText(l)), Money(l.Amount), Text(l.Basis))
	}
	t.Note("net %s, with tax %s, at the margin of the quote; %s", cur.Print(c.Net), cur.Print(c.Gross), laterText(c.Days))
	if c.Undo.Sign() > 0 {
		t.Note("%s of the cost undoes and repeats what is done", cur.Print(c.Undo))
	}
	for _, n := range c.Notes {
		t.Note("%s", n)
	}
	if c.Status == quote.ChangeUnagreed {
		t.Note("not agreed: work on it is on the shop's account until quote change %s --accept %d", q.Code, c.No)
	}
	return Report{Name: "change", Title: title, Sections: Sections(t), Currency: cur, Zone: shop.Location(), Shop: shop.Name}
}

// QuoteReview is quoted against actual, and why.
func QuoteReview(rv quote.Review, shop jobs.Shop) Report {
	cur := shop.Currency
	title := fmt.Sprintf("Quote %s against what it came to", rv.Quote)
	parts := Table{Name: "reasons", Title: title, Columns: []Column{
		{Key: "part", Header: "why"}, {Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, {Key: "amount", Header: "cost more", Unit: string(cur), Kind: KindMoney, Sum: true}, {Key: "because", Header: "mostly", Max: 44, Width: 60},
	}}
	for _, p := range rv.Parts {
		h := HoursOf(p.Hours)
		if p.Part == "price" {
			h = Empty()
		}
		parts.Add(Text(p.Part), h, Money(p.Amount), Text(p.Because))
	}
	parts.Note("quoted cost %s, actual cost %s, difference %s: the parts add up to it", cur.Print(rv.Quoted), cur.Print(rv.Actual), cur.Print(rv.Difference))
	if rv.Finished {
		parts.Note("price without tax %s with agreed changes, kept %s (%s %%)", cur.Print(rv.Net), cur.Print(rv.Kept), rv.KeptPercent)
	} else {
		parts.Note("price without tax %s with agreed changes; what is kept of it shows when the neck is finished", cur.Print(rv.Net))
	}
	under := "over"
	if rv.UnderSafe {
		under = "under"
	}
	if rv.Finished || !rv.UnderSafe {
		parts.Note("%.1f h logged, %.1f h quoted (mean), %s the P80 of %.1f h", rv.ActualHours, rv.QuotedHours, under, rv.SafeHours)
	} else {
		parts.Note("%.1f h logged so far, %.1f h quoted (mean), P80 %.1f h", rv.ActualHours, rv.QuotedHours, rv.SafeHours)
	}
	if rv.GuessHours > 0 {
		parts.Note("your guess before looking was %.1f h", rv.GuessHours)
	}
	for _, n := range rv.Notes {
		parts.Note("%s", n)
	}
	steps := Table{Name: "steps", Title: "Step by step", Columns: []Column{
		{Key: "operation", Header: "step"}, {Key: "quoted_min", Header: "quoted", Unit: "min", Kind: KindMinutes, Sum: true}, {Key: "actual_min", Header: "actual", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "quantity_min", Header: "by quantity", Unit: "min", Kind: KindMinutes, Sum: true}, {Key: "pace_min", Header: "by pace", Unit: "min", Kind: KindMinutes, Sum: true},
	}}
	for _, s := range rv.Steps {
		steps.Add(Text(s.Operation), MinutesOf(s.QuotedMin), MinutesOf(s.ActualMin), MinutesOf(s.QuantityMin), MinutesOf(s.PaceMin))
	}
	steps.Note("quoted minutes are means, which add up")
	steps.Charts = []Chart{{Kind: ChartColumns, Title: "Quoted against actual", X: "operation", XTitle: "step", YTitle: "minutes", Series: []Series{{Y: "quoted_min", Name: "quoted (mean)", Paint: Sand}, {Y: "actual_min", Name: "actual", Paint: Walnut}}}}
	return Report{Name: "review-" + rv.Quote, Title: title, Sections: Sections(parts, steps), Currency: cur, Zone: shop.Location(), Shop: shop.Name}
}

// QuoteCalibration says how often quotes held.
func QuoteCalibration(c quote.Calibration, shop jobs.Shop) Report {
	t := Table{Name: "calibration", Title: "How often the quotes held", Empty: "no finished neck has a quote yet", Columns: []Column{
		{Key: "quote", Header: "quote"}, {Key: "mean", Header: "quoted mean", Unit: "h", Kind: KindHours}, {Key: "p80", Header: "P80", Unit: "h", Kind: KindHours}, {Key: "actual", Header: "actual", Unit: "h", Kind: KindHours},
		{Key: "under", Header: "under P80", Kind: KindFlag}, {Key: "guess", Header: "own guess", Unit: "h", Kind: KindHours}, {Key: "on_time", Header: "on time", Kind: KindFlag},
	}}
	for _, k := range c.Quotes {
		guess, onTime := NotRecorded(), NotRecorded()
		if k.Guess > 0 {
			guess = HoursOf(k.Guess)
		}
		if k.OnTime != nil {
			onTime = Flag(*k.OnTime)
		}
		t.Add(Text(k.Quote), HoursOf(k.Mean), HoursOf(k.P80), HoursOf(k.Actual), Flag(k.Actual <= k.P80), guess, onTime)
	}
	t.Note("%s", c.Verdict)
	if c.N > 0 {
		t.Note("actual hours are %.2f times the quoted means, all together", c.Ratio)
		if c.Guesses > 0 {
			t.Note("and %.2f times the guesses before looking (%d)", c.GuessRatio, c.Guesses)
		}
		if c.Dated > 0 {
			t.Note("%d of %d were out by the promised date", c.OnTime, c.Dated)
		}
	}
	for _, n := range c.Notes {
		t.Note("%s", n)
	}
	return Report{Name: "calibration", Title: "How often the quotes held", Sections: Sections(t), Currency: shop.Currency, Zone: shop.Location(), Shop: shop.Name}
}

// laterText says how much later a change makes a neck.
func laterText(days int) string {
	switch {
	case days <= 0:
		return "no later for it"
	case days == 1:
		return "about a day later"
	}
	return fmt.Sprintf("about %d days later", days)
}

// changeText says "same" where nothing changed.
func changeText(s string) string {
	switch s {
	case "+0.0 h", "-0.0 h", "+0 days":
		return "same"
	}
	return s
}
