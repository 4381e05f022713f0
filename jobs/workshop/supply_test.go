package workshop

import (
	"errors"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"
)

// supplied is a shop with a glue of two lots (200 at 0.09, 150 at 0.11) and the
// necks of gluedShop.
func supplied(t *testing.T) string {
	t.Helper()
	path := gluedShop(t)
	do(t, path, start, SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "150", Price: coins("16.50")})
	return path
}

// stockOf runs a verb on the second evening, some minutes after it began.
func stockOf(t *testing.T, path string, min int, v Verb, ask Ask) *StockChanged {
	t.Helper()
	return do(t, path, start.AddDate(0, 0, 1).Add(time.Duration(min)*time.Minute), v, ask).(*StockChanged)
}

// A use takes from two lots and is charged to its neck; what is corrected, moved
// and removed leaves the account as if it had been so. 200 x 0.09 + 50 x 0.11.
func TestSupplyUseAmendDrop(t *testing.T) {
	path := supplied(t)
	r := stockOf(t, path, 1, SupplyUse, &SupplyUseAsk{Supply: "wood", Quantity: "250", Neck: "N1"})
	if r.Value.Fixed(2) != "23.50" || r.OnHand.String() != "100" || r.OnValue.Fixed(2) != "11.00" || len(r.Lots) != 2 || r.Neck == "" {
		t.Errorf("use: %+v", r)
	}
	r = stockOf(t, path, 2, SupplyAmend, &SupplyAmendAsk{What: "use", ID: r.ID, Quantity: word("50ml"), Neck: word("N2"), Why: word("a test joint")})
	if r.Value.Fixed(2) != "4.50" || r.OnHand.String() != "300" {
		t.Errorf("amended: %+v", r)
	}
	r = stockOf(t, path, 3, SupplyAmend, &SupplyAmendAsk{What: "lot", ID: 1, Price: coins("20"), Note: word("dearer")})
	if len(r.Repriced) != 1 || r.Repriced[0].Value.Fixed(2) != "5.00" || r.Repriced[0].Was.Fixed(2) != "4.50" {
		t.Errorf("lot amended: %+v", r.Repriced)
	}
	lot := do(t, path, start, SupplyLot, &SupplyLotAsk{Lot: 1}).(*SupplyLotResult)
	if len(lot.Necks) != 1 || lot.Necks[0] != "N2" || lot.Uses[0].Reason != "a test joint" || lot.Left.String() != "150" {
		t.Errorf("lot: %+v", lot)
	}
	r = stockOf(t, path, 4, SupplyDrop, &SupplyDropAsk{What: "use", ID: 1})
	if r.OnHand.String() != "350" || r.OnValue.Fixed(2) != "36.50" {
		t.Errorf("dropped: %+v", r)
	}
	r = stockOf(t, path, 5, SupplyDrop, &SupplyDropAsk{What: "lot", ID: 2})
	if r.OnHand.String() != "200" {
		t.Errorf("lot dropped: %+v", r)
	}
	mustBeSound(t, path)
}

