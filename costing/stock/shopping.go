package stock

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// Item is one line of the shopping list. An item with Ordered is on its way. An
// item whose Quantity is not known is one piece.
type Item struct {
	Code     string       `json:"code"` // what ticks it off: "wood-glue", "part 3", "bit S10-1"
	What     string       `json:"what"`
	For      string       `json:"for"`
	Quantity money.Qty    `json:"quantity"`
	Unit     string       `json:"unit"`
	Supplier string       `json:"supplier"`
	OrderBy  jobs.Day     `json:"order_by,omitempty"`
	Reason   string       `json:"reason"`
	Overdue  int          `json:"overdue_days"`
	Cost     money.Amount `json:"cost,omitzero"`
	Days     int          `json:"delivery_days"`
	Ordered  jobs.Day     `json:"ordered,omitempty"`
	Arrives  jobs.Day     `json:"arrives,omitempty"`
	Type     string       `json:"type"` // the command that comes next
}

// OwnWords gives the name of a part, which the builder wrote.
func (i Item) OwnWords() []string {
	if strings.HasPrefix(i.Code, "part ") {
		return []string{i.What}
	}
	return nil
}

// ShoppingDays is how far ahead the list looks: what must be ordered later than
// that is left for another day (our guess).
const ShoppingDays = 42

// usualDelivery is how many days a part takes to come where nobody said (our
// guess).
const usualDelivery = 14

// SupplyItem gives the line of a supply. ok is false where nothing is to be done
// within ShoppingDays. later is then the day on which there will be.
func SupplyItem(l SupplyLedger, o Reorder, today jobs.Day) (x Item, ok bool, later jobs.Day) {
	s := l.Supply
	x = Item{Code: s.Name, What: cmp.Or(s.Title, s.Name), For: "stock", Quantity: o.Quantity, Unit: string(s.Unit), Supplier: s.Supplier, Days: s.DeliveryDays, Cost: o.Cost}
	if s.OnOrder != nil {
		x.onOrder(s.OnOrder, today)
		x.Type = fmt.Sprintf("supply receive %s %s --price %s", s.Name, x.Quantity, priceOr(l.LastPrice.Mul(x.Quantity.Decimal)))
		return x, true, ""
	}
	if o.OrderBy == "" || today.DaysTo(o.OrderBy) > ShoppingDays {
		return x, false, o.OrderBy
	}
	x.OrderBy, x.Reason, x.Type = o.OrderBy, o.because(), "shopping order "+x.Code
	return x, true, ""
}

// because is the reason that settled the date: the last one given.
func (r Reorder) because() string {
	if len(r.Reasons) == 0 {
		return ""
	}
	why := r.Reasons[len(r.Reasons)-1]
	if r.ShortHistory {
		why += " (rate from a short history)"
	}
	return why
}

func priceOr(a money.Amount) string {
	if a.Sign() <= 0 {
		return "12.50"
	}
	return a.Fixed(2)
}

func (x *Item) onOrder(o *jobs.OnOrder, today jobs.Day) {
	x.Ordered, x.Arrives, x.Overdue = o.On, o.Arrives, o.OverdueDays(today)
	if o.Quantity.Sign() > 0 {
		x.Quantity = o.Quantity
	}
	x.Reason = OnItsWay(*o, today)
}

// OnItsWay says when an order comes: "overdue 7 days", never a date that is past.
func OnItsWay(o jobs.OnOrder, today jobs.Day) string {
	switch late := o.OverdueDays(today); {
	case late > 0:
		return "overdue " + jobs.CountText(late, "day")
	case o.Arrives != "":
		return "expected " + o.Arrives.Noon().Format("2 Jan 2006")
	}
	return "ordered " + o.On.Noon().Format("2 Jan 2006")
}

