package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

func (q *request) shoppingScreen() error {
	list, err := do[*workshop.ShoppingResult](q, workshop.Shopping, &workshop.ShoppingAsk{})
	if err != nil {
		return q.noShop(err)
	}
	desk := q.device.Kind == Desk
	x := html.Shopping{Headline: list.Headline, Desk: desk}
	for _, it := range list.Items {
		b := html.Buy{What: it.What, Quantity: strings.TrimSpace(it.Quantity.String() + " " + it.Unit), By: shortDay(it.OrderBy, list.Made), Why: it.Reason, Supplier: it.Supplier, Count: it.Quantity.String(),
			Path: "/shopping/" + url.PathEscape(it.Code), Form: q.form("/shopping/" + it.Code), Ordered: it.Ordered != ""}
		if whom := forWhom(it.For); whom != "" {
			b.Why += ", " + whom
		}
		if desk && !it.Cost.IsZero() {
			b.Cost, b.Price = reports.Price(list.Currency, it.Cost), reports.Fixed(list.Currency, it.Cost)
		}
		x.Items = append(x.Items, b)
	}
	for _, lot := range list.UseUp {
		x.UseUp = append(x.UseUp, reports.UseUpLine(lot))
	}
	if len(x.Items) == 0 {
		x.Headline = "shopping list"
		x.Empty = "Nothing to buy."
		if list.Later != "" {
			x.Empty = "Nothing to buy before " + shortDay(list.Later, list.Made) + "."
		}
	}
	if !desk {
		x.Headline = "shopping list"
	}
	return q.show(http.StatusOK, html.Frame{Title: "shopping list", Tab: "more", Screen: x})
}

// forWhom says for which neck an item of the list is; empty for the shop's stock.
func forWhom(what string) string {
	if what == "" || what == "stock" {
		return ""
	}
	return "for " + what
}

// shoppingTap ticks an item off: it is ordered, or it is here.
func (q *request) shoppingTap() error {
	code := q.r.PathValue("what")
	if q.value("what") == "ordered" {
		return q.change(workshop.ShoppingOrder, &workshop.ShoppingOrderAsk{What: code}, "/shopping")
	}
	kind, subject, two := strings.Cut(code, " ")
	switch {
	case two && kind == "part":
		id, err := strconv.ParseUint(subject, 10, 64)
		if err != nil {
			return &jobs.NotFoundError{Noun: "part", Value: subject}
		}
		ask := &workshop.PartSetAsk{Part: id}
		ask.Here = true
		return q.change(workshop.PartSet, ask, "/shopping")
	case two:
		return q.newBit(subject)
	}
	ask := &workshop.SupplyReceiveAsk{Supply: code, Quantity: q.value("quantity")}
	price, err := q.paid(code)
	if err != nil {
		return err
	}
	ask.Price = price
	return q.change(workshop.SupplyReceive, ask, "/shopping")
}

// paid is what a supply cost: as a desk typed it, else at the last price. Nil where there
// is none on record.
func (q *request) paid(code string) (*money.Amount, error) {
	if p := q.value("price"); p != "" && q.device.Kind == Desk {
		price, err := money.Parse(p)
		if err != nil {
			return nil, &jobs.FieldError{Field: "price", Value: p, Want: "an amount such as 12.50"}
		}
		return &price, nil
	}
	list, err := do[*workshop.ShoppingResult](q, workshop.Shopping, &workshop.ShoppingAsk{})
	if err != nil {
		return nil, err
	}
	for _, it := range list.Items {
		if it.Code == code && !it.Cost.IsZero() {
			return &it.Cost, nil
		}
	}
	return nil, nil
}

// newBit leads to the form of a new bit with the facts of the one it replaces: its
// number is typed. A bench device has no forms.
func (q *request) newBit(code string) error {
	r, err := do[*workshop.BitShowResult](q, workshop.BitShow, &workshop.BitShowAsk{Bit: code})
	if err != nil {
		return err
	}
	if q.device.Kind != Desk {
		return &jobs.Refusal{Class: jobs.Conflict, What: "NOT ADDED", Why: "a new bit needs a number, a diameter and a point. Type them on a desk device, or in the terminal"}
	}
	facts := url.Values{"diameter": {r.Record.DiameterText}, "point": {string(r.Record.Point)}, "material": {string(r.Record.Material)}, "keep": {string(jobs.KeepShow)}}
	http.Redirect(q.w, q.r, "/do/bit/add?"+facts.Encode(), http.StatusSeeOther)
	return nil
}
