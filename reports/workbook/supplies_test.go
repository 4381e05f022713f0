package workbook

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
)

// stocked is an invented shop with a glue of two lots, the second soon over, and
// an oil that was used before any came.
func stocked(t *testing.T) *workshop.Workshop {
	shop := workshop.At(filepath.Join(t.TempDir(), "shop.db"), func() time.Time { return reporttest.Made })
	amount := func(s string) *money.Amount { a := money.MustParse(s); return &a }
	level, days := money.QtyOf(120), 7
	for _, x := range []struct {
		verb workshop.Verb
		ask  workshop.Ask
	}{
		{workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Bench"}, "currency": {"EUR"}, "zone": {"UTC"}}}},
		{workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "glue", Unit: "ml", SupplyFields: workshop.SupplyFields{Reorder: &level, PurchaseFields: workshop.PurchaseFields{DeliveryDays: &days}}}},
		{workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "finish-oil", Unit: "ml"}},
		{workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "glue", Quantity: "200", Price: amount("18.00"), LateAsk: workshop.LateAsk{On: "2026-01-05"}}},
		{workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "glue", Quantity: "150", Price: amount("16.50"), LateAsk: workshop.LateAsk{On: "2026-02-10"}}},
		{workshop.SupplyUse, &workshop.SupplyUseAsk{Supply: "glue", Quantity: "250", TakeAsk: workshop.TakeAsk{LateAsk: workshop.LateAsk{On: "2026-03-01"}}}},
		{workshop.SupplyUse, &workshop.SupplyUseAsk{Supply: "finish-oil", Quantity: "10", TakeAsk: workshop.TakeAsk{LateAsk: workshop.LateAsk{On: "2026-03-02"}}}},
	} {
		if _, err := shop.Do(x.verb, x.ask); err != nil {
			t.Fatal(x.verb.Name, err)
		}
	}
	return shop
}

// Every report of the supplies fits a screen, and its workbook computes anew to
// the same figures.
func TestSuppliesReport(t *testing.T) {
	shop := stocked(t)
	read := func(v workshop.Verb, ask workshop.Ask) workshop.Result {
		r, err := shop.Do(v, ask)
		if err != nil {
			t.Fatal(v.Name, err)
		}
		return r
	}
	list := read(workshop.SupplyList, &workshop.SupplyListAsk{}).(*workshop.SupplyListResult)
	for _, r := range []reports.Report{
		reports.Supplies(list).At(reports.First), reports.Supplies(list),
		reports.SupplyCard(read(workshop.SupplyShow, &workshop.SupplyShowAsk{Supply: "glue", All: true}).(*workshop.SupplyShowResult)),
		reports.LotUsers(read(workshop.SupplyLot, &workshop.SupplyLotAsk{Lot: 1}).(*workshop.SupplyLotResult)),
	} {
		var out bytes.Buffer
		if err := (screen.Screen{}).Print(&out, r); err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		for _, l := range strings.Split(out.String(), "\n") {
			if n := plain.Width(l); n > screen.Usual {
				t.Errorf("%s: %d columns: %s", r.Name, n, l)
			}
		}
		if r.Table("expiring") != nil || r.Table("account") != nil { // one after the other takes long
			sameRecalculated(t, writeBook(t, r))
		}
	}
	var out bytes.Buffer
	if err := (screen.Screen{}).Print(&out, reports.Supplies(list).At(reports.Full)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Order now: finish-oil 10 ml, glue 150 ml.", "finish-oil: more was used than came in", "-10", "2026-02-10"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the report lacks %q:\n%s", want, out.String())
		}
	}
}
