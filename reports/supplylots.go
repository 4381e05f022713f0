package reports

import (
	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// lotLine is a lot of a supply, or what was used beyond every lot (owed).
type lotLine struct {
	stock.LotState
	supply jobs.Supply
	owed   bool
}

// lotLines gives the lots of a supply in the order in which they are used up,
// then what is owed. leftOnly leaves out those used up.
func lotLines(l stock.SupplyLedger, leftOnly bool) []lotLine {
	var out []lotLine
	for _, x := range l.Lots {
		if !leftOnly || x.Left.Sign() != 0 {
			out = append(out, lotLine{LotState: x, supply: l.Supply})
		}
	}
	owed := lotLine{supply: l.Supply, owed: true}
	for _, is := range l.Issues {
		owed.Left, owed.Value = owed.Left.Plus(is.Short), owed.Value.Add(is.ShortValue)
	}
	if owed.Left.Sign() != 0 {
		owed.Left, owed.Value = money.Qty{Decimal: owed.Left.Neg()}, owed.Value.Neg()
		out = append(out, owed)
	}
	return out
}

func (x lotLine) name() string {
	switch {
	case x.owed:
		return "owed"
	case x.Found != 0:
		return "found"
	}
	return itoa(x.ID)
}

func (x lotLine) source() string {
	if x.owed {
		return "used beyond the stock"
	}
	return string(x.Source)
}

// lotTable lists lots; named says whose they are, where they are of several
// supplies.
func lotTable(lines []lotLine, shop jobs.Shop, named bool) Table {
	t := Table{Name: "lots", Title: "Value on hand by lot", Empty: "no lot has been received"}
	for _, x := range lines {
		if x.Expired && x.Left.Sign() > 0 {
			t.Note("%s lot %s: expired; the remainder of %s %s (%s) is overhead", x.supply.Name, x.name(), x.Left, x.supply.Unit, shop.Currency.Print(x.Lost))
		}
		if x.Source == jobs.SourceGift {
			t.Note("%s lot %s: a gift; it costs nothing and keeps its replacement cost for quotes", x.supply.Name, x.name())
		}
	}
	cur := string(shop.Currency)
	of := func(get func(lotLine) Cell) func(lotLine) Cell { // what only a lot has
		return func(x lotLine) Cell {
			if x.owed {
				return Empty()
			}
			return get(x)
		}
	}
	cols := []Col[lotLine]{
		{Column{Key: "supply", Header: "supply", Max: 16}, func(x lotLine) Cell { return Text(x.supply.Name) }},
		{Column{Key: "lot", Header: "lot"}, func(x lotLine) Cell { return Text(x.name()) }},
		{Column{Key: "received", Header: "received", Kind: KindDate}, of(func(x lotLine) Cell { return Date(x.Received.In(shop.Location())) })},
		{Column{Key: "source", Header: "source", SheetOnly: true}, func(x lotLine) Cell { return Text(x.source()) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity}, of(func(x lotLine) Cell { return Quantity(x.Quantity) })},
		{Column{Key: "left", Header: "left", Kind: KindQuantity}, func(x lotLine) Cell { return Quantity(x.Left) }},
		{Column{Key: "unit", Header: "unit", SheetOnly: true}, func(x lotLine) Cell { return Text(string(x.supply.Unit)) }},
		{Column{Key: "price", Header: "price", Unit: cur, Kind: KindMoney, SheetOnly: true}, of(func(x lotLine) Cell { return Money(x.Price) })},
		{Column{Key: "unit_price", Header: "each", Unit: cur, Kind: KindMoney, Digits: int(shop.Currency.Scale()) + 2}, of(func(x lotLine) Cell { return Money(x.Unit) })},
		{Column{Key: "value", Header: "value", Unit: cur, Kind: KindMoney, Sum: true}, func(x lotLine) Cell { return Money(x.Value).When(x.owed, Bad) }},
		{Column{Key: "opened", Header: "opened", Kind: KindDate, SheetOnly: true}, func(x lotLine) Cell { return dayIn(x.Opened, shop) }},
		{Column{Key: "expires", Header: "expires", Kind: KindDate}, func(x lotLine) Cell { return Day(string(x.LastDay)).When(x.Expired && x.Left.Sign() > 0, Bad) }},
		{Column{Key: "expires_by", Header: "because", SheetOnly: true}, func(x lotLine) Cell { return Text(x.Why) }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 30}, func(x lotLine) Cell { return Text(x.Note) }},
	}
	if !named {
		cols = cols[1:]
	}
	return Build(t, lines, cols)
}
