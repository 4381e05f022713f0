package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// PartAdded is the echo of a new part.
func PartAdded(r *workshop.PartResult) Report { return partEcho("ADDED", r) }

// PartChanged is the echo of a part that was changed.
func PartChanged(r *workshop.PartResult) Report { return partEcho("CHANGED", r) }

// PartDropped is the echo of a part that was removed.
func PartDropped(r *workshop.PartResult) Report {
	return Report{Name: "part", Headline: []string{fmt.Sprintf("REMOVED part %d: %s for %s.", r.ID, r.PartRow.Name, r.For)}}
}

func partEcho(word string, r *workshop.PartResult) Report {
	line := fmt.Sprintf("%s part %d: %d x %s for %s, %s, %s.", word, r.ID, r.Quantity, r.PartRow.Name, r.For, amount(r.Currency, r.Cost), r.Where)
	if r.Part.Returned == "" && r.ReturnableUntil != "" {
		line += fmt.Sprintf(" Can go back until %s.", longDay(r.ReturnableUntil))
	}
	lines := []string{line}
	switch r.State {
	case jobs.PartToOrder:
		lines = append(lines, fmt.Sprintf("Ordered? Type: part set %d --ordered today. Here already? Type: part set %d --here", r.ID, r.ID))
	case jobs.PartOrdered, jobs.PartOverdue:
		lines = append(lines, fmt.Sprintf("When it comes, type: part set %d --here", r.ID))
	}
	return Report{Name: "part", Headline: lines}
}

// FreightShared is the echo of the freight of a delivery.
func FreightShared(r *workshop.PartFreightResult) Report {
	out := Report{Name: "freight", Headline: []string{fmt.Sprintf("CHANGED %s: %s of freight shared by price.", jobs.CountText(len(r.Parts), "part"), amount(r.Currency, r.Freight))}}
	for _, p := range r.Parts {
		out.Headline = append(out.Headline, fmt.Sprintf("Part %d, %s: %s of it.", p.ID, p.Name, amount(r.Currency, p.Freight)))
	}
	return out
}

// PartList lists parts with what they cost and where they are.
func PartList(r *workshop.PartListResult) Report {
	out := Of(r, "parts", "Parts you buy")
	var waiting []string
	count := map[jobs.PartState]int{}
	for _, p := range r.Parts {
		count[p.State]++
	}
	for _, s := range []jobs.PartState{jobs.PartOverdue, jobs.PartToOrder, jobs.PartOrdered} {
		if count[s] > 0 {
			waiting = append(waiting, fmt.Sprintf("%d %s", count[s], s))
		}
	}
	out.Headline = []string{"No part is on record."}
	if len(r.Parts) > 0 {
		out.Headline = []string{fmt.Sprintf("%s, %s.", jobs.CountText(len(r.Parts), "part"), amount(r.Currency, r.Total))}
		if len(waiting) > 0 {
			out.Headline[0] = fmt.Sprintf("%s, %s: %s.", jobs.CountText(len(r.Parts), "part"), amount(r.Currency, r.Total), strings.Join(waiting, ", "))
		}
		out.Add(partTable(Table{Name: "parts"}, r.Parts))
	}
	for _, p := range r.GoBack {
		out.Notes = append(out.Notes, fmt.Sprintf("%s (part %d) can go back until %s.", p.Name, p.ID, longDay(p.ReturnableUntil)))
	}
	for _, p := range r.Parts {
		if p.State == jobs.PartToOrder && len(out.Next) == 0 {
			out.Next = []string{fmt.Sprintf("part set %d --ordered today", p.ID)}
		}
	}
	return out
}

func partTable(t Table, rows []workshop.PartRow) Table {
	type p = workshop.PartRow
	return Build(t, rows, []Col[p]{
		{Column{Key: "part", Header: "part"}, func(x p) Cell { return Text(fmt.Sprint(x.ID)) }},
		{Column{Key: "for", Header: "for", Max: 12}, func(x p) Cell { return Text(x.For) }},
		{Column{Key: "name", Header: "what", Max: 20}, func(x p) Cell { return Text(x.Name) }},
		{Column{Key: "quantity", Header: "number", Kind: KindCount}, func(x p) Cell { return Count(x.Quantity) }},
		{Column{Key: "cost", Header: "cost", Kind: KindMoney, Sum: true}, func(x p) Cell { return Money(x.Cost) }},
		{Column{Key: "where", Header: "where", Max: 20}, func(x p) Cell { return Text(x.Where).When(x.State == jobs.PartOverdue, Careful) }},
		{Column{Key: "returnable_until", Header: "back by", Kind: KindDate}, func(x p) Cell {
			if x.Part.Returned != "" {
				return Empty()
			}
			return dayOrNone(x.ReturnableUntil)
		}},
	})
}
