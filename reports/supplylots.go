package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// lotRow is a lot of a supply, or what was used beyond every lot (owed).
type lotRow struct {
	workshop.LotReading
	supply supply
	owed   bool
}

// lotRows gives the lots with something left, then what is owed, of each supply.
func lotRows(all []supply) (out []lotRow) {
	for _, s := range all {
		for _, x := range s.Lots {
			if x.Left.Sign() != 0 {
				out = append(out, lotRow{LotReading: x, supply: s})
			}
		}
		out = append(out, owedRow(s)...)
	}
	return out
}

// owedRow is what was used beyond the stock as a row of its lots, or none.
func owedRow(s supply) []lotRow {
	if s.Owed == nil {
		return nil
	}
	x := lotRow{supply: s, owed: true}
	x.Left, x.Value = money.Qty{Decimal: s.Owed.Quantity.Neg()}, s.Owed.Value.Neg()
	return []lotRow{x}
}

func (x lotRow) name() string {
	switch {
	case x.owed:
		return "owed"
	case x.Found != 0:
		return "found"
	}
	return fmt.Sprint(x.Lot)
}

func (x lotRow) source() string {
	if x.owed {
		return "used beyond the stock"
	}
	return string(x.Source)
}

// lotTable lists lots. named says whose they are, where they are of several
// supplies.
func lotTable(rows []lotRow, currency string, named bool) Table {
	t := Table{Name: "lots", Title: "Value on hand by lot", Empty: "No lot has been received."}
	for _, x := range rows {
		if x.Expired && x.Left.Sign() > 0 {
			t.Note("%s lot %s is expired. The %s %s left (%s) are charged to overhead.", x.supply.Supply, x.name(), x.Left, x.supply.Unit, cash(currency, x.LostValue))
		}
		if x.Source == jobs.SourceGift {
			t.Note("%s lot %s is a gift. It costs nothing and keeps its price to replace for quotes.", x.supply.Supply, x.name())
		}
		if x.CentOn {
			t.Note("%s lot %s carries the rounding, so that the lots add up.", x.supply.Supply, x.name())
		}
	}
	of := func(get func(lotRow) Cell) func(lotRow) Cell { // what only a lot has
		return func(x lotRow) Cell {
			if x.owed {
				return Empty()
			}
			return get(x)
		}
	}
	cols := []Col[lotRow]{
		{Column{Key: "supply", Header: "supply", Max: 16}, func(x lotRow) Cell { return Text(x.supply.Supply) }},
		{Column{Key: "lot", Header: "lot"}, func(x lotRow) Cell { return Text(x.name()) }},
		{Column{Key: "received", Header: "received", Kind: KindDate}, of(func(x lotRow) Cell { return Date(x.Received) })},
		{Column{Key: "source", Header: "source", SheetOnly: true}, func(x lotRow) Cell { return Text(x.source()) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity}, of(func(x lotRow) Cell { return Quantity(x.Quantity) })},
		{Column{Key: "left", Header: "left", Kind: KindQuantity}, func(x lotRow) Cell { return Quantity(x.Left) }},
		{Column{Key: "unit", Header: "unit", SheetOnly: true}, func(x lotRow) Cell { return Text(string(x.supply.Unit)) }},
		{Column{Key: "price", Header: "price", Unit: currency, Kind: KindMoney, SheetOnly: true}, of(func(x lotRow) Cell { return Money(x.Price) })},
		{Column{Key: "unit_price", Header: "each", Unit: currency, Kind: KindMoney, Digits: int(money.Currency(currency).Scale()) + 2}, of(func(x lotRow) Cell { return Money(x.UnitPrice) })},
		{Column{Key: "value", Header: "value", Unit: currency, Kind: KindMoney, Sum: true}, func(x lotRow) Cell { return Money(x.Value).When(x.owed, Bad) }},
		{Column{Key: "opened", Header: "opened", Kind: KindDate, SheetOnly: true}, func(x lotRow) Cell {
			if x.Opened == nil {
				return Empty()
			}
			return Date(*x.Opened)
		}},
		{Column{Key: "expires", Header: "expires", Kind: KindDate}, func(x lotRow) Cell {
			if x.Expires == nil {
				return Empty()
			}
			return Date(*x.Expires).When(x.Expired && x.Left.Sign() > 0, Bad)
		}},
		{Column{Key: "expires_by", Header: "because", SheetOnly: true}, func(x lotRow) Cell { return Text(x.ExpiresBy) }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 30}, func(x lotRow) Cell { return Text(x.Note) }},
	}
	if !named {
		cols = cols[1:]
	}
	return Build(t, rows, cols)
}
