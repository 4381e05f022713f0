package reports

import (
	"fmt"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// customerReport is the frame of a file that leaves the shop: no counting, no
// inputs, no hidden sheets.
func customerReport(name, title, subject string, shop jobs.Shop, made jobs.Day) Report {
	if shop.Name != "" {
		subject = shop.Name + " · " + subject
	}
	return Report{Name: name, Title: title, Subject: subject, Currency: shop.Currency, Paper: Paper(shop.Paper), Zone: shop.Location(), Made: made.Noon(), Shop: shop.Name, ForCustomer: true}
}

// QuoteBill is the figures for an invoice.
func QuoteBill(b quote.Bill, shop jobs.Shop) Report {
	r := customerReport("bill-"+b.Quote, "Quote "+b.Quote+": figures for the invoice", fmt.Sprintf("For %s, as of %s", b.For, b.Date), shop, b.Date)
	cur := string(b.Currency)
	t := Table{Name: "bill", Subtitle: r.Subject, Columns: []Column{{Key: "what", Header: "what", Max: 40, Width: 58}, {Key: "net", Header: "without tax", Unit: cur, Kind: KindMoney},
		{Key: "tax", Header: "tax", Unit: cur, Kind: KindMoney}, {Key: "amount", Header: "with tax", Unit: cur, Kind: KindMoney}}}
	for _, l := range b.Lines {
		t.Add(Text(l.What), Money(l.Net), Money(l.Tax), Money(l.Gross))
	}
	sum := fmt.Sprintf("total, tax at %s %%", b.TaxPercent)
	if b.TaxPercent.IsZero() {
		sum = "total"
	}
	t.Rows = append(t.Rows, Row{Style: Sub, Cells: []Cell{Text(sum), Money(b.Net), Money(b.Tax), Money(b.Gross)}})
	if b.ReceivedOn != "" {
		t.Add(Text("received with the order, "+string(b.ReceivedOn)), Empty(), Empty(), Money(b.Received.Neg()))
	}
	t.Rows = append(t.Rows, Row{Style: Total, Cells: []Cell{Text("due"), Empty(), Empty(), Money(b.Due)}})
	r.Sections = Sections(t)
	return r
}

// ChangeCustomer is a change order as the customer gets it, to be agreed in
// writing before the work is done.
func ChangeCustomer(q quote.Quote, c quote.ChangeOrder, shop jobs.Shop) Report {
	r := customerReport(fmt.Sprintf("change-%s-%d", q.Code, c.No), fmt.Sprintf("Change %d to quote %s", c.No, q.Code), fmt.Sprintf("For %s, asked on %s", q.Customer, c.Asked), shop, c.Asked)
	t := Table{Name: "change", Subtitle: r.Subject, Columns: []Column{{Key: "what", Header: "what", Max: 56, Width: 70}, {Key: "amount", Header: "amount", Unit: string(shop.Currency), Kind: KindMoney}}}
	t.Add(Text(c.What), Money(c.Net))
	if c.Undo.Sign() > 0 {
		t.Add(Text("· work that is done already is undone and done again; this is included"))
	}
	for _, p := range c.Parts {
		t.Add(Text("· included: " + p.Name))
	}
	t.Rows = append(t.Rows, Row{Style: Sub, Cells: []Cell{Text("price without tax"), Money(c.Net)}})
	t.Add(Text("tax"), Money(c.Tax))
	t.Rows = append(t.Rows, Row{Style: Total, Cells: []Cell{Text("price of the change"), Money(c.Gross)}})
	if c.Net.Sign() < 0 {
		t.Add(Text("An amount below zero is taken off what is due."))
	}
	t.Add(Text("Delivery: " + laterText(c.Days) + "."))
	switch c.Status {
	case quote.ChangeAgreed:
		t.Add(Text("Agreed on " + string(c.Decided) + "."))
	case quote.ChangeUnagreed:
		t.Add(Text("The work begins when this is agreed."))
		t.Add(Text("Agreed: ____________________   on: ______________"))
	default:
		t.Add(Text("Not wanted; decided on " + string(c.Decided) + "."))
	}
	r.Sections = Sections(t)
	return r
}
