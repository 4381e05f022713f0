package workshop

import (
	"slices"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

func word(s string) *string         { return &s }
func coins(s string) *money.Amount  { a := money.MustParse(s); return &a }
func amountQty(s string) *money.Qty { q := testQty(s); return &q }
func days(n int) *int               { return &n }
func onDay(d string) LateAsk        { return LateAsk{On: d} }
func listed(t *testing.T, path string) *ShoppingResult {
	t.Helper()
	return do(t, path, start, Shopping, &ShoppingAsk{}).(*ShoppingResult)
}

// What is below its level is on the list, ticking it off orders it, a
// delivery takes it off, and oops brings everything back.
func TestShoppingOrdersAndReceives(t *testing.T) {
	path := newFile(t)
	do(t, path, start, SupplyAdd, &SupplyAddAsk{Supply: "wood-glue", Unit: "ml", SupplyFields: SupplyFields{Reorder: amountQty("150"), Pack: amountQty("250"), PurchaseFields: PurchaseFields{Supplier: word("Corner shop"), DeliveryDays: days(5)}}})
	do(t, path, start, SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "100ml", Price: coins("5"), LateAsk: onDay("2026-01-02")})
	r := listed(t, path)
	if len(r.Items) != 1 || r.Items[0].OrderBy != "2026-01-06" || r.Items[0].Supplier != "Corner shop" || r.Cost.Fixed(2) != "12.50" || r.Headline != "1 thing to order, about EUR 12.50." {
		t.Fatalf("got %q, %+v", r.Headline, r.Items)
	}
	do(t, path, start, SupplyAdd, &SupplyAddAsk{Supply: "gloves", Unit: "pc", SupplyFields: SupplyFields{Reorder: amountQty("20")}})
	if r := listed(t, path); r.Headline != "2 things to order, about EUR 12.50 and 1 without a price." {
		t.Errorf("a thing without a price: %q", r.Headline)
	}
	do(t, path, start, Oops, &OopsAsk{})
	ordered := do(t, path, start, ShoppingOrder, &ShoppingOrderAsk{What: "wood"}).(*ShoppingOrdered)
	if ordered.Code != "wood-glue" || ordered.Arrives != "2026-01-11" || ordered.Quantity.String() != "250" {
		t.Errorf("got %+v", ordered.Item)
	}
	if r := listed(t, path); r.Headline != "Nothing to order." || r.Items[0].OrderBy != "" || !r.Cost.IsZero() {
		t.Errorf("ordered: %q, %+v", r.Headline, r.Items)
	}
	do(t, path, start, SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "250", Price: coins("12")})
	if r := listed(t, path); len(r.Items) != 0 {
		t.Errorf("it came and is still listed: %+v", r.Items)
	}
	do(t, path, start, Oops, &OopsAsk{})
	if r := listed(t, path); len(r.Items) != 1 || r.Items[0].Quantity.String() != "250" {
		t.Errorf("after oops: %+v", r.Items)
	}
	mustBeSound(t, path)
}

// A neck's parts and the next bit are on the list too. A new bit of the class takes
// its order off.
func TestShoppingPartsAndBits(t *testing.T) {
	path := newFile(t)
	do(t, path, start, ShopSetup, &ShopSetupAsk{Settings: map[string][]string{"labour": {"34"}}})
	update(t, path, start, "a neck with a part", func(b *Book) error {
		n := jobs.Neck{Code: "N1", Nickname: "ada", Status: jobs.Open, Added: start, Due: "2026-03-31", Steps: []jobs.Step{{No: 1, Operation: "drill", Quantity: 6}, {No: 2, Operation: "fit-tuners", Quantity: 1}}}
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return err
		}
		id, err := store.NextID(b.Tx, store.Parts)
		if err != nil {
			return err
		}
		return store.Put(b.Tx, store.Parts, jobs.Part{ID: id, Neck: "N1", Name: "tuners", Quantity: 6, Price: money.MustParse("84")})
	})
	do(t, path, start, BitAdd, &BitAddAsk{Code: "S10-1", Diameter: "10", Point: "brad", Keep: jobs.KeepShow, Price: coins("14"), Life: "20"})
	do(t, path, start, BitUse, &BitUseAsk{Bit: "S10-1", Holes: days(12)})
	codes := func() (out []string) {
		for _, x := range listed(t, path).Items {
			out = append(out, x.Code)
		}
		slices.Sort(out)
		return out
	}
	if got := codes(); !slices.Equal(got, []string{"bit S10-1", "part 1"}) {
		t.Fatalf("got %v", got)
	}
	do(t, path, start, ShoppingOrder, &ShoppingOrderAsk{What: "part 1"})
	do(t, path, start, ShoppingOrder, &ShoppingOrderAsk{What: "bit S10-1"})
	if i := slices.IndexFunc(listed(t, path).Items, func(x stock.Item) bool { return x.OrderBy != "" }); i >= 0 {
		t.Errorf("still to order: %+v", listed(t, path).Items[i])
	}
	do(t, path, start, BitAdd, &BitAddAsk{Code: "S10-2", Diameter: "10", Point: "brad", Keep: jobs.KeepShow, Price: coins("14"), Life: "133"})
	if got := codes(); !slices.Equal(got, []string{"part 1"}) {
		t.Errorf("after the new bit: %v", got)
	}
	mustBeSound(t, path)
}
