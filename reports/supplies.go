package reports

import (
	"cmp"
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// supply is a row of the tables of supplies.
type supply = workshop.SupplyReading

// Supplies is the stock: what is on hand and worth and what to order by when. At
// full depth also what expires, and the value on hand by lot.
func Supplies(r *workshop.SupplyListResult) Report {
	out := Of(r, "supplies", "Supplies")
	out.Subject = "on " + r.Made.In(out.Location()).Format("2 Jan 2006")
	out.Headline = []string{fmt.Sprintf("%s on hand, worth %s.", suppliesText(len(r.Supplies)), cash(r.Currency, r.Value)), orderText(r.Supplies)}
	out.Add(stockTable(r))
	lots, soon := lotTable(lotRows(r.Supplies), r.Currency, true), expiringTable(r)
	out.Sections = append(out.Sections, Section{At: Full | Why, Table: &lots}, Section{At: Full | Why, Table: &soon})
	for _, s := range r.Supplies {
		if s.Owed != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s: more was used than came in. The next lots settle it.", s.Supply))
		}
		for _, x := range s.Order.Expiring {
			out.Notes = append(out.Notes, expiryText(s, x))
		}
	}
	suppliesCounted(&out)
	out.Next = []string{"supply add wood-glue --unit ml"}
	if len(r.Supplies) > 0 {
		out.Next = []string{"shopping", "supply show " + r.Supplies[0].Supply}
	}
	return out
}

func suppliesText(n int) string {
	if n == 1 {
		return "1 supply"
	}
	return fmt.Sprintf("%d supplies", n)
}

// orderText says what to order now: "Order now: tape 5 m."
func orderText(all []supply) string {
	var now []string
	for _, s := range all {
		if s.Order.Now {
			now = append(now, fmt.Sprintf("%s %s %s", s.Supply, some(s.Order.Quantity), s.Unit))
		}
	}
	switch n := len(now); {
	case n == 0:
		return "Nothing to order now."
	case n > 4:
		return fmt.Sprintf("Order now: %s and %d more.", strings.Join(now[:3], ", "), n-3)
	}
	return "Order now: " + strings.Join(now, ", ") + "."
}

// cash prints an amount with its currency: "EUR 42.64".
func cash(currency string, a money.Amount) string {
	return currency + " " + money.Currency(currency).Print(a)
}

func suppliesCounted(r *Report) {
	r.Count("value", "First in, first out by lot, by the time of use. The parts of a lot add to its price.")
	r.Count("on hand below zero", "More was used than came in. It counts at the last known price until the next lots settle it.")
	r.Count("written off", "Lost, counted away, and what is left of expired lots. Overhead is charged, never the next neck.")
	r.Count("expires", "The earlier of the printed date and opening + life. Good through that day.")
	r.Count("order by", "The day on which less than the safety quantity is left, less the days to deliver. The rate is that of the last year or of the steps of the open necks.")
}

func stockTable(r *workshop.SupplyListResult) Table {
	t := Table{Name: "stock", Title: "On hand", Empty: "No supply has been added. Type: supply add wood-glue --unit ml",
		Charts: []Chart{{Kind: ChartBars, Title: "Value on hand", X: "supply", XTitle: "supply", YTitle: "value (" + r.Currency + ")", Series: []Series{{Y: "value", Paint: Spruce}}}}}
	ordered := func(get func(stock.Reorder) Cell) func(supply) Cell { // empty where nothing is to be ordered
		return func(x supply) Cell {
			if x.Order.OrderBy == "" {
				return Empty()
			}
			return get(x.Order)
		}
	}
	return Build(t, r.Supplies, []Col[supply]{
		{Column{Key: "supply", Header: "supply", Max: 20}, func(x supply) Cell { return Text(x.Supply) }},
		{Column{Key: "on_hand", Header: "on hand", Kind: KindQuantity}, func(x supply) Cell { return Quantity(x.OnHand).When(x.OnHand.Sign() < 0, Bad) }},
		{Column{Key: "unit", Header: "unit"}, func(x supply) Cell { return Text(string(x.Unit)) }},
		{Column{Key: "value", Header: "value", Unit: r.Currency, Kind: KindMoney, Sum: true}, func(x supply) Cell { return Money(x.Value) }},
		{Column{Key: "per_week", Header: "a week", Kind: KindQuantity}, func(x supply) Cell { return rateCell(x.Order) }},
		{Column{Key: "planned", Header: "planned", Kind: KindQuantity, SheetOnly: true}, func(x supply) Cell { return Quantity(x.Order.Planned) }},
		{Column{Key: "reorder_point", Header: "order at", Kind: KindQuantity, SheetOnly: true}, func(x supply) Cell { return Quantity(x.Order.Point) }},
		{Column{Key: "order_by", Header: "order by", Kind: KindDate}, ordered(func(o stock.Reorder) Cell { return Day(string(o.OrderBy)).When(o.Now, Careful) })},
		{Column{Key: "order_quantity", Header: "order", Kind: KindQuantity}, ordered(func(o stock.Reorder) Cell { return Quantity(o.Quantity) })},
		{Column{Key: "order_cost", Header: "cost of it", Unit: r.Currency, Kind: KindMoney, SheetOnly: true}, ordered(func(o stock.Reorder) Cell { return Money(o.Cost) })},
		{Column{Key: "supplier", Header: "from", SheetOnly: true}, func(x supply) Cell { return Text(x.Supplier) }},
		{Column{Key: "delivery_days", Header: "delivery", Unit: "days", Kind: KindCount, SheetOnly: true}, func(x supply) Cell { return Count(x.DeliveryDays) }},
		{Column{Key: "why", Header: "why", SheetOnly: true, Width: 60}, func(x supply) Cell { return Text(strings.Join(x.Order.Reasons, "; ")) }},
	})
}

