package reports

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// forCustomer begins a paper that leaves the shop: no counting, no inputs, no
// hidden sheets, a date and no time of day.
func forCustomer(r *workshop.QuoteResult, name, title, subject string, day jobs.Day) Report {
	out := Of(r, name, title)
	if out.Shop != "" {
		subject = out.Shop + " · " + subject
	}
	out.Subject, out.ForCustomer = subject, true
	out.Made = day.Noon()
	return out
}

// paperRow is a line of a customer's paper. Amounts that are not given stay
// empty.
type paperRow struct {
	what  string
	cells []Cell
	style RowStyle
}

// paperTable lays rows out under one column of words and the columns given.
func paperTable(t Table, rows []paperRow, words Column, columns ...Column) Table {
	cols := []Col[paperRow]{{words, func(x paperRow) Cell { return Text(x.what) }}}
	for i, c := range columns {
		cols = append(cols, Col[paperRow]{c, func(x paperRow) Cell {
			if i < len(x.cells) {
				return x.cells[i]
			}
			return Empty()
		}})
	}
	t = Build(t, rows, cols)
	for i, x := range rows {
		t.Rows[i].Style = x.style
	}
	return t
}

// quoteOffer is what a customer gets: a file of its own in plain words, without
// hours and margins.
func quoteOffer(r *workshop.QuoteResult) Report {
	s := r.Offer
	title := "Quote " + s.Quote
	if s.Revision > 1 {
		title += fmt.Sprintf(", revision %d", s.Revision)
	}
	if s.Draft {
		title += " (draft, not an offer yet)"
	}
	out := forCustomer(r, "offer-"+s.Quote, title, fmt.Sprintf("For %s, %s, valid until %s", s.For, s.Date, s.Until), s.Date)
	cur := string(s.Currency)
	if !s.Draft {
		out.Accept = fmt.Sprintf("I accept quote %s, revision %d, at %s %s with tax.", s.Quote, s.Revision, s.Currency.Print(s.Gross), cur)
		if s.TaxPercent.IsZero() {
			out.Accept = fmt.Sprintf("I accept quote %s, revision %d, at %s %s.", s.Quote, s.Revision, s.Currency.Print(s.Gross), cur)
		}
	}
	var rows []paperRow
	for _, l := range s.Lines {
		rows = append(rows, paperRow{what: l.What, cells: []Cell{Count(l.Quantity), Money(l.Net)}})
	}
	for _, x := range s.Facts {
		rows = append(rows, paperRow{what: "· " + x.What + ": " + x.Text})
	}
	tax := "tax"
	if !s.TaxPercent.IsZero() {
		tax = fmt.Sprintf("tax %s %%", s.TaxPercent)
	}
	rows = append(rows, paperRow{what: "price without tax", cells: []Cell{Empty(), Money(s.Net)}, style: Sub}, paperRow{what: tax, cells: []Cell{Empty(), Money(s.Tax)}},
		paperRow{what: "price", cells: []Cell{Empty(), Money(s.Gross)}, style: Total}, paperRow{what: "Payment", style: Group})
	for _, st := range s.Stages {
		rows = append(rows, paperRow{what: st.When, cells: []Cell{Empty(), Money(st.Amount)}})
	}
	rows = append(rows, paperRow{what: "Terms", style: Group})
	for _, text := range append([]string{s.Delivery}, s.Wording...) {
		rows = append(rows, paperRow{what: text})
	}
	for _, x := range s.Exclusions {
		rows = append(rows, paperRow{what: "Not included: " + x})
	}
	out.Add(paperTable(Table{Name: "offer", Subtitle: out.Subject}, rows, Column{Key: "what", Header: "what", Max: 56, Width: 70},
		Column{Key: "quantity", Header: "number", Kind: KindCount}, Column{Key: "amount", Header: "amount", Unit: cur, Kind: KindMoney}))
	return out
}

// quoteBill is the figures for an invoice.
func quoteBill(r *workshop.QuoteResult) Report {
	b := r.Bill
	out := forCustomer(r, "bill-"+b.Quote, "Quote "+b.Quote+": figures for the invoice", fmt.Sprintf("For %s, as of %s", b.For, b.Date), b.Date)
	cur := string(b.Currency)
	var rows []paperRow
	for _, l := range b.Lines {
		rows = append(rows, paperRow{what: l.What, cells: []Cell{Money(l.Net), Money(l.Tax), Money(l.Gross)}})
	}
	sum := "total"
	if !b.TaxPercent.IsZero() {
		sum = fmt.Sprintf("total, tax at %s %%", b.TaxPercent)
	}
	rows = append(rows, paperRow{what: sum, cells: []Cell{Money(b.Net), Money(b.Tax), Money(b.Gross)}, style: Sub})
	for _, p := range b.Payments {
		rows = append(rows, paperRow{what: fmt.Sprintf("received %s: %s", longDay(p.On), p.What), cells: []Cell{Empty(), Empty(), Money(p.Amount.Neg())}})
	}
	rows = append(rows, paperRow{what: "due", cells: []Cell{Empty(), Empty(), Money(b.Due)}, style: Total})
	out.Add(paperTable(Table{Name: "bill", Subtitle: out.Subject}, rows, Column{Key: "what", Header: "what", Max: 40, Width: 58}, Column{Key: "net", Header: "without tax", Unit: cur, Kind: KindMoney},
		Column{Key: "tax", Header: "tax", Unit: cur, Kind: KindMoney}, Column{Key: "amount", Header: "with tax", Unit: cur, Kind: KindMoney}))
	return out
}

