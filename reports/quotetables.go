package reports

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// quoteInputs are the figures of a quote that a workbook lets a person change.
func quoteInputs(f *workshop.QuoteFigures, r Report) []Input {
	cur := r.Currency
	digits := int(cur.Scale())
	name, label, top := "margin_percent", "margin, of the price", 99.0
	if f.Ask.Markup {
		name, label, top = "markup_percent", "markup, of the cost", 1000
	}
	return []Input{
		{Name: "labour_rate", Label: "labour", Unit: string(cur) + "/h", Value: Money(f.Rates.Labour), Digits: digits, Basis: "shop setting labour, frozen when the quote was sent"},
		{Name: "overhead_rate", Label: "overhead", Unit: string(cur) + "/h", Value: Money(f.Rates.Overhead), Digits: digits, Basis: "per logged bench hour, frozen when the quote was sent"},
		{Name: name, Label: label, Unit: "%", Value: Number(f.Ask.Margin.InexactFloat64()), Digits: 2, Max: top, Basis: "set in the quote"},
		{Name: "round_to", Label: "net price rounded to a multiple of", Unit: string(cur), Value: Money(f.Ask.RoundTo), Digits: digits, Basis: "set in the quote; 0 does not round"},
		{Name: "tax_percent", Label: "tax", Unit: "%", Value: Number(f.Price.TaxPercent.InexactFloat64()), Digits: 2, Max: 100, Basis: "shop setting tax, " + string(f.Price.TaxRule)},
	}
}

// quoteLines is every line of the cost with its basis.
func quoteLines(f *workshop.QuoteFigures, r Report) Table {
	cur := r.Currency
	type line = jobs.QuoteLine
	t := Build(Table{Name: "lines", Title: "What it costs"}, f.Lines, []Col[line]{
		{Column{Key: "group", Header: "group", SheetOnly: true}, func(l line) Cell { return Text(l.Group) }},
		{Column{Key: "what", Header: "what", Max: 27, Width: 44}, func(l line) Cell { return Text(l.What) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity, Digits: 3}, func(l line) Cell { return Quantity(l.Quantity) }},
		{Column{Key: "unit", Header: "unit"}, func(l line) Cell { return Text(l.Unit) }},
		{Column{Key: "rate", Header: "rate", Unit: string(cur), Kind: KindMoney, Digits: int(cur.Scale()) + 2, SheetOnly: true}, func(l line) Cell {
			switch {
			case l.Group == quote.LineOverhead:
				return Money(l.Rate).Live("overhead_rate")
			case l.Unit == "h" && l.Rate.Cmp(f.Rates.Labour) == 0:
				return Money(l.Rate).Live("labour_rate")
			}
			return Money(l.Rate)
		}},
		{Column{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true}, func(l line) Cell {
			return Money(l.Amount).Live(fmt.Sprintf("ROUND({quantity}*{rate},%d)", cur.Scale()))
		}},
		{Column{Key: "basis", Header: "basis", Max: 30, Width: 60}, func(l line) Cell { return Text(l.Basis) }},
	})
	for i := range t.Rows {
		t.Rows[i].Key = fmt.Sprintf("line_%d", i+1)
	}
	return t
}

// priceRow is one step from the cost to the price.
type priceRow struct {
	key, what, how string
	amount         Cell
	style          RowStyle
}

