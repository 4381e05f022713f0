package stock

import (
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// A part that nobody ordered is on the list by the day it is needed less
// its delivery days. One that is late says by how many days, never a past date.
func TestPartItem(t *testing.T) {
	const today = jobs.Day("2026-11-24")
	for _, c := range []struct {
		name         string
		part         jobs.Part
		needed       jobs.Day
		listed       bool
		by           jobs.Day
		overdue      int
		reason, next string
	}{
		{"to order", jobs.Part{ID: 1, Name: "tuners", Quantity: 6, DeliveryDays: 10}, "2027-01-20", true, "2027-01-10", 0, "ada needs it about 20 Jan 2027, 10 days to deliver", "shopping order part 1"},
		{"nobody said how long it takes", jobs.Part{ID: 1}, "2027-01-20", true, "2027-01-06", 0, "ada needs it about 20 Jan 2027, 14 days to deliver (our guess)", "shopping order part 1"},
		{"too late already", jobs.Part{ID: 1, DeliveryDays: 10}, "2026-11-26", true, today, 0, "ada needs it about 26 Nov 2026, 10 days to deliver", "shopping order part 1"},
		{"no step needs it", jobs.Part{ID: 1}, "", true, today, 0, "not ordered yet", "shopping order part 1"},
		{"on its way", jobs.Part{ID: 1, Ordered: "2026-11-20", Arrives: "2026-11-24"}, "", true, "", 0, "expected 24 Nov 2026", "part set 1 --here"},
		{"no date was said", jobs.Part{ID: 1, Ordered: "2026-11-20"}, "", true, "", 0, "ordered 20 Nov 2026", "part set 1 --here"},
		{"overdue", jobs.Part{ID: 1, Ordered: "2026-11-01", Arrives: "2026-11-17"}, "", true, "", 7, "overdue 7 days", "part set 1 --here"},
		{"a day late", jobs.Part{ID: 1, Arrives: "2026-11-23"}, "", true, "", 1, "overdue 1 day", "part set 1 --here"},
		{"here", jobs.Part{ID: 1, Ordered: "2026-11-01", Arrived: "2026-11-20"}, "", false, "", 0, "", ""},
		{"sent back", jobs.Part{ID: 1, Returned: "2026-11-20"}, "", false, "", 0, "", ""},
	} {
		x, ok := PartItem(c.part, "ada", c.needed, today)
		if ok != c.listed || x.OrderBy != c.by || x.Overdue != c.overdue || x.Reason != c.reason || x.Type != c.next {
			t.Errorf("%s: got %v %+v", c.name, ok, x)
		}
	}
}

// A new bit is wanted once those kept for show holes cover one headstock or fewer
// than will be drilled, in time for the first that they do not cover.
func TestBitItem(t *testing.T) {
	bit := jobs.Bit{Code: "S10-1", DiameterText: "10mm", Point: "brad", Material: "hss", DeliveryDays: 9}
	coming := bit
	coming.OnOrder = &jobs.OnOrder{On: "2026-11-20", Quantity: money.QtyOf(1), Arrives: "2026-11-22"}
	drillings := []jobs.Day{"2026-12-20", "2027-01-10", "2027-02-01"}
	for _, c := range []struct {
		name      string
		stock     BitStock
		drillings []jobs.Day
		listed    bool
		by        jobs.Day
		reason    string
	}{
		{"enough", BitStock{Bit: bit, Left: 3, Kept: true}, drillings, false, "", ""},
		{"nothing ends it", BitStock{Bit: bit, Left: -1, Kept: true}, drillings, false, "", ""},
		{"one too few", BitStock{Bit: bit, Left: 2, Kept: true}, drillings, true, "2027-01-23", "2 headstocks left on S10-1, 3 necks to drill"},
		{"the last headstock", BitStock{Bit: bit, Left: 1, Kept: true}, nil, true, "2026-11-24", "1 headstock left on S10-1"},
		{"the last headstock, which is planned", BitStock{Bit: bit, Left: 1, Kept: true}, drillings[:1], true, "2026-12-11", "1 headstock left on S10-1, 1 neck to drill"},
		{"worn", BitStock{Bit: bit, Kept: true}, drillings, true, "2026-12-11", "S10-1 is due to retire, 3 necks to drill"},
		{"moved away, work ahead", BitStock{Bit: bit}, drillings[:1], true, "2026-12-11", "no bit of it is kept for show holes, 1 neck to drill"},
		{"moved away, no work", BitStock{Bit: bit}, nil, false, "", ""},
		{"ordered and late", BitStock{Bit: coming, Kept: true}, drillings, true, "", "overdue 2 days"},
	} {
		x, ok := BitItem(c.stock, c.drillings, "2026-11-24")
		if ok != c.listed || x.OrderBy != c.by || ok && x.Reason != c.reason {
			t.Errorf("%s: got %v %+v", c.name, ok, x)
		}
	}
}

// An order is taken off by what comes, and a supply that is on its way is not to be
// ordered again.
func TestSupplyOnOrder(t *testing.T) {
	s := glue
	s.Reorder, s.OnOrder = qty("50"), &jobs.OnOrder{On: "2026-05-20", Quantity: qty("250"), Arrives: "2026-05-25"}
	l := fifo(s, []jobs.Lot{lot(1, "2026-05-01", "40", "4.00")})
	o := PlanReorder(l, nil, "2026-06-01")
	if o.Now || o.OrderBy != "" {
		t.Errorf("to be ordered again: %+v", o)
	}
	x, ok, _ := SupplyItem(l, o, "2026-06-01")
	if !ok || x.Overdue != 7 || x.Reason != "overdue 7 days" || x.Quantity.String() != "250" || x.Type != "supply receive glue 250 --price 25.00" {
		t.Errorf("got %v %+v", ok, x)
	}
	if left := s.OnOrder.Came(qty("100")); left.Quantity.String() != "150" || left.Came(qty("150")) != nil {
		t.Errorf("left %+v", left)
	}
	l.Supply.OnOrder = nil
	o = PlanReorder(l, nil, "2026-06-01")
	if x, ok, _ := SupplyItem(l, o, "2026-06-01"); !ok || x.OrderBy != "2026-06-01" || x.Reason != "40 ml on hand is at or below your level of 50" {
		t.Errorf("got %v %+v", ok, x)
	}
}

// The list is in the order in which one shops: late deliveries lead what is on its
// way, suppliers come one after the other, nowhere in particular last.
func TestSortItems(t *testing.T) {
	items := []Item{{What: "a", Arrives: "2026-12-01"}, {What: "b", OrderBy: "2026-12-03"}, {What: "c", OrderBy: "2026-12-05", Supplier: "S"}, {What: "d", Arrives: "2026-11-01", Overdue: 9}, {What: "e", OrderBy: "2026-12-04", Supplier: "S"}, {What: "f", OrderBy: "2026-12-09", Supplier: "R"}}
	SortItems(items)
	got := ""
	for _, x := range items {
		got += x.What
	}
	if got != "fecbda" {
		t.Errorf("got %s, want fecbda", got)
	}
}