// A count charges what is missing to overhead and credits what was found; a
// write-off is charged too; what comes back from a neck is credited to it.
func TestSupplyCountWriteOffOffcut(t *testing.T) {
	path := supplied(t)
	r := stockOf(t, path, 6, SupplyCount, &SupplyCountAsk{Supply: "wood-glue", Quantity: "340"})
	if r.Quantity.String() != "10" || r.Value.Fixed(2) != "0.90" || r.Counted.String() != "340" {
		t.Errorf("count: %+v", r)
	}
	r = stockOf(t, path, 7, SupplyCount, &SupplyCountAsk{Supply: "wood-glue", Quantity: "345"})
	if r.Quantity.String() != "-5" || r.Value.Fixed(2) != "-0.55" {
		t.Errorf("found: %+v", r)
	}
	r = stockOf(t, path, 8, SupplyWriteOff, &SupplyCountAsk{Supply: "wood-glue", Quantity: "45", TakeAsk: TakeAsk{Why: "spilled"}})
	if r.OnHand.String() != "300" || r.Value.Fixed(2) != "4.05" {
		t.Errorf("write-off: %+v", r)
	}
	stockOf(t, path, 9, SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "20", Neck: "N1", TakeAsk: TakeAsk{Lot: 2}})
	r = stockOf(t, path, 10, SupplyOffcut, &SupplyOffcutAsk{Supply: "wood-glue", Quantity: "5", Neck: "N1", Value: coins("0.20"), Salvage: true})
	if r.Charged == nil || r.Charged.Value.Fixed(2) != "2.00" || r.OnHand.String() != "285" {
		t.Errorf("offcut: %+v %+v", r, r.Charged)
	}
	list := do(t, path, start.AddDate(0, 0, 2), SupplyList, &SupplyListAsk{}).(*SupplyListResult)
	if i := len(list.Supplies) - 1; list.Supplies[i].Supply != "wood-glue" || list.Supplies[i].WrittenOff.Fixed(2) != "4.40" || list.Value.Cmp(list.Supplies[i].Value) != 0 {
		t.Errorf("list: %+v", list)
	}
	mustBeSound(t, path)
}

// A lot that was opened ends when the earlier of its printed date and its life
// after opening does; the next neck takes from the good lot.
func TestSupplyOpenAndExpire(t *testing.T) {
	path := supplied(t)
	do(t, path, start, SupplySet, &SupplySetAsk{Supply: "wood-glue", SupplyFields: SupplyFields{OpenLifeDays: days(30), Safety: amountQty("20"), Title: word("glue"), Replacement: coins("0.12")}})
	opened := do(t, path, start, SupplyOpen, &SupplyOpenAsk{Supply: "wood-glue"}).(*LotOpened)
	if opened.Lot != 1 || opened.Expires != "2026-02-05" || opened.ExpiresBy != "opened 2026-01-06" {
		t.Errorf("opened: %+v", opened)
	}
	later := start.AddDate(0, 2, 0)
	r := do(t, path, later, SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "10"}).(*StockChanged)
	if r.Lots[0].Lot != 2 || r.OnHand.String() != "140" {
		t.Errorf("use after the date: %+v", r)
	}
	r = do(t, path, later, SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "10", TakeAsk: TakeAsk{Lot: 1}}).(*StockChanged)
	if !r.Lots[0].Expired || len(r.Warnings) == 0 || r.Warnings[0].Hint != "supply lot 1" {
		t.Errorf("use of an expired lot: %+v", r)
	}
	show := do(t, path, later, SupplyShow, &SupplyShowAsk{Supply: "wood-glue", All: true}).(*SupplyShowResult)
	if show.Expired.String() != "190" || !show.Lots[0].Expired || show.Lots[0].Opened == nil || show.Lots[0].Expires == nil || len(show.Uses) != 2 || !show.All {
		t.Errorf("show: %+v", show)
	}
	mustAddUp(t, show.SupplyReading)
}

