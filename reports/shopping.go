package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Shopping is what to order by when, by supplier, then what is on its way and what
// to use up first.
func Shopping(r *workshop.ShoppingResult) Report {
	out := Of(r, "shopping", "Shopping list")
	out.Headline = []string{r.Headline}
	var order, coming []stock.Item
	for _, x := range r.Items {
		if x.OrderBy != "" {
			order = append(order, x)
		} else {
			coming = append(coming, x)
		}
	}
	if len(order) > 0 {
		first := slices.MinFunc(order, func(a, b stock.Item) int { return cmp.Compare(a.OrderBy, b.OrderBy) })
		out.Next = append(out.Next, first.Type)
		out.Add(orderTable(order, r))
	}
	if len(order) > 0 {
		why := make([]string, len(order))
		for i, x := range order {
			why[i] = fmt.Sprintf("%s for %s: %s.", x.What, x.For, x.Reason)
		}
		out.Sections = append(out.Sections, Section{At: Why | Full, Title: "Why", Notes: why})
	}
	if len(coming) > 0 {
		out.Next = append(out.Next, coming[0].Type)
		out.Add(comingTable(coming))
	}
	for _, x := range r.UseUp {
		out.Notes = append(out.Notes, "Use up first: "+UseUpLine(x)+".")
	}
	return out
}

// UseUpLine is a lot that ends soon, with what is left of it.
func UseUpLine(x workshop.UseUp) string {
	verb := "good through"
	if x.Past {
		verb = "expired, last good day"
	}
	return fmt.Sprintf("%s lot %d, %s %s left, %s %s", x.Supply, x.Lot, x.Left, x.Unit, verb, x.Last.Noon().Format("2 Jan 2006"))
}

// muchText is a quantity with its unit: "250 ml", "1".
func muchText(x stock.Item) string {
	return strings.TrimSuffix(x.Quantity.String()+" "+x.Unit, " "+string(jobs.UnitPiece))
}

func orderTable(items []stock.Item, r *workshop.ShoppingResult) Table {
	type item = stock.Item
	today := string(jobs.DayOf(r.Made))
	return Build(Table{Name: "order", Title: "To order"}, items, []Col[item]{
		{Column{Key: "supplier", Header: "from", Max: 12}, func(x item) Cell { return Text(cmp.Or(x.Supplier, "anywhere")) }},
		{Column{Key: "what", Header: "what", Max: 18}, func(x item) Cell { return Text(x.What) }},
		{Column{Key: "for", Header: "for", Max: 10}, func(x item) Cell { return Text(x.For) }},
		{Column{Key: "much", Header: "how much"}, func(x item) Cell { return Text(muchText(x)) }},
		{Column{Key: "order_by", Header: "order by", Kind: KindDate}, func(x item) Cell { return Day(string(x.OrderBy)).When(string(x.OrderBy) <= today, Careful) }},
		{Column{Key: "cost", Header: "about", Unit: r.Currency, Kind: KindMoney, Sum: true}, func(x item) Cell {
			if x.Cost.IsZero() {
				return NotRecorded()
			}
			return Money(x.Cost)
		}},
		{Column{Key: "delivery_days", Header: "delivery", Unit: "days", Kind: KindCount, SheetOnly: true}, func(x item) Cell { return Count(x.Days) }},
		{Column{Key: "reason", Header: "why", SheetOnly: true, Width: 50}, func(x item) Cell { return Text(x.Reason) }},
		{Column{Key: "type", Header: "tick off", SheetOnly: true, Width: 40}, func(x item) Cell { return Text(x.Type) }},
	})
}

func comingTable(items []stock.Item) Table {
	type item = stock.Item
	return Build(Table{Name: "coming", Title: "On its way"}, items, []Col[item]{
		{Column{Key: "supplier", Header: "from", Max: 12}, func(x item) Cell { return Text(cmp.Or(x.Supplier, "anywhere")) }},
		{Column{Key: "what", Header: "what", Max: 18}, func(x item) Cell { return Text(x.What) }},
		{Column{Key: "for", Header: "for", Max: 10}, func(x item) Cell { return Text(x.For) }},
		{Column{Key: "much", Header: "how much"}, func(x item) Cell { return Text(muchText(x)) }},
		{Column{Key: "when", Header: "when"}, func(x item) Cell { return Text(x.Reason).When(x.Overdue > 0, Bad) }},
		{Column{Key: "type", Header: "when it comes", SheetOnly: true, Width: 40}, func(x item) Cell { return Text(x.Type) }},
	})
}

// ShoppingOrdered is the echo of an item that was ordered.
func ShoppingOrdered(r *workshop.ShoppingOrdered) Report {
	line := "ORDERED " + r.What
	if r.For != "" && r.For != "stock" {
		line += " for " + r.For
	}
	line += ", " + muchText(r.Item)
	if r.Supplier != "" {
		line += ", from " + r.Supplier
	}
	if r.Arrives != "" {
		line += ", expected " + r.Arrives.Noon().Format("2 Jan 2006")
	}
	out := Report{Name: "shopping", Headline: []string{line + "."}}
	if r.Type != "" {
		out.Headline = append(out.Headline, "When it comes, type: "+r.Type)
	}
	return out
}