// quotePrice is how the cost becomes a price, live in a workbook.
func quotePrice(f *workshop.QuoteFigures, r Report) Table {
	p, cur := f.Price, r.Currency
	scale := cur.Scale()
	before := fmt.Sprintf("ROUND({amount@cost}/(1-margin_percent/100),%d)", scale)
	if f.Ask.Markup {
		before = fmt.Sprintf("ROUND({amount@cost}*(1+markup_percent/100),%d)", scale)
	}
	rounding := "not rounded"
	if f.Ask.RoundTo.Sign() > 0 {
		rounding = "to a multiple of " + cur.Print(f.Ask.RoundTo)
	}
	m := f.Minimum
	minimum := fmt.Sprintf("minimum %s: parts %s, wood %s, design %s", cur.Print(m.Total), cur.Print(m.Parts), cur.Print(m.Wood), cur.Print(m.Design))
	if m.Raised {
		minimum += "; the minimum is more than the percentage"
	}
	rows := []priceRow{
		{"cost", "cost", "on the average of the hours", Money(p.Cost).Live("SUM({lines/amount:})"), Plain},
		{"profit", "margin", fmt.Sprintf("margin %s %% of the price, which is a markup of %s %% of the cost", p.MarginPercent.Round(1), p.MarkupPercent.Round(1)), Money(p.Margin).Live("{amount@before}-{amount@cost}"), Plain},
		{"before", "price before rounding", "", Money(p.Before).Live(before), Plain},
		{"rounding", "rounding", rounding, Money(p.Rounding).Live("{amount@net}-{amount@before}"), Plain},
		{"net", "net price", "", Money(p.Net).Live(fmt.Sprintf("IF(round_to>0,ROUND(ROUND({amount@before}/round_to,0)*round_to,%d),{amount@before})", scale)), Sub},
		{"tax", fmt.Sprintf("tax %s %%", p.TaxPercent), "rounded " + string(p.TaxRule), Money(p.Tax).Live(fmt.Sprintf("ROUND({amount@net}*tax_percent/100,%d)", scale)), Plain},
		{"gross", "price with tax", "", Money(p.Gross).Live("{amount@net}+{amount@tax}"), Total},
		{"deposit", "deposit", minimum, Money(p.Deposit).Live(fmt.Sprintf("MIN({amount@gross},MAX(%s,ROUND({amount@gross}*%s/100,%d)))", m.Total, f.DepositPct, scale)), Plain},
	}
	left := "{amount@gross}-{amount@deposit}"
	for i, s := range f.Stages[min(1, len(f.Stages)):] {
		key, pay := fmt.Sprintf("stage_%d", i+1), left
		for _, asked := range f.Ask.Stages {
			if asked.When == s.When {
				pay = fmt.Sprintf("MAX(0,MIN(ROUND({amount@gross}*%s/100,%d),%s))", asked.Percent, scale, left)
			}
		}
		rows = append(rows, priceRow{key, s.When, "", Money(s.Amount).Live(pay), Plain})
		left += "-{amount@" + key + "}"
	}
	rows = append(rows, priceRow{"safe", "if priced on the safe hours", fmt.Sprintf("net price built on %.1f h, not on the average", f.Hours.P80), Money(f.SafeNet), Plain})
	t := BuildKeyed(Table{Name: "price"}, rows, func(x priceRow) string { return x.key }, []Col[priceRow]{
		{Column{Key: "what", Header: "what", Width: 30}, func(x priceRow) Cell { return Text(x.what) }},
		{Column{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney}, func(x priceRow) Cell { return x.amount }},
		{Column{Key: "how", Header: "how", Max: 44, Width: 60}, func(x priceRow) Cell { return Text(x.how) }},
	})
	for i, x := range rows {
		t.Rows[i].Style = x.style
	}
	t.Note("Chance that it costs more than the net price: %s.", ChanceText(f.LossChance))
	return t
}

