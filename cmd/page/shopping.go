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
		kind, subject, two := strings.Cut(it.Code, " ")
		if !two {
			kind, subject = "supply", it.Code
		}
		b := html.Buy{What: it.What, Quantity: strings.TrimSpace(it.Quantity.String() + " " + it.Unit), By: shortDay(it.OrderBy, list.Made), Why: it.Reason, Supplier: it.Supplier,
			Kind: kind, Subject: url.PathEscape(subject), Ordered: it.Ordered != ""}
		if whom := forWhom(it.For); whom != "" {
			b.Why += ", " + whom
		}
		if it.Ordered != "" {
			b.By, b.Why = "", "ordered"
			if it.Arrives != "" {
				b.Why += ", expected " + shortDay(it.Arrives, list.Made)
			}
		}
		if desk && !it.Cost.IsZero() {
			b.Cost, b.Price = reports.Price(list.Currency, it.Cost), reports.Fixed(list.Currency, it.Cost)
		}
		b.Form = q.form("/shopping/" + it.Code)
		b.Kind, b.Subject = url.PathEscape(it.Code), ""
		x.Items = append(x.Items, b)
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
		return &jobs.Refusal{Class: jobs.Conflict, What: "NOT ADDED", Why: "a bit needs its size and its price", Type: []string{"bit add S10-2 --diameter 10 --point brad --keep show --price 14.00"}}
	}
	list, err := do[*workshop.ShoppingResult](q, workshop.Shopping, &workshop.ShoppingAsk{})
	if err != nil {
		return err
	}
	for _, it := range list.Items {
		if it.Code != code {
			continue
		}
		ask := &workshop.SupplyReceiveAsk{Supply: code, Quantity: it.Quantity.String()}
		price := it.Cost
		if p := q.value("price"); p != "" && q.device.Kind == Desk {
			if price, err = money.Parse(p); err != nil {
				return &jobs.FieldError{Field: "price", Value: p, Want: "an amount such as 12.50"}
			}
		}
		ask.Price = &price
		return q.change(workshop.SupplyReceive, ask, "/shopping")
	}
	return &jobs.NotFoundError{Noun: "item of the list", Value: code}
}
