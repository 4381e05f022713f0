package reports

import (
	"strings"
	"time"

	"bookmatch/costing/money"
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

func (b SupplyBook) stock() Table {
	t := Table{Name: "stock", Title: "On hand", Empty: "no supply has been added: supply add NAME --unit ml",
		Charts: []Chart{{Kind: ChartBars, Title: "Value on hand", X: "supply", XTitle: "supply", YTitle: "value (" + string(b.Shop.Currency) + ")", Series: []Series{{Y: "value", Paint: Spruce}}}},
		Columns: []Column{
			{Key: "supply", Header: "supply", Max: 20},
			{Key: "on_hand", Header: "on hand", Kind: KindQuantity},
			{Key: "unit", Header: "unit"},
			{Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney, Sum: true},
			{Key: "per_week", Header: "a week", Kind: KindQuantity},
			{Key: "planned", Header: "planned", Kind: KindQuantity, SheetOnly: true},
			{Key: "reorder_point", Header: "order at", Kind: KindQuantity, SheetOnly: true},
			{Key: "order_by", Header: "order by", Kind: KindDate},
			{Key: "order_quantity", Header: "order", Kind: KindQuantity},
			{Key: "order_cost", Header: "cost of it", Unit: string(b.Shop.Currency), Kind: KindMoney, SheetOnly: true},
			{Key: "why", Header: "why", SheetOnly: true, Width: 60},
		}}
	for i, l := range b.Ledgers {
		o := b.Orders[i]
		by, order, cost := Empty(), Empty(), Empty()
		if o.OrderBy != "" {
			by, order, cost = Day(string(o.OrderBy)), Quantity(o.Quantity), Money(o.Cost)
			if o.Now {
				by = by.In(Careful)
				t.Note("order now: %s, %s %s", l.Supply.Name, o.Quantity, l.Supply.Unit)
			}
		}
		rate := NotRecorded()
		if o.Days > 0 {
			rate = Quantity(o.PerWeek)
		}
		hand := Quantity(l.OnHand)
		if l.OnHand.Sign() < 0 {
			hand = hand.In(Bad)
			t.Note("%s: more used than came in; settled by the next lot", l.Supply.Name)
		}
		for _, x := range o.Expiring {
			t.Note("%s", expiryText(l.Supply, x))
		}
		t.Add(Text(l.Supply.Name), hand, Text(string(l.Supply.Unit)), Money(l.Value), rate, Quantity(o.Planned), Quantity(o.Point), by, order, cost, Text(strings.Join(o.Reasons, "; ")))
	}
	return t
}

func expiryText(s jobs.Supply, x stock.Expiring) string {
	verb := "good through "
	if x.Past {
		verb = "expired, last good day "
	}
	return s.Name + " lot " + itoa(x.Lot) + ": " + verb + string(x.Last) + " (" + x.Why + "), " + x.Left.String() + " " + string(s.Unit) + " left"
}

func (b SupplyBook) lots() Table {
	t := lotTable(b.Shop.Currency, true)
	for _, l := range b.Ledgers {
		lotRows(&t, l, b.Shop, true)
	}
	return t
}

func lotTable(cur money.Currency, named bool) Table {
	t := Table{Name: "lots", Title: "Value on hand by lot", Empty: "no lot has been received"}
	if named {
		t.Columns = append(t.Columns, Column{Key: "supply", Header: "supply", Max: 16})
	}
	t.Columns = append(t.Columns, []Column{
		{Key: "lot", Header: "lot"},
		{Key: "received", Header: "received", Kind: KindDate},
		{Key: "source", Header: "source", SheetOnly: true},
		{Key: "quantity", Header: "quantity", Kind: KindQuantity},
		{Key: "left", Header: "left", Kind: KindQuantity},
		{Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "price", Header: "price", Unit: string(cur), Kind: KindMoney, SheetOnly: true},
		{Key: "unit_price", Header: "each", Unit: string(cur), Kind: KindMoney, Digits: int(cur.Scale()) + 2},
		{Key: "value", Header: "value", Unit: string(cur), Kind: KindMoney, Sum: true},
		{Key: "opened", Header: "opened", Kind: KindDate, SheetOnly: true},
		{Key: "expires", Header: "expires", Kind: KindDate},
		{Key: "expires_by", Header: "because", SheetOnly: true},
		{Key: "note", Header: "note", SheetOnly: true, Width: 30},
	}...)
	return t
}

// lotRows adds the lots of a supply; used-up ones only when all is asked for.
func lotRows(t *Table, l stock.SupplyLedger, shop jobs.Shop, leftOnly bool) {
	for _, x := range l.Lots {
		if leftOnly && x.Left.Sign() == 0 {
			continue
		}
		name := itoa(x.ID)
		if x.Found != 0 {
			name = "found"
		}
		opened, expires := Empty(), Empty()
		if !x.Opened.IsZero() {
			opened = Date(x.Opened.In(shop.Location()))
		}
		if x.LastDay != "" {
			expires = Day(string(x.LastDay))
			if x.Expired && x.Left.Sign() > 0 {
				expires = expires.In(Bad)
				t.Note("%s lot %s: expired; the remainder of %s %s (%s) is overhead", l.Supply.Name, name, x.Left, l.Supply.Unit, shop.Currency.Print(x.Lost))
			}
		}
		if x.Source == jobs.SourceGift {
			t.Note("%s lot %s: a gift; it costs nothing and keeps its replacement cost for quotes", l.Supply.Name, name)
		}
		var cells []Cell
		if t.Index("supply") >= 0 {
			cells = append(cells, Text(l.Supply.Name))
		}
		cells = append(cells, Text(name), Date(x.Received.In(shop.Location())), Text(string(x.Source)), Quantity(x.Quantity), Quantity(x.Left),
			Text(string(l.Supply.Unit)), Money(x.Price), Money(x.Unit), Money(x.Value), opened, expires, Text(x.Why), Text(x.Note))
		t.Add(cells...)
	}
	var short money.Qty
	value := money.Zero
	for _, is := range l.Issues {
		short, value = short.Plus(is.Short), value.Add(is.ShortValue)
	}
	if short.Sign() == 0 {
		return
	}
	var cells []Cell
	if t.Index("supply") >= 0 {
		cells = append(cells, Text(l.Supply.Name))
	}
	t.Add(append(cells, Text("owed"), Empty(), Text("used beyond the stock"), Empty(), Quantity(money.Qty{Decimal: short.Neg()}), Text(string(l.Supply.Unit)),
		Empty(), Empty(), Money(value.Neg()).In(Bad))...)
}

func (b SupplyBook) expiring() Table {
	t := Table{Name: "expiring", Title: "What expires within six weeks", Empty: "nothing", Columns: []Column{
		{Key: "supply", Header: "supply", Max: 20}, {Key: "lot", Header: "lot"}, {Key: "expires", Header: "last good day", Kind: KindDate},
		{Key: "left", Header: "left", Kind: KindQuantity}, {Key: "unit", Header: "unit"},
		{Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney, Sum: true}, {Key: "because", Header: "because"},
	}}
	for i, o := range b.Orders {
		for _, x := range o.Expiring {
			c := Day(string(x.Last))
			if x.Past {
				c = c.In(Bad)
			}
			t.Add(Text(b.Ledgers[i].Supply.Name), Text(itoa(x.Lot)), c, Quantity(x.Left), Text(string(o.Unit)), Money(x.Value), Text(x.Why))
		}
	}
	return t
}