// quoteSteps is the route with the times that the quote counts.
func quoteSteps(f *workshop.QuoteFigures) Table {
	type step = workshop.QuoteStep
	some := func(v float64, c Cell) Cell {
		if v > 0 {
			return c
		}
		return Empty()
	}
	t := Build(Table{Name: "steps", Title: "The steps", Wide: true}, f.Steps, []Col[step]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(s step) Cell { return Count(s.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(s step) Cell { return Text(s.Operation) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindNumber, Digits: 2}, func(s step) Cell { return Number(s.Quantity) }},
		{Column{Key: "unit", Header: "unit"}, func(s step) Cell { return Text(s.Unit) }},
		{Column{Key: "times", Header: "times", Kind: KindCount, At: Full}, func(s step) Cell { return Count(s.Times) }},
		{Column{Key: "difficulty", Header: "difficulty", Kind: KindNumber, Digits: 2, At: Full}, func(s step) Cell { return Number(s.Difficulty) }},
		{Column{Key: "setup_min", Header: "setup", Unit: "min", Kind: KindMinutes, At: Full}, func(s step) Cell { return MinutesOf(s.SetupMin) }},
		{Column{Key: "run_min", Header: "run", Unit: "min/unit", Kind: KindNumber, Digits: 2, At: Full}, func(s step) Cell { return Number(s.RunMin) }},
		{Column{Key: "standard_min", Header: "standard", Unit: "min", Kind: KindMinutes}, func(s step) Cell { return MinutesOf(s.StandardMin).Live("{setup_min}+{run_min}*{quantity}") }},
		{Column{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, func(s step) Cell { return MinutesOf(s.LikelyMin) }},
		{Column{Key: "mean_min", Header: "average", Unit: "min", Kind: KindMinutes}, func(s step) Cell { return MinutesOf(s.MeanMin) }},
		{Column{Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, func(s step) Cell { return MinutesOf(s.SafeMin) }},
		{Column{Key: "n", Header: "past jobs", Kind: KindCount}, func(s step) Cell { return Count(s.N) }},
		{Column{Key: "rework", Header: "chance of rework", Kind: KindChance, At: Full}, func(s step) Cell { return some(s.Rework, Chance(s.Rework)) }},
		{Column{Key: "cure_h", Header: "wait after", Unit: "h", Kind: KindHours, At: Full}, func(s step) Cell { return some(s.CureH, HoursOf(s.CureH)) }},
		{Column{Key: "basis", Header: "basis", Width: 44, Max: 30, At: Full}, func(s step) Cell { return Text(s.Basis) }},
	})
	t.Note("Likely and safe minutes of single steps do not add up to those of the job.")
	return t
}

// quoteOrders lists the changes to an accepted quote.
func quoteOrders(f *workshop.QuoteFigures, r Report) Table {
	type order = jobs.ChangeOrder
	amount := func(key, header string, at Depth, get func(order) money.Amount) Col[order] {
		return Col[order]{Column{Key: key, Header: header, Unit: string(r.Currency), Kind: KindMoney, At: at}, func(c order) Cell { return Money(get(c)) }}
	}
	return Build(Table{Name: "changes", Title: "Changes"}, f.Changes, []Col[order]{
		{Column{Key: "change", Header: "no", Kind: KindCount}, func(c order) Cell { return Count(c.No) }},
		{Column{Key: "what", Header: "what", Max: 24, Width: 40}, func(c order) Cell { return Text(c.What) }},
		{Column{Key: "asked", Header: "asked", Kind: KindDate}, func(c order) Cell { return Day(string(c.Asked)) }},
		{Column{Key: "status", Header: "status"}, func(c order) Cell { return Text(string(c.Status)).When(c.Status == jobs.OrderOpen, Careful) }},
		{Column{Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, func(c order) Cell { return HoursOf(c.Hours) }},
		amount("undo", "undo", Full, func(c order) money.Amount { return c.Undo }),
		amount("net", "net", Full, func(c order) money.Amount { return c.Net }),
		amount("gross", "with tax", 0, func(c order) money.Amount { return c.Gross }),
		{Column{Key: "days", Header: "days", Kind: KindCount, At: Full}, func(c order) Cell { return Count(c.Days) }},
	})
}

// hoursRow is one figure of the hours of a job.
type hoursRow struct {
	what       string
	hours, err float64
	means      string
}

func quoteHours(f *workshop.QuoteFigures) Table {
	h := f.Hours
	rows := []hoursRow{{"likely", h.P50, h.P50Err, "half the jobs take less"}, {"average", h.Mean, 0, "the price is built on it"},
		{"safe", h.P80, h.P80Err, "4 jobs in 5 take less"}, {"9 in 10", h.P90, h.P90Err, "9 jobs in 10 take less"}}
	if f.OwnHours > 0 {
		rows = append(rows, hoursRow{"your own estimate", f.OwnHours, 0, "before you saw a figure"})
	}
	t := Build(Table{Name: "hours", Title: "Hours at the bench"}, rows, []Col[hoursRow]{
		{Column{Key: "what", Header: "what", Width: 30}, func(x hoursRow) Cell { return Text(x.what) }},
		{Column{Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, func(x hoursRow) Cell { return HoursOf(x.hours) }},
		{Column{Key: "error", Header: "simulation error", Unit: "h", Kind: KindHours, Digits: 2}, func(x hoursRow) Cell {
			if x.err == 0 {
				return Empty()
			}
			return HoursOf(x.err)
		}},
		{Column{Key: "means", Header: "what it is for", Max: 34, Width: 50}, func(x hoursRow) Cell { return Text(x.means) }},
	})
	if f.Unlogged.InOverhead {
		t.Note("Unlogged time (%s %%) is carried by the overhead, not by these hours.", figure(f.Unlogged.Percent))
	} else {
		t.Note("With unlogged time (%s %%) the average is %.1f h of evenings. It is charged once, on its own line.", figure(f.Unlogged.Percent), h.Evening)
	}
	t.Note("%d draws, seed %d: the same inputs give the same hours. Safe times of steps do not add up, so no such sum is shown.", h.Draws, h.Seed)
	return t
}

// dateRow is one line of the dates.
type dateRow struct {
	what  string
	on    jobs.Day
	weeks float64
	days  *int
}

func quoteDate(f *workshop.QuoteFigures) Table {
	p := f.Promise
	var rows []dateRow
	if p.Safe != "" {
		safe := "safe: promise this one"
		if f.Promised != "" {
			safe = "safe, as quoted"
		}
		rows = append(rows, dateRow{what: "deposit", on: p.Starts}, dateRow{what: "likely", on: p.Likely, weeks: p.LikelyWeeks}, dateRow{what: safe, on: p.Safe, weeks: p.SafeWeeks})
		for _, m := range p.Moves {
			rows = append(rows, dateRow{what: m.What, days: &m.Days})
		}
	}
	if f.Promised != "" {
		rows = append(rows, dateRow{what: "promised now", on: f.Promised})
	}
	t := Build(Table{Name: "date", Title: "When it can be done", Empty: "no date: no working evenings are set up"}, rows, []Col[dateRow]{
		{Column{Key: "what", Header: "what", Max: 34, Width: 40}, func(x dateRow) Cell { return Text(x.what) }},
		{Column{Key: "on", Header: "date", Kind: KindDate}, func(x dateRow) Cell { return Day(string(x.on)) }},
		{Column{Key: "weeks", Header: "weeks from deposit", Kind: KindNumber}, func(x dateRow) Cell {
			if x.weeks == 0 {
				return Empty()
			}
			return Number(x.weeks)
		}},
		{Column{Key: "days", Header: "moves the safe date (days)", Kind: KindCount}, func(x dateRow) Cell { return Maybe(x.days, Count) }},
	})
	if p.DueChance != nil {
		t.Note("Wanted by %s: %s.", longDay(p.Due), ChanceText(*p.DueChance))
	}
	if b := f.WithChanges; b != nil {
		t.Note("With the changes that were accepted the price with tax is %s: report quote %s --bill", b.Currency.Print(b.Gross), f.Quote)
	}
	if p.Shortest > 0 {
		t.Note("Shortest possible: %s by its cures, with the bench to itself. Longest path: %s.", jobs.CountText(int(math.Ceil(p.Shortest)), "evening"), strings.Join(p.Path, ", "))
	}
	for _, b := range p.Basis {
		t.Note("%s", b)
	}
	return t
}

// curvePoint is a chance to stay under so many hours.
type curvePoint struct{ chance, hours float64 }

func curvePoints(f *workshop.QuoteFigures) (out []curvePoint) {
	for i, h := range f.Hours.Curve {
		out = append(out, curvePoint{float64(5*(i+1)) / 100, h})
	}
	return out
}

func quoteCurve(f *workshop.QuoteFigures) Table {
	return Build(Table{Name: "curve", Title: "How many hours it may take", SheetOnly: true,
		Charts: []Chart{{Kind: ChartScatter, Title: "Chance that the job stays under so many hours", X: "hours", XTitle: "hours at the bench (h)", YTitle: "chance", YMax: 1, Series: []Series{{Y: "chance", Line: true}}}}},
		curvePoints(f), []Col[curvePoint]{
			{Column{Key: "chance", Header: "chance to stay under", Kind: KindChance}, func(x curvePoint) Cell { return Chance(x.chance) }},
			{Column{Key: "hours", Header: "hours", Unit: "h", Kind: KindHours}, func(x curvePoint) Cell { return HoursOf(x.hours) }},
		})
}

// HoursCurve draws the hours of a quote, with the hour at which its price is used up.
func HoursCurve(f *workshop.QuoteFigures, title string) Curve {
	c := Curve{Title: title, XTitle: "hours at the bench", YTitle: "chance to stay under", Percent: true, Levels: []Level{{f.Hours.P50, "likely"}, {f.Hours.P80, "safe"}}}
	within := 1 - f.LossChance
	for i, p := range curvePoints(f) {
		c.Points = append(c.Points, Point{p.hours, p.chance})
		if i > 0 && c.Points[i-1].Y <= within && within < p.chance {
			a := c.Points[i-1]
			c.Levels = append(c.Levels, Level{a.X + (p.hours-a.X)*(within-a.Y)/(p.chance-a.Y), "price used up"})
		}
	}
	return c
}

func quoteAssumed(f *workshop.QuoteFigures) Table {
	type said struct {
		text string
		tone Tone
	}
	var rows []said
	for _, a := range f.Assumed {
		rows = append(rows, said{a, Calm})
	}
	for _, w := range f.Notes {
		rows = append(rows, said{"warning: " + w, Careful})
	}
	if f.Ask.Note != "" {
		rows = append(rows, said{"note: " + f.Ask.Note, Calm})
	}
	return Build(Table{Name: "assumed", Title: "What is assumed"}, rows, []Col[said]{
		{Column{Key: "what", Header: "assumption or warning", Width: 100, Max: 76}, func(x said) Cell { return Text(x.text).In(x.tone) }}})
}

// quoteCounted says how each figure came about.
func quoteCounted(r *Report, f *workshop.QuoteFigures) {
	r.Count("cost", "sum of the printed lines, each quantity x rate rounded once, halves away from zero")
	r.Count("hours", "percentiles of %d simulated draws, seed %d; the average is the sum of the averages of the steps. Safe hours do not add up", f.Hours.Draws, f.Hours.Seed)
	r.Count("price", "built on the average of the hours, because money adds up over many jobs")
	r.Count("chance of a loss", "share of the draws in which the hours cost more than the price leaves for them")
	r.Count("date", "%d simulated futures: evenings really worked, cures, parts and the necks before this one", cmp.Or(f.Promise.Draws, 0))
	r.Count("live cells", "the tinted inputs change lines, price, tax and payments; hours, date, the price on the safe hours, the scrap allowance and the minimum deposit are as calculated when this was written")
}
