package reports

import (
	"fmt"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// QuoteSheet is a revision of a quote with all its figures.
type QuoteSheet struct {
	Quote    quote.Quote
	Revision quote.Revision
	Input    quote.Input
	Result   quote.Quoted
	Promised jobs.Day // of an accepted quote
}

func (q QuoteSheet) name() string {
	return fmt.Sprintf("Quote %s revision %d (%s)", q.Quote.Code, q.Revision.No, q.Revision.Status)
}

func (q QuoteSheet) subject() string {
	text := q.Quote.Title
	if q.Quote.Customer != "" {
		if text != "" {
			text += ", "
		}
		text += "for " + q.Quote.Customer
	}
	if q.Revision.Until != "" {
		text += fmt.Sprintf(", sent %s, valid until %s", q.Revision.Sent, q.Revision.Until)
	}
	return text
}

func (q QuoteSheet) report(shop jobs.Shop, name string) Report {
	return Report{Name: name, Title: q.name(), Subject: q.subject(), Currency: q.Input.Rates.Currency, Paper: Paper(shop.Paper), Zone: shop.Location(), Made: q.Input.At, Shop: shop.Name}
}

// QuoteShow is a quote on the terminal: what it costs by group, or line by line
// with the basis of each, then price, hours and date.
func QuoteShow(q QuoteSheet, shop jobs.Shop, everyLine bool) Report {
	r := q.report(shop, "quote")
	r.Sections = Sections(q.groups(), q.price(), q.hours(), q.date())
	if everyLine {
		*r.Tables()[0] = q.lines()
	}
	if len(q.Quote.Changes) > 0 {
		r.Add(changeTable(q.Quote.Changes, r.Currency))
	}
	return r
}

// QuoteInternal is the sheet for the builder: every line with its basis, live
// where an input changes it, the steps with their estimates, the curve of the
// hours, what moves the date and what was assumed. It is a file of its own.
func QuoteInternal(q QuoteSheet, shop jobs.Shop) Report {
	r := q.report(shop, "quote-"+q.Quote.Code)
	cur := r.Currency
	in := q.Input
	percent := "margin_percent"
	if in.Ask.Markup {
		percent = "markup_percent"
	}
	r.Inputs = []Input{
		{Name: "labour_rate", Label: "labour", Unit: string(cur) + "/h", Value: Money(in.Rates.Labour), Digits: int(cur.Scale()), Basis: "shop setting labour, frozen when the quote was sent"},
		{Name: "overhead_rate", Label: "overhead", Unit: string(cur) + "/h", Value: Money(in.Rates.Overhead), Digits: int(cur.Scale()), Basis: "per logged bench hour, frozen when the quote was sent"},
		{Name: percent, Label: map[bool]string{false: "margin, of the price", true: "markup, of the cost"}[in.Ask.Markup], Unit: "%", Value: Number(in.Ask.Margin.InexactFloat64()), Digits: 2, Max: map[bool]float64{false: 99, true: 1000}[in.Ask.Markup], Basis: "asked for"},
		{Name: "round_to", Label: "net price rounded to a multiple of", Unit: string(cur), Value: Money(in.Ask.RoundTo), Digits: int(cur.Scale()), Basis: "asked for; 0 does not round"},
		{Name: "tax_percent", Label: "tax", Unit: "%", Value: Number(q.Result.Price.TaxPercent.InexactFloat64()), Digits: 2, Max: 100, Basis: "shop setting tax, " + string(q.Result.Price.TaxRule)},
	}
	r.Sections = Sections(q.price(), q.lines(), q.steps(), q.hours(), q.curve(), q.date(), q.assumed())
	r.Tables()[0].Title, r.Tables()[0].Subtitle = r.Title+": what it is offered for", r.Subject
	if len(q.Quote.Changes) > 0 {
		r.Add(changeTable(q.Quote.Changes, cur))
	}
	r.Counted = []Counted{
		{"cost", "sum of the printed lines, each quantity x rate rounded once, halves away from zero"},
		{"hours", fmt.Sprintf("percentiles of %d simulated draws, seed %d; the mean is the sum of the means of the steps. Medians and P80s do not add up", q.Result.Hours.Draws, q.Result.Hours.Seed)},
		{"price", "built on the mean of the hours, because money adds up over many jobs"},
		{"chance of a loss", "share of the draws in which the hours cost more than the price leaves for them"},
		{"date", fmt.Sprintf("%d simulated futures: evenings really worked, cures, parts and the necks before this one", q.Result.Promise.Draws)},
		{"live cells", "the tinted inputs move lines, price, tax and payments; hours, date, the price on the P80, the allowance for scrap and the floor of the deposit were worked out when this was written and stay"},
	}
	return r
}

func (q QuoteSheet) lines() Table {
	cur := q.Input.Rates.Currency
	t := Table{Name: "lines", Title: "What it costs", Columns: []Column{
		{Key: "group", Header: "group", SheetOnly: true},
		{Key: "what", Header: "what", Max: 27, Width: 44},
		{Key: "quantity", Header: "quantity", Kind: KindQuantity, Digits: 3},
		{Key: "unit", Header: "unit"},
		{Key: "rate", Header: "rate", Unit: string(cur), Kind: KindMoney, Digits: int(cur.Scale()) + 2, SheetOnly: true},
		{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true},
		{Key: "basis", Header: "basis", Max: 30, Width: 60},
	}}
	for i, l := range q.Result.Lines {
		rate := Money(l.Rate)
		switch {
		case l.Group == quote.LineOverhead:
			rate = rate.Live("overhead_rate")
		case l.Unit == "h" && l.Rate.Cmp(q.Input.Rates.Labour) == 0:
			rate = rate.Live("labour_rate")
		}
		t.AddKey(fmt.Sprintf("line_%d", i+1), Text(l.Group), Text(l.What), Quantity(l.Quantity), Text(l.Unit), rate,
			Money(l.Amount).Live(fmt.Sprintf("ROUND({quantity}*{rate},%d)", cur.Scale())), Text(l.Basis))
	}
	return t
}

// quoteGroups are the groups of a quote's lines, in the order of the sheet.
var quoteGroups = []string{quote.LineLabour, quote.LineRework, quote.LineUnlogged, quote.LineOverhead, quote.LineSupplies, quote.LineParts, quote.LineBits, quote.LineScrap}

// groups adds the printed lines up by group.
func (q QuoteSheet) groups() Table {
	cur := q.Input.Rates.Currency
	t := Table{Name: "groups", Title: "What it costs", Columns: []Column{
		{Key: "group", Header: "group"}, {Key: "lines", Header: "lines", Kind: KindCount}, {Key: "hours", Header: "mean", Unit: "h", Kind: KindHours},
		{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true},
	}}
	for _, g := range quoteGroups {
		n, hours := 0, 0.0
		for _, l := range q.Result.Lines {
			if l.Group != g {
				continue
			}
			n++
			if l.Unit == "h" && g != quote.LineOverhead {
				hours += l.Quantity.InexactFloat64()
			}
		}
		if n == 0 {
			continue
		}
		spent := Empty()
		if hours > 0 {
			spent = HoursOf(hours)
		}
		t.Add(Text(g), Count(n), spent, Money(groupSum(q.Result, g)))
	}
	t.Note("every line with its basis: quote show %s --lines", q.Quote.Code)
	return t
}

func quantityText(l quote.Line) string {
	if l.Unit == "" {
		return ""
	}
	return l.Quantity.Round(3).String() + " " + l.Unit
}

func (q QuoteSheet) price() Table {
	p, cur := q.Result.Price, q.Input.Rates.Currency
	scale := cur.Scale()
	t := Table{Name: "price", Title: "What it is offered for", Columns: []Column{
		{Key: "what", Header: "what", Width: 30}, {Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney}, {Key: "how", Header: "how", Max: 44, Width: 60},
	}}
	before := fmt.Sprintf("ROUND({amount@cost}/(1-margin_percent/100),%d)", scale)
	if q.Input.Ask.Markup {
		before = fmt.Sprintf("ROUND({amount@cost}*(1+markup_percent/100),%d)", scale)
	}
	profit := fmt.Sprintf("margin %s %% of the price, which is a markup of %s %% of the cost", p.MarginPercent.Round(1), p.MarkupPercent.Round(1))
	rounding := "not rounded"
	if q.Input.Ask.RoundTo.Sign() > 0 {
		rounding = "to a multiple of " + cur.Print(q.Input.Ask.RoundTo)
	}
	t.AddKey("cost", Text("cost"), Money(p.Cost).Live("SUM({lines/amount:})"), Text("on the mean of the hours"))
	t.AddKey("profit", Text("margin"), Money(p.Margin).Live("{amount@before}-{amount@cost}"), Text(profit))
	t.AddKey("before", Text("price before rounding"), Money(p.Before).Live(before))
	t.AddKey("rounding", Text("rounding"), Money(p.Rounding).Live("{amount@net}-{amount@before}"), Text(rounding))
	t.Rows = append(t.Rows, Row{Key: "net", Style: Sub, Cells: []Cell{Text("net price"), Money(p.Net).Live(fmt.Sprintf("IF(round_to>0,ROUND(ROUND({amount@before}/round_to,0)*round_to,%d),{amount@before})", scale))}})
	t.AddKey("tax", Text(fmt.Sprintf("tax %s %%", p.TaxPercent)), Money(p.Tax).Live(fmt.Sprintf("ROUND({amount@net}*tax_percent/100,%d)", scale)), Text("rounded "+string(p.TaxRule)))
	t.Rows = append(t.Rows, Row{Key: "gross", Style: Total, Cells: []Cell{Text("price with tax"), Money(p.Gross).Live("{amount@net}+{amount@tax}")}})
	floor := q.Result.Deposit
	how := fmt.Sprintf("floor %s: parts %s, wood %s, design %s", cur.Print(floor.Total), cur.Print(floor.Parts), cur.Print(floor.Wood), cur.Print(floor.Design))
	if floor.Raised {
		how += "; the floor decides"
	}
	pct := q.Input.Ask.DepositPct
	if pct.Sign() <= 0 {
		pct = quote.DefaultDepositPct()
	}
	t.AddKey("deposit", Text("deposit"), Money(p.Deposit).Live(fmt.Sprintf("MIN({amount@gross},MAX(%s,ROUND({amount@gross}*%s/100,%d)))", floor.Total, pct, scale)), Text(how))
	left := "{amount@gross}-{amount@deposit}"
	for i, s := range q.Result.Stages[min(1, len(q.Result.Stages)):] {
		key, pay := fmt.Sprintf("stage_%d", i+1), left
		for _, asked := range q.Input.Ask.Stages {
			if asked.When == s.When {
				pay = fmt.Sprintf("MAX(0,MIN(ROUND({amount@gross}*%s/100,%d),%s))", asked.Percent, scale, left)
			}
		}
		t.AddKey(key, Text(s.When), Money(s.Amount).Live(pay))
		left += "-{amount@" + key + "}"
	}
	t.AddKey("safe", Text("if priced on the P80"), Money(q.Result.SafeNet), Text(fmt.Sprintf("net price built on %.1f h instead of the mean, at the figures as they stood", q.Result.SafeHours)))
	t.Note("chance that it costs more than the net price: %s", bitlife.Percent(q.Result.LossChance))
	return t
}

func (q QuoteSheet) hours() Table {
	h := q.Result.Hours
	t := Table{Name: "hours", Title: "Hours at the bench", Columns: []Column{
		{Key: "what", Header: "what", Width: 30}, {Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, {Key: "error", Header: "simulation error", Unit: "h", Kind: KindHours, Digits: 2}, {Key: "means", Header: "what it is for", Max: 34, Width: 50},
	}}
	t.Add(Text("likely (P50)"), HoursOf(h.P50), HoursOf(h.P50Error), Text("as often below as above"))
	t.Add(Text("mean"), HoursOf(h.Mean), Empty(), Text("the price is built on it"))
	t.Add(Text("safe (P80)"), HoursOf(h.P80), HoursOf(h.P80Error), Text("four jobs of five stay under it"))
	t.Add(Text("P90"), HoursOf(h.P90), HoursOf(h.P90Error), Text("nine of ten"))
	if q.Quote.GuessHours > 0 {
		t.Add(Text("your guess before looking"), HoursOf(q.Quote.GuessHours), Empty(), Text("kept for the calibration"))
	}
	unlogged := q.Input.Unlogged
	if q.Input.Ask.UnloggedInOverhead {
		t.Note("un-logged time (x %.2f) is carried by the overhead, not by these hours", unlogged.Factor)
	} else {
		t.Note("with un-logged time x %.2f the mean is %.1f h of evenings; it is priced once, on its own line", unlogged.Factor, h.Mean*unlogged.Factor)
	}
	t.Note("%d draws, seed %d: the same inputs give the same hours; the sum of the steps' P80s would be wrong and is not shown", h.Draws, h.Seed)
	return t
}

func (q QuoteSheet) date() Table {
	p := q.Result.Promise
	t := Table{Name: "date", Title: "When it can be done", Columns: []Column{
		{Key: "what", Header: "what", Max: 34, Width: 40}, {Key: "on", Header: "date", Kind: KindDate}, {Key: "weeks", Header: "weeks from deposit", Kind: KindNumber}, {Key: "days", Header: "moves the safe date (days)", Kind: KindCount},
	}, Empty: "no date: no working evenings are set up"}
	if p.Safe != "" {
		t.Add(Text("deposit"), Day(string(p.Starts)))
		t.Add(Text("likely"), Day(string(p.Likely)), Number(p.LikelyWeeks))
		safe := "safe: promise this one"
		if q.Promised != "" {
			safe = "safe, as quoted"
		}
		t.Rows = append(t.Rows, Row{Key: "safe_date", Style: Sub, Cells: []Cell{Text(safe), Day(string(p.Safe)), Number(p.SafeWeeks)}})
		for _, m := range p.Moves {
			t.Add(Text(m.What), Empty(), Empty(), Count(m.Days))
		}
	}
	if q.Promised != "" {
		t.Add(Text("promised now"), Day(string(q.Promised)))
		if bill := quote.BillOf(q.Quote, q.Input, q.Result, ""); len(bill.Lines) > 1 {
			t.Note("with the changes that were agreed the price with tax is %s: report quote %s --bill", bill.Currency.Print(bill.Gross), q.Quote.Code)
		}
	}
	if p.DueChance != nil {
		t.Note("wished by %s: %s", q.Input.Ask.Due, bitlife.Percent(*p.DueChance))
	}
	for _, b := range p.Basis {
		t.Note("%s", b)
	}
	return t
}

func (q QuoteSheet) steps() Table {
	t := Table{Name: "steps", Title: "The steps", Wide: true, Columns: []Column{
		{Key: "operation", Header: "step"}, {Key: "quantity", Header: "quantity", Kind: KindNumber, Digits: 2}, {Key: "unit", Header: "unit"},
		{Key: "copies", Header: "times", Kind: KindCount}, {Key: "difficulty", Header: "difficulty", Kind: KindNumber, Digits: 2},
		{Key: "setup_min", Header: "set-up", Unit: "min", Kind: KindMinutes}, {Key: "run_min", Header: "run", Unit: "min/unit", Kind: KindNumber, Digits: 2},
		{Key: "standard_min", Header: "standard", Unit: "min", Kind: KindMinutes}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, {Key: "mean_min", Header: "mean", Unit: "min", Kind: KindMinutes}, {Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes},
		{Key: "n", Header: "n", Kind: KindCount}, {Key: "rework", Header: "chance of rework", Kind: KindChance}, {Key: "cure_h", Header: "wait after", Unit: "h", Kind: KindHours}, {Key: "basis", Header: "basis", Width: 44, Max: 30},
	}}
	for _, s := range q.Input.Steps {
		e := s.Estimate
		rework := Empty()
		if s.Rework > 0 {
			rework = Chance(s.Rework)
		}
		wait := Empty()
		if s.CureMin > 0 {
			wait = HoursOf(s.CureMin / 60)
		}
		t.Add(Text(s.Operation), Number(s.Quantity), Text(s.Unit), Count(s.Copies), Number(s.Difficulty), MinutesOf(s.Standard.SetupMin), Number(s.Standard.RunMin),
			MinutesOf(e.StandardMin).Live("{setup_min}+{run_min}*{quantity}"), MinutesOf(e.LikelyMin), MinutesOf(e.MeanMin), MinutesOf(e.SafeMin), Count(e.N), rework, wait, Text(e.Basis))
	}
	t.Note("likely and safe minutes of single steps do not add up to those of the job")
	return t
}

func (q QuoteSheet) curve() Table {
	t := Table{Name: "curve", Title: "How many hours it may take", Columns: []Column{
		{Key: "chance", Header: "chance to stay under", Kind: KindChance}, {Key: "hours", Header: "hours", Unit: "h", Kind: KindHours},
	}, Charts: []Chart{{Kind: ChartScatter, Title: "Chance that the job stays under so many hours", X: "hours", XTitle: "hours at the bench (h)", YTitle: "chance", YMax: 1, Series: []Series{{Y: "chance", Line: true}}}}}
	for i, h := range q.Result.Hours.Curve {
		t.Add(Chance(float64(5*(i+1))/100), HoursOf(h))
	}
	return t
}

// QuoteCurve draws the hours of a quote.
func QuoteCurve(q QuoteSheet) Curve {
	c := Curve{Title: q.name(), XTitle: "hours at the bench", YTitle: "chance to stay under", Percent: true,
		Levels: []Level{{q.Result.Hours.P50, "P50"}, {q.Result.Hours.P80, "P80"}}}
	for i, h := range q.Result.Hours.Curve {
		c.Points = append(c.Points, Point{h, float64(5*(i+1)) / 100})
	}
	return c
}

func (q QuoteSheet) assumed() Table {
	t := Table{Name: "assumed", Title: "What I assumed", Columns: []Column{{Key: "what", Header: "assumption or warning", Width: 100, Max: 76}}}
	for _, a := range q.Result.Assumed {
		t.Add(Text(a))
	}
	for _, w := range q.Result.Warnings {
		t.Add(Text("warning: " + w).In(Careful))
	}
	if q.Input.Ask.Note != "" {
		t.Add(Text("note: " + q.Input.Ask.Note))
	}
	return t
}
