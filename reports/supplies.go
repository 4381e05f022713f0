package reports

import (
	"strings"
	"time"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// SupplyBook is the stock as one value: the account of each supply and what to
// order of it, in the same order.
type SupplyBook struct {
	Shop    jobs.Shop
	Now     time.Time
	Ledgers []stock.SupplyLedger
	Orders  []stock.Reorder
	Necks   map[string]string // code -> name
}

func (b SupplyBook) report(name, title, subject string) Report {
	return Report{Name: name, Title: title, Subject: subject, Currency: b.Shop.Currency, Paper: Paper(b.Shop.Paper),
		Zone: b.Shop.Location(), Made: b.Now, Shop: b.Shop.Name}
}

// Supplies is the whole stock: what is on hand and worth, what to order by when,
// what expires, and the value on hand by lot.
func Supplies(b SupplyBook) Report {
	r := b.report("supplies", "Supplies", "as of "+string(jobs.DayOf(b.Now.In(b.Shop.Location()))))
	r.Add(b.stock(), b.lots(), b.expiring())
	b.counted(&r)
	return r
}

// SupplyList is the short list for the terminal.
func SupplyList(b SupplyBook) Report {
	r := b.report("supplies", "Supplies", "")
	r.Add(b.stock())
	return r
}

func (b SupplyBook) counted(r *Report) {
	r.Count("value", "first in, first out by lot, in the order of the time of use; the parts of a lot add to its price")
	r.Count("on hand below zero", "more was used than came in; priced at the last known price until the next lot settles it")
	r.Count("written off", "lost, counted away and expired remainders; borne by overhead, never by the next neck")
	r.Count("expires", "the earlier of the printed date and opening + life; good through that day")
	r.Count("order by", "the day on which less than the safety quantity would be left, at the rate of the last year or by the steps of the open necks, less the days to deliver")
}

// supplyLine is the account of a supply with what to order of it.
type supplyLine struct {
	stock.SupplyLedger
	order stock.Reorder
}

func (b SupplyBook) lines() []supplyLine {
	out := make([]supplyLine, len(b.Ledgers))
	for i, l := range b.Ledgers {
		out[i] = supplyLine{l, b.Orders[i]}
	}
	return out
}

func (b SupplyBook) stock() Table {
	cur := string(b.Shop.Currency)
	t := Table{Name: "stock", Title: "On hand", Empty: "no supply has been added: supply add NAME --unit ml",
		Charts: []Chart{{Kind: ChartBars, Title: "Value on hand", X: "supply", XTitle: "supply", YTitle: "value (" + cur + ")", Series: []Series{{Y: "value", Paint: Spruce}}}}}
	lines := b.lines()
	for _, x := range lines {
		if x.order.Now && x.order.OrderBy != "" {
			t.Note("order now: %s, %s %s", x.Supply.Name, x.order.Quantity, x.Supply.Unit)
		}
		if x.OnHand.Sign() < 0 {
			t.Note("%s: more used than came in; settled by the next lot", x.Supply.Name)
		}
		for _, e := range x.order.Expiring {
			t.Note("%s", expiryText(x.Supply, e))
		}
	}
	ordered := func(get func(stock.Reorder) Cell) func(supplyLine) Cell { // empty where nothing is to be ordered
		return func(x supplyLine) Cell {
			if x.order.OrderBy == "" {
				return Empty()
			}
			return get(x.order)
		}
	}
	return Build(t, lines, []Col[supplyLine]{
		{Column{Key: "supply", Header: "supply", Max: 20}, func(x supplyLine) Cell { return Text(x.Supply.Name) }},
		{Column{Key: "on_hand", Header: "on hand", Kind: KindQuantity}, func(x supplyLine) Cell { return Quantity(x.OnHand).When(x.OnHand.Sign() < 0, Bad) }},
		{Column{Key: "unit", Header: "unit"}, func(x supplyLine) Cell { return Text(string(x.Supply.Unit)) }},
		{Column{Key: "value", Header: "value", Unit: cur, Kind: KindMoney, Sum: true}, func(x supplyLine) Cell { return Money(x.Value) }},
		{Column{Key: "per_week", Header: "a week", Kind: KindQuantity}, func(x supplyLine) Cell { return rateCell(x.order) }},
		{Column{Key: "planned", Header: "planned", Kind: KindQuantity, SheetOnly: true}, func(x supplyLine) Cell { return Quantity(x.order.Planned) }},
		{Column{Key: "reorder_point", Header: "order at", Kind: KindQuantity, SheetOnly: true}, func(x supplyLine) Cell { return Quantity(x.order.Point) }},
		{Column{Key: "order_by", Header: "order by", Kind: KindDate}, ordered(func(o stock.Reorder) Cell { return Day(string(o.OrderBy)).When(o.Now, Careful) })},
		{Column{Key: "order_quantity", Header: "order", Kind: KindQuantity}, ordered(func(o stock.Reorder) Cell { return Quantity(o.Quantity) })},
		{Column{Key: "order_cost", Header: "cost of it", Unit: cur, Kind: KindMoney, SheetOnly: true}, ordered(func(o stock.Reorder) Cell { return Money(o.Cost) })},
		{Column{Key: "why", Header: "why", SheetOnly: true, Width: 60}, func(x supplyLine) Cell { return Text(strings.Join(x.order.Reasons, "; ")) }},
	})
}

func rateCell(o stock.Reorder) Cell {
	if o.Days == 0 {
		return NotRecorded()
	}
	return Quantity(o.PerWeek)
}

func expiryText(s jobs.Supply, x stock.Expiring) string {
	verb := "good through "
	if x.Past {
		verb = "expired, last good day "
	}
	return s.Name + " lot " + itoa(x.Lot) + ": " + verb + string(x.Last) + " (" + x.Why + "), " + x.Left.String() + " " + string(s.Unit) + " left"
}

func (b SupplyBook) lots() Table {
	var lines []lotLine
	for _, l := range b.Ledgers {
		lines = append(lines, lotLines(l, true)...)
	}
	return lotTable(lines, b.Shop, true)
}

// expiringLot is a lot that ends soon, with its supply.
type expiringLot struct {
	stock.Expiring
	supply string
	unit   jobs.Unit
}

func (b SupplyBook) expiring() Table {
	var soon []expiringLot
	for i, o := range b.Orders {
		for _, x := range o.Expiring {
			soon = append(soon, expiringLot{x, b.Ledgers[i].Supply.Name, o.Unit})
		}
	}
	return Build(Table{Name: "expiring", Title: "What expires within six weeks", Empty: "nothing"}, soon, []Col[expiringLot]{
		{Column{Key: "supply", Header: "supply", Max: 20}, func(x expiringLot) Cell { return Text(x.supply) }},
		{Column{Key: "lot", Header: "lot"}, func(x expiringLot) Cell { return Text(itoa(x.Lot)) }},
		{Column{Key: "expires", Header: "last good day", Kind: KindDate}, func(x expiringLot) Cell { return Day(string(x.Last)).When(x.Past, Bad) }},
		{Column{Key: "left", Header: "left", Kind: KindQuantity}, func(x expiringLot) Cell { return Quantity(x.Left) }},
		{Column{Key: "unit", Header: "unit"}, func(x expiringLot) Cell { return Text(string(x.unit)) }},
		{Column{Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney, Sum: true}, func(x expiringLot) Cell { return Money(x.Value) }},
		{Column{Key: "because", Header: "because"}, func(x expiringLot) Cell { return Text(x.Why) }},
	})
}