// PartItem gives the line of a part of an open neck. needed is the day of the step
// that fits it, empty where no step is left for it. ok is false where it is here.
func PartItem(p jobs.Part, neck string, needed, today jobs.Day) (x Item, ok bool) {
	state := p.State(today)
	if state == jobs.PartHere || state == jobs.PartReturned {
		return x, false
	}
	x = Item{Code: fmt.Sprintf("part %d", p.ID), What: p.Name, For: neck, Quantity: money.QtyOf(int64(p.Quantity)), Unit: "pc", Supplier: p.Supplier, Days: p.DeliveryDays, Cost: p.Price}
	if state != jobs.PartToOrder {
		x.onOrder(&jobs.OnOrder{On: p.Ordered, Arrives: p.Arrives}, today)
		x.Type = fmt.Sprintf("part set %d --here", p.ID)
		return x, true
	}
	x.OrderBy, x.Reason, x.Type = today, "not ordered yet", "shopping order "+x.Code
	if needed != "" {
		days := cmp.Or(p.DeliveryDays, usualDelivery)
		x.OrderBy, x.Reason = max(today, needed.Add(-days)), fmt.Sprintf("%s needs it about %s, %d days to deliver", neck, needed.Noon().Format("2 Jan 2006"), days)
		if p.DeliveryDays == 0 {
			x.Reason += " (our guess)"
		}
	}
	return x, true
}

// BitStock is what is left of the bits of one class that are kept for show holes.
// Left counts headstocks until they are retired, below zero where nothing ends
// them. Bit is the one to replace: the last of them.
type BitStock struct {
	Class string
	Bit   jobs.Bit
	Left  int
	Kept  bool // one of them is still kept for show holes
}

// BitItem gives the line of the next bit of a class. drillings are the days on which
// open necks will be drilled, soonest first. A new bit is wanted once those that
// are left cover no more than one headstock, or fewer than will be drilled.
func BitItem(b BitStock, drillings []jobs.Day, today jobs.Day) (x Item, ok bool) {
	x = Item{Code: "bit " + b.Bit.Code, What: fmt.Sprintf("%s %s bit, %s", b.Bit.DiameterText, b.Bit.Point, b.Bit.Material), For: "show holes", Quantity: money.QtyOf(1), Unit: "pc", Supplier: b.Bit.Supplier, Days: b.Bit.DeliveryDays, Cost: b.Bit.Price}
	if b.Bit.OnOrder != nil {
		x.onOrder(b.Bit.OnOrder, today)
		x.Type = fmt.Sprintf("bit add NEW --diameter %s --point %s --keep show --price %s", b.Bit.DiameterText, b.Bit.Point, priceOr(b.Bit.Price))
		return x, true
	}
	if b.Left < 0 || b.Left > 1 && b.Left >= len(drillings) || !b.Kept && len(drillings) == 0 {
		return x, false
	}
	x.OrderBy = today
	if n := len(drillings); n > 0 {
		x.OrderBy = max(today, drillings[min(b.Left, n-1)].Add(-b.Bit.DeliveryDays))
	}
	x.Type = "shopping order " + x.Code
	x.Reason = fmt.Sprintf("%s left on %s", jobs.CountText(b.Left, "headstock"), b.Bit.Code)
	switch {
	case !b.Kept:
		x.Reason = "no bit of it is kept for show holes"
	case b.Left == 0:
		x.Reason = b.Bit.Code + " is due to retire"
	}
	if n := len(drillings); n > 0 {
		x.Reason += fmt.Sprintf(", %s to drill", jobs.CountText(n, "neck"))
	}
	return x, true
}

// SortItems puts a list in order: what is to be ordered before what is on its way,
// by supplier (those without one last), then by date.
func SortItems(items []Item) {
	slices.SortStableFunc(items, func(a, b Item) int {
		late := func(x Item) int { return -x.Overdue }
		return cmp.Or(cmp.Compare(flag(a.Ordered != "" || a.Arrives != ""), flag(b.Ordered != "" || b.Arrives != "")), cmp.Compare(late(a), late(b)),
			cmp.Compare(flag(a.Supplier == ""), flag(b.Supplier == "")), strings.Compare(a.Supplier, b.Supplier),
			strings.Compare(string(a.OrderBy), string(b.OrderBy)), strings.Compare(a.What, b.What))
	})
}

func flag(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
