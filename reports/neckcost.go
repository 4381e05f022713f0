package reports

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// costColumns are the columns of a cost sheet. Minutes and rate are live: who
// changes the labour rate of the sheet sees what the neck would cost.
func costColumns(cur money.Currency) []Column {
	return []Column{
		{Key: "group", Header: "group"},
		{Key: "what", Header: "what", Max: 24},
		{Key: "minutes", Header: "took", Unit: "min", Kind: KindMinutes},
		{Key: "quantity", Header: "quantity", Kind: KindQuantity, Digits: 3, SheetOnly: true},
		{Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "rate", Header: "rate", Unit: string(cur), Kind: KindMoney, SheetOnly: true, Digits: int(cur.Scale()) + 2},
		{Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true},
		{Key: "marks", Header: "flag", Max: 10},
		{Key: "basis", Header: "from", Max: 26, Width: 44},
	}
}

// CostTables are the cost sheet of a neck: its lines, its groups and the hours
// by operation. Put CostInputs among the inputs of the report that holds them.
func CostTables(c quote.NeckCost, rates quote.RateCard) []Table {
	lines := Table{Name: "cost", Title: "What it has cost", Columns: costColumns(rates.Currency), Empty: "nothing has been logged or used yet"}
	for _, l := range c.Lines {
		minutes, quantity, rate, amount := Empty(), Empty(), Empty(), Money(l.Amount)
		if l.Seconds > 0 {
			minutes = Minutes(l.Span())
		}
		if !l.Quantity.IsZero() {
			quantity = Quantity(l.Quantity)
		}
		if !l.Rate.IsZero() {
			rate = Money(l.Rate)
		}
		if l.Seconds > 0 {
			rate = Money(l.Rate).Live(liveRate(l, rates))
			amount = amount.Live(fmt.Sprintf("ROUND({minutes}/60*{rate},%d)", rates.Currency.Scale()))
		}
		marks := Text(strings.Join(l.Marks, ", "))
		if len(l.Marks) > 0 {
			marks = marks.In(Careful)
		}
		lines.AddKey(strings.Map(keyRune, l.Key), Text(string(l.Group)), Text(l.What), minutes, quantity, Text(unitWord(l)), rate, amount, marks, Text(l.Basis))
	}
	for _, w := range c.Warnings {
		lines.Note("%s", w)
	}
	if !c.Assumed.IsZero() {
		lines.Note("%s of it is on lines with something assumed or estimated. See the flags.", rates.Currency.Print(c.Assumed))
	}
	if !c.CustomerPays.IsZero() {
		lines.Note("%s of the rework is for the customer to pay.", rates.Currency.Print(c.CustomerPays))
	}
	if c.Replacement.Cmp(c.Total) != 0 {
		lines.Note("With gifts at what they would cost to buy: %s.", rates.Currency.Print(c.Replacement))
	}
	if s := c.Scrap; s != nil {
		lines.Note("Scrapped%s: %s spent, %s back in stock, %s lost.", afterText(s), rates.Currency.Print(s.Sunk), rates.Currency.Print(s.Salvaged), rates.Currency.Print(s.Loss))
	}
	tables := []Table{costGroups(c, rates.Currency), lines}
	if len(c.Operations) > 0 {
		tables = append(tables, costOperations(c))
	}
	return tables
}

func afterText(s *quote.Scrap) string {
	text := ""
	if s.Stage != "" {
		text += " after " + s.Stage
	}
	if s.Why != "" {
		text += " (" + s.Why + ")"
	}
	return text
}

// keyRune keeps what a row name may hold.
func keyRune(r rune) rune {
	if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' {
		return r
	}
	return '_'
}

func unitWord(l quote.CostLine) string {
	if l.Seconds > 0 {
		return ""
	}
	return l.Unit
}

// liveRate ties a line to the inputs where it is at the shop's own rates.
func liveRate(l quote.CostLine, rates quote.RateCard) string {
	switch {
	case l.Group == quote.GroupOverhead:
		return "overhead_rate"
	case l.Group == quote.GroupLabour && l.Rate.Cmp(rates.Labour) == 0:
		return "labour_rate"
	case l.Group == quote.GroupRework && l.Rate.Cmp(rates.Labour.Add(rates.Overhead)) == 0:
		return "labour_rate+overhead_rate"
	}
	return ""
}

// CostInputs are the rates that a person may change in the workbook.
func CostInputs(rates quote.RateCard) []Input {
	digits := int(rates.Currency.Scale())
	return []Input{
		{Name: "labour_rate", Label: "labour", Unit: string(rates.Currency) + "/h", Value: Money(rates.Labour), Digits: digits, Basis: "shop setting labour"},
		{Name: "overhead_rate", Label: "overhead", Unit: string(rates.Currency) + "/h", Value: Money(rates.Overhead), Digits: digits, Basis: "shop setting overhead, per logged bench hour"},
	}
}

func costGroups(c quote.NeckCost, cur money.Currency) Table {
	t := Table{Name: "groups", Title: "Cost by group", Columns: []Column{
		{Key: "group", Header: "group"}, {Key: "amount", Header: "amount", Unit: string(cur), Kind: KindMoney, Sum: true}, {Key: "how", Header: "how", Max: 48, Width: 60},
	}}
	how := map[quote.CostGroup]string{
		quote.GroupLabour:   "first time and decisions",
		quote.GroupOverhead: "charged for the same hours",
		quote.GroupSupplies: "by lot, the oldest first. Pieces of wood at their own price",
		quote.GroupBits:     "price of a new edge x part of its expected life",
		quote.GroupParts:    "price, freight, tax that does not come back",
		quote.GroupRework:   "work done again, with its overhead and supplies",
	}
	for _, g := range quote.CostGroups() {
		note := how[g]
		if g == quote.GroupLabour && !c.Decisions.IsZero() {
			note += " (decisions " + cur.Print(c.Decisions) + ")"
		}
		t.AddKey(string(g), Text(string(g)), Money(c.Group(g)).Live("SUMIF({cost/group:},{group},{cost/amount:})"), Text(note))
	}
	return t
}

func costOperations(c quote.NeckCost) Table {
	t := Table{Name: "hours", Title: "Hours by operation", Columns: []Column{
		{Key: "operation", Header: "operation", Max: 24}, {Key: "class", Header: "class"}, {Key: "minutes", Header: "took", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "assumed_min", Header: "assumed", Unit: "min", Kind: KindMinutes, Sum: true},
	}}
	for _, k := range c.Operations {
		class := string(k.Class)
		if k.Class == jobs.First {
			class = "first time"
		}
		t.Add(Text(k.Operation), Text(class), MinutesOf(k.Minutes), MinutesOf(k.Assumed))
	}
	return t
}