// Refusals of the supplies: class, words, and something to type.
func TestSupplyRefusals(t *testing.T) {
	path := supplied(t)
	do(t, path, start, SupplyAdd, &SupplyAddAsk{Supply: "tape", Unit: "m"})
	do(t, path, start, SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "10", Neck: "N1", TakeAsk: TakeAsk{Lot: 1}})
	do(t, path, start, SupplyOpen, &SupplyOpenAsk{Supply: "wood-glue", Lot: 1})
	for _, c := range []struct {
		name string
		verb Verb
		ask  Ask
		is   error
		why  string
	}{
		{"no unit", SupplyAdd, &SupplyAddAsk{Supply: "wax"}, jobs.ErrInvalid, "NOT ADDED: the unit is missing"},
		{"no such unit", SupplyAdd, &SupplyAddAsk{Supply: "wax", Unit: "litre"}, jobs.ErrInvalid, "type g, ml"},
		{"there already", SupplyAdd, &SupplyAddAsk{Supply: "wood-glue", Unit: "ml"}, jobs.ErrConflict, "is there already"},
		{"nothing to set", SupplySet, &SupplySetAsk{Supply: "wood-glue"}, jobs.ErrInvalid, "NOT CHANGED: nothing to change was typed"},
		{"bad days", SupplySet, &SupplySetAsk{Supply: "wood-glue", SupplyFields: SupplyFields{PurchaseFields: PurchaseFields{DeliveryDays: days(-1)}}}, jobs.ErrInvalid, "delivery-days"},
		{"no price", SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "10"}, jobs.ErrInvalid, "the price of the whole quantity is missing"},
		{"a gift with a price", SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "10", Gift: true, Price: coins("1")}, jobs.ErrInvalid, "no price for a gift"},
		{"a day to come", SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "10", Price: coins("1"), LateAsk: onDay("2026-03-01")}, jobs.ErrInvalid, "a day that has been"},
		{"open twice", SupplyOpen, &SupplyOpenAsk{Supply: "wood-glue", Lot: 1}, jobs.ErrConflict, "is open since 2026-01-06"},
		{"no such supply", SupplyUse, &SupplyUseAsk{Supply: "wood-gleu", Quantity: "1"}, jobs.ErrNotFound, "there is no supply"},
		{"no such cause", SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "1", Rework: "weather"}, jobs.ErrInvalid, "rework"},
		{"no such step", SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "1", Neck: "N1", Step: 99}, jobs.ErrInvalid, "a step of"},
		{"a lot of another", SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "1", TakeAsk: TakeAsk{Lot: 99}}, jobs.ErrNotFound, "there is no lot"},
		{"too much written off", SupplyWriteOff, &SupplyCountAsk{Supply: "wood-glue", Quantity: "5000"}, jobs.ErrConflict, "only 340 ml of wood-glue are there"},
		{"from no neck", SupplyOffcut, &SupplyOffcutAsk{Supply: "wood-glue", Quantity: "1"}, jobs.ErrInvalid, "the neck it comes back from is missing"},
		{"more than it took", SupplyOffcut, &SupplyOffcutAsk{Supply: "wood-glue", Quantity: "11", Neck: "N1"}, jobs.ErrConflict, "no more can come back"},
		{"a use or a lot", SupplyAmend, &SupplyAmendAsk{What: "wood-glue", ID: 1}, jobs.ErrInvalid, "can be a use or a lot"},
		{"no such use", SupplyDrop, &SupplyDropAsk{What: "use", ID: 99}, jobs.ErrNotFound, "there is no use"},
		{"a lot that a use names", SupplyDrop, &SupplyDropAsk{What: "lot", ID: 1}, jobs.ErrConflict, "was taken from lot 1 by name"},
		{"no quantity to order", ShoppingOrder, &ShoppingOrderAsk{What: "tape"}, jobs.ErrInvalid, "how much to order is not known"},
		{"no such part", ShoppingOrder, &ShoppingOrderAsk{What: "part 99"}, jobs.ErrNotFound, "there is no part"},
	} {
		err := refuse(t, path, start, c.verb, c.ask)
		if !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: got %v, want %q of class %v", c.name, err, c.why, c.is)
		}
		var r *jobs.Refusal
		if errors.As(err, &r) && len(r.Type) == 0 && r.Word == "" {
			t.Errorf("%s: nothing to type: %+v", c.name, r)
		}
	}
	mustBeSound(t, path)
}

// A record that comes before a stock count changes nothing in the stock, and that
// is said, with the way out where both are of one day.
func TestCountedSince(t *testing.T) {
	path := supplied(t)
	stockOf(t, path, 11, SupplyCount, &SupplyCountAsk{Supply: "wood-glue", Quantity: "340", TakeAsk: TakeAsk{LateAsk: onDay("2026-01-06")}})
	r := stockOf(t, path, 12, SupplyUse, &SupplyUseAsk{Supply: "wood-glue", Quantity: "5", TakeAsk: TakeAsk{LateAsk: onDay("2026-01-06 20:00")}})
	if len(r.Warnings) != 1 || r.Warnings[0].Hint != "oops" || r.OnHand.String() != "340" {
		t.Errorf("got %+v", r)
	}
}
