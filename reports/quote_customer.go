package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// QuoteCustomer is what a customer gets: a file of its own, in plain words,
// without hours, margins or hidden sheets.
func QuoteCustomer(s quote.CustomerSheet, shop jobs.Shop) Report {
	title := fmt.Sprintf("Quote %s", s.Quote)
	if s.Revision > 1 {
		title += fmt.Sprintf(", revision %d", s.Revision)
	}
	if s.Draft {
		title += " (draft, not an offer yet)"
	}
	cur := s.Currency
	subject := fmt.Sprintf("For %s, %s, valid until %s", s.For, s.Date, s.Until)
	if s.Shop != "" {
		subject = s.Shop + " · " + subject
	}
	r := Report{Name: "offer-" + s.Quote, Title: title, Subject: subject, Currency: cur, Paper: Paper(shop.Paper), Zone: shop.Location(), Made: s.Date.Noon(), Shop: s.Shop, ForCustomer: true}
	t := Table{Name: "offer", Subtitle: subject, Columns: []Column{{Key: "what", Header: "what", Max: 56, Width: 70}, {Key: "quantity", Header: "number", Kind: KindCount}, {Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney}}}
	heading := func(text string) { t.Rows = append(t.Rows, Row{Style: Group, Cells: []Cell{Text(text)}}) }
	for _, l := range s.Lines {
		t.Add(Text(l.What), Count(l.Quantity), Money(l.Net))
	}
	for _, spec := range s.Spec {
		t.Add(Text("· " + spec))
	}
	tax := "tax"
	if !s.TaxPercent.IsZero() {
		tax = fmt.Sprintf("tax %s %%", s.TaxPercent)
	}
	t.Rows = append(t.Rows, Row{Style: Sub, Cells: []Cell{Text("price without tax"), Empty(), Money(s.Net)}})
	t.Add(Text(tax), Empty(), Money(s.Tax))
	t.Rows = append(t.Rows, Row{Style: Total, Cells: []Cell{Text("price"), Empty(), Money(s.Gross)}})
	heading("Payment")
	for _, st := range s.Stages {
		t.Add(Text(st.When), Empty(), Money(st.Amount))
	}
	heading("Terms")
	for _, w := range s.Wording {
		t.Add(Text(w))
	}
	for _, x := range s.Exclusions {
		t.Add(Text("Not included: " + x))
	}
	r.Sections = Sections(t)
	return r
}

// QuoteRow is a quote in a list.
type QuoteRow struct {
	Quote    string       `json:"quote"`
	Revision int          `json:"revision"`
	Status   quote.Status `json:"status"`
	Customer string       `json:"for"`
	Title    string       `json:"title,omitempty"`
	Net      money.Amount `json:"net"`
	Gross    money.Amount `json:"gross"`
	Safe     jobs.Day     `json:"safe"`
	Until    jobs.Day     `json:"valid_until,omitempty"`
	Expired  bool         `json:"expired,omitempty"`
	Necks    []string     `json:"necks,omitempty"`
	Promised jobs.Day     `json:"promised,omitempty"` // of an accepted quote
}

// QuoteList lists quotes.
func QuoteList(rows []QuoteRow, shop jobs.Shop) Report {
	t := Table{Name: "quotes", Title: "Quotes", Empty: `no quote yet: quote draft Q1 --for "..." --quantity holes=6 --margin 25`, Columns: []Column{
		{Key: "quote", Header: "quote"}, {Key: "revision", Header: "rev", Kind: KindCount}, {Key: "status", Header: "status"}, {Key: "for", Header: "for", Max: 18}, {Key: "gross", Header: "with tax", Unit: string(shop.Currency), Kind: KindMoney},
		{Key: "safe", Header: "date", Kind: KindDate}, {Key: "until", Header: "valid until", Kind: KindDate}, {Key: "necks", Header: "necks", Max: 10},
	}}
	agreed := false
	for _, q := range rows {
		necks := ""
		for i, n := range q.Necks {
			if i > 0 {
				necks += ", "
			}
			necks += n
		}
		status, date := Text(string(q.Status)), q.Safe
		if q.Promised != "" {
			date, agreed = q.Promised, true
		}
		if q.Expired {
			status = Text(string(q.Status) + ", expired").In(Careful)
		}
		t.Add(Text(q.Quote), Count(q.Revision), status, Text(q.Customer), Money(q.Gross), Day(string(date)), Day(string(q.Until)), Text(necks))
	}
	if agreed {
		t.Note("date: the safe one; of an accepted quote the one that is promised now")
	}
	return Report{Name: "quotes", Title: "Quotes", Sections: Sections(t), Currency: shop.Currency, Zone: shop.Location(), Shop: shop.Name}
}