// QuoteOrder is one change order for the builder: what it adds, line by line,
// and what the whole then costs.
func QuoteOrder(r *workshop.QuoteResult) Report {
	p := r.Order
	c := p.Order
	out := Of(r, fmt.Sprintf("change-%s-%d", p.Quote, c.No), fmt.Sprintf("Change %d of quote %s: %s", c.No, p.Quote, c.Status))
	cur := out.Currency
	out.Subject = fmt.Sprintf("%s, asked by %s on %s", c.What, c.AskedBy, c.Asked)
	verb := map[jobs.OrderStatus]string{jobs.OrderAccepted: " ACCEPTED", jobs.OrderDeclined: " DECLINED"}[c.Status]
	out.Headline = []string{
		fmt.Sprintf("Change %d of quote %s%s: %s %s with tax, %s.", c.No, p.Quote, verb, cur, cur.Print(c.Gross), laterText(c.Days)),
		fmt.Sprintf("%s, asked by %s on %s.", c.What, c.AskedBy, longDay(c.Asked)),
		fmt.Sprintf("Cost %s and margin %s: net %s, tax %s %% %s. New total %s %s with tax, %s without this change.", cur.Print(c.Cost), cur.Print(c.Net.Sub(c.Cost)), cur.Print(c.Net), p.TaxPercent, cur.Print(c.Tax), cur, cur.Print(p.After), cur.Print(p.Before))}
	type line = jobs.QuoteLine
	out.Add(Build(Table{Name: "change", Empty: "nothing in the quote depends on it"}, c.Lines, []Col[line]{
		{Column{Key: "what", Header: "what", Max: 34, Width: 40}, func(l line) Cell { return Text(l.What) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity, Digits: 3}, func(l line) Cell { return Quantity(l.Quantity) }},
		{Column{Key: "unit", Header: "unit"}, func(l line) Cell { return Text(l.Unit) }},
		{Column{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true}, func(l line) Cell { return Money(l.Amount) }},
		{Column{Key: "basis", Header: "basis", Max: 30, Width: 50, At: Full | Why}, func(l line) Cell { return Text(l.Basis) }},
	}))
	undo := ""
	if c.Undo.Sign() > 0 {
		undo = fmt.Sprintf("%s of the cost undoes and repeats what is done.", cur.Print(c.Undo))
	}
	if c.Status == jobs.OrderOpen {
		out.Notes = append(out.Notes, "Not accepted yet. Until then its work is charged to the shop.")
		out.Next = []string{fmt.Sprintf("quote change %s --accept %d", p.Quote, c.No), fmt.Sprintf("quote change %s --decline %d", p.Quote, c.No), fmt.Sprintf("report quote %s --change %d --customer", p.Quote, c.No)}
	}
	if undo != "" {
		out.Notes = append(out.Notes, undo)
	}
	out.Notes = append(out.Notes, c.Notes...)
	return out
}

// orderForCustomer is a change order as the customer gets it, to be accepted in
// writing before the work is done.
func orderForCustomer(r *workshop.QuoteResult) Report {
	p := r.Order
	c := p.Order
	out := forCustomer(r, fmt.Sprintf("change-%s-%d", p.Quote, c.No), fmt.Sprintf("Change %d to quote %s", c.No, p.Quote), fmt.Sprintf("For %s, asked on %s", p.Customer, c.Asked), c.Asked)
	money := func(what string, a Cell, style RowStyle) paperRow {
		return paperRow{what: what, cells: []Cell{a}, style: style}
	}
	rows := []paperRow{money(c.What, Money(c.Net), Plain)}
	if c.Undo.Sign() > 0 {
		rows = append(rows, paperRow{what: "· work that is done already is undone and done again; this is included"})
	}
	for _, x := range c.Parts {
		rows = append(rows, paperRow{what: "· included: " + x.Name})
	}
	tax := "tax"
	if !p.TaxPercent.IsZero() {
		tax = fmt.Sprintf("tax %s %%", p.TaxPercent)
	}
	rows = append(rows, money("price without tax", Money(c.Net), Sub), money(tax, Money(c.Tax), Plain), money("price of the change", Money(c.Gross), Total),
		money("total without it", Money(p.Before), Plain), money("new total with tax", Money(p.After), Sub))
	if c.Net.Sign() < 0 {
		rows = append(rows, paperRow{what: "An amount below zero is taken off what is due."})
	}
	rows = append(rows, paperRow{what: "Delivery: " + laterText(c.Days) + "."})
	switch c.Status {
	case jobs.OrderAccepted:
		rows = append(rows, paperRow{what: "Accepted on " + string(c.Decided) + "."})
	case jobs.OrderOpen:
		rows = append(rows, paperRow{what: "The work begins when this is accepted."}, paperRow{what: "Accepted: ____________________   on: ______________"})
	default:
		rows = append(rows, paperRow{what: "Not wanted; decided on " + string(c.Decided) + "."})
	}
	out.Add(paperTable(Table{Name: "change", Subtitle: out.Subject}, rows, Column{Key: "what", Header: "what", Max: 56, Width: 70}, Column{Key: "amount", Header: "amount", Unit: string(out.Currency), Kind: KindMoney}))
	return out
}

// laterText says how much later a change makes a neck.
func laterText(days int) string {
	switch {
	case days <= 0:
		return "no later"
	case days == 1:
		return "about a day later"
	}
	return fmt.Sprintf("about %d days later", days)
}
