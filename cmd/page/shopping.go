package page

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

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
		if it.For != "" && it.For != "stock" {
			b.Why += ", for " + it.For
		}
		if it.Ordered != "" {
			b.By, b.Why = "", "ordered, expected "+shortDay(it.Arrives, list.Made)
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

// weekScreen shows this week's seven evenings.
func (q *request) weekScreen() error {
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return q.noShop(err)
	}
	list, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{})
	if err != nil {
		return err
	}
	zone := now.Location()
	at := now.Made.In(zone)
	today := jobs.DayOf(at)
	first := today.Add(-(int(at.Weekday()) + 6) % 7)
	var x html.Week
	for i := range 7 {
		day := first.Add(i)
		d := html.WeekDay{Day: day.Noon().Format("Mon 2 Jan"), Today: day == today, Path: "/do/evening/show?date=" + string(day)}
		if q.device.Kind != Desk {
			d.Path = "/week"
		}
		show, err := do[*workshop.EveningResult](q, workshop.EveningShow, &workshop.EveningAsk{Evening: day})
		if err == nil {
			y, m, dd := day.Noon().Date()
			from := time.Date(y, m, dd, 17, 0, 0, 0, zone)
			until := from.Add(6 * time.Hour)
			for _, e := range show.Entries {
				if !e.Spent && e.From.Before(from) {
					from = e.From.In(zone)
				}
			}
			rule := ruleOf(show.Entries, from, until, at)
			if day != today {
				rule.Now = -1
			}
			d.Rule = rule
			if len(show.Entries) > 0 {
				d.Text = jobs.CountText(len(show.Entries), "entry")
				if len(show.Entries) > 1 {
					d.Text = fmt.Sprintf("%d entries", len(show.Entries))
				}
			} else if show.Planned != "" {
				d.Text = "planned " + show.Planned
			}
		}
		for _, c := range now.Cures {
			if jobs.DayOf(c.Until) == day {
				d.Flags = append(d.Flags, fmt.Sprintf("%s %s cured %s", c.Operation, c.Name, c.Until.Format("15:04")))
			}
		}
		for _, n := range list.Necks {
			if n.Due == day {
				d.Flags = append(d.Flags, n.Name()+" is due")
			}
		}
		x.Days = append(x.Days, d)
	}
	return q.show(http.StatusOK, html.Frame{Title: "week", Tab: "more", Screen: x})
}