func rateCell(o stock.Reorder) Cell {
	if o.Days == 0 {
		return NotRecorded()
	}
	return Quantity(o.PerWeek)
}

// expiryText says until when a lot is good: "epoxy lot 2: good through 10 Mar 2026
// (printed date), 90 ml left."
func expiryText(s supply, x stock.Expiring) string {
	verb := "good through"
	if x.Past {
		verb = "expired, last good day"
	}
	return fmt.Sprintf("%s lot %d: %s %s (%s), %s %s left.", s.Supply, x.Lot, verb, x.Last.Noon().Format("2 Jan 2006"), x.Why, x.Left, s.Unit)
}

// expiringLot is a lot that ends soon, with its supply.
type expiringLot struct {
	stock.Expiring
	supply string
	unit   jobs.Unit
}

func expiringTable(r *workshop.SupplyListResult) Table {
	var soon []expiringLot
	for _, s := range r.Supplies {
		for _, x := range s.Order.Expiring {
			soon = append(soon, expiringLot{x, s.Supply, s.Unit})
		}
	}
	return Build(Table{Name: "expiring", Title: "Expires within six weeks", Empty: "Nothing."}, soon, []Col[expiringLot]{
		{Column{Key: "supply", Header: "supply", Max: 20}, func(x expiringLot) Cell { return Text(x.supply) }},
		{Column{Key: "lot", Header: "lot"}, func(x expiringLot) Cell { return Text(fmt.Sprint(x.Lot)) }},
		{Column{Key: "expires", Header: "expires", Kind: KindDate}, func(x expiringLot) Cell { return Day(string(x.Last)).When(x.Past, Bad) }},
		{Column{Key: "left", Header: "left", Kind: KindQuantity}, func(x expiringLot) Cell { return Quantity(x.Left) }},
		{Column{Key: "unit", Header: "unit"}, func(x expiringLot) Cell { return Text(string(x.unit)) }},
		{Column{Key: "value", Header: "value", Unit: r.Currency, Kind: KindMoney, Sum: true}, func(x expiringLot) Cell { return Money(x.Value) }},
		{Column{Key: "because", Header: "because"}, func(x expiringLot) Cell { return Text(x.Why) }},
	})
}

// orderWhen says when to order a supply: "Order 250 ml by 15 Apr 2026."
func orderWhen(s supply) string {
	switch o := s.Order; {
	case o.Now:
		return fmt.Sprintf("Order now: %s %s.", some(o.Quantity), s.Unit)
	case o.OrderBy != "":
		return fmt.Sprintf("Order %s %s by %s.", some(o.Quantity), s.Unit, o.OrderBy.Noon().Format("2 Jan 2006"))
	}
	return "Nothing to order."
}

// titleOf is the name of a supply with its title.
func titleOf(s supply) string {
	return cmp.Or(strings.TrimSuffix(s.Supply+": "+s.Title, ": "), s.Supply)
}
