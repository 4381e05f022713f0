package reports

import (
	"fmt"
	"slices"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// ShoppingSheet is the list for the pocket: by supplier, a box each, what and why, how
// much, and by when.
func ShoppingSheet(r *workshop.ShoppingResult) Report {
	out := Of(r, "shopping-list", "To buy")
	out.flow(sheet{what: "shopping list", half: true, left: 11.5, right: 11.5}, func(p *pen, page int) float64 {
		if page > 0 {
			return 24
		}
		y := 24.0
		p.text(0, 20, "To buy", draw.Type{Points: 28, Bold: true})
		p.text(p.room, 20, r.Made.In(out.Location()).Format("Monday 2 January 2006"), draw.Type{Points: 9, Ink: draw.Grey, Anchor: draw.End})
		for _, l := range draw.Lines(p.s, r.Headline, draw.Type{Points: 10}, p.room) {
			p.text(0, y+3, l, draw.Type{Points: 10})
			y += 4.6
		}
		return y + 3
	}, func(*pen) []block {
		also := block{high: 40, draw: func(p *pen, y float64) {
			p.text(0, y+6, "Also", draw.Type{Points: 10, Bold: true, Ink: draw.Brown})
			for n := range 4 {
				p.rule(y+16+8*float64(n), draw.Rule, 0.3)
			}
		}}
		return append(shoppingRows(r), also)
	})
	return out
}

func shoppingRows(r *workshop.ShoppingResult) (rows []block) {
	head := func(words, more string) {
		rows = append(rows, block{high: 9, draw: func(p *pen, y float64) {
			p.fit(0, y+6, p.room*0.6, words, draw.Type{Points: 10, Bold: true, Ink: draw.Brown})
			p.text(p.room, y+6, more, draw.Type{Points: 9, Ink: draw.Grey, Anchor: draw.End})
			p.rule(y+7.5, draw.Black, 0.35)
		}})
	}
	item := func(x stock.Item, when string) {
		rows = append(rows, block{high: 11.5, draw: func(p *pen, y float64) {
			p.tick(0, y+1.5, 4.2, false)
			right := draw.Type{Points: 10, Anchor: draw.End}
			p.fit(8, y+5, 62, x.What, draw.Type{Points: 10.5, Bold: true})
			p.text(92, y+5, muchText(x), right)
			p.text(110, y+5, when, right)
			if !x.Cost.IsZero() {
				p.text(p.room, y+5, Fixed(r.Currency, x.Cost), right)
			}
			p.fit(8, y+9.4, p.room-8, x.Reason+forWhom(x), draw.Type{Points: 9, Ink: draw.Grey})
			p.rule(y+11, draw.Hair, 0.3)
		}})
	}
	by := map[string][]stock.Item{}
	var coming []stock.Item
	for _, x := range r.Items {
		if x.OrderBy == "" {
			coming = append(coming, x)
			continue
		}
		by[x.Supplier] = append(by[x.Supplier], x)
	}
	suppliers := jobs.SortedKeys(by)
	if i := slices.Index(suppliers, ""); i >= 0 {
		suppliers = append(slices.Delete(suppliers, i, i+1), "")
	}
	for _, s := range suppliers {
		name := s
		if name == "" {
			name = "Anywhere"
		}
		head(name, "how much, order by, "+r.Currency)
		for _, x := range by[s] {
			item(x, shortOn(x.OrderBy))
		}
	}
	if len(coming) > 0 {
		head("On its way", "how much, comes")
		for _, x := range coming {
			when := shortOn(x.Arrives)
			if x.Overdue > 0 {
				when = fmt.Sprintf("late %d d", x.Overdue)
			}
			item(x, when)
		}
	}
	if len(r.UseUp) > 0 {
		head("Use up first", "left, good through")
	}
	for _, x := range r.UseUp {
		rows = append(rows, block{high: 7, draw: func(p *pen, y float64) {
			p.tick(0, y+1.2, 4.2, false)
			p.fit(8, y+5, 60, fmt.Sprintf("%s, lot %d", x.Supply, x.Lot), draw.Type{Points: 10.5, Bold: true})
			right := draw.Type{Points: 10, Anchor: draw.End}
			p.text(92, y+5, fmt.Sprintf("%s %s", x.Left, x.Unit), right)
			p.text(p.room, y+5, longDay(x.Last), right)
			p.rule(y+6.6, draw.Hair, 0.3)
		}})
	}
	if len(rows) == 0 {
		rows = append(rows, block{high: 8, draw: func(p *pen, y float64) { p.text(0, y+5, "Nothing to buy.", draw.Type{Points: 12}) }})
	}
	return rows
}

func forWhom(x stock.Item) string {
	if x.For == "" {
		return ""
	}
	return ", for " + x.For
}

// shortOn prints a day without its year.
func shortOn(d jobs.Day) string {
	if d == "" {
		return ""
	}
	return d.Noon().Format("2 Jan")
}
