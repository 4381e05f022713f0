package reports_test

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
	"bookmatch/reports/screen"
)

// bench plays verbs on a shop of its own, a minute apart.
type bench struct {
	t    *testing.T
	shop *workshop.Workshop
	now  time.Time
}

func newBench(t *testing.T) *bench {
	b := &bench{t: t, now: time.Date(2026, 3, 10, 18, 0, 0, 0, time.UTC)}
	b.shop = workshop.At(filepath.Join(t.TempDir(), "shop.db"), func() time.Time { b.now = b.now.Add(time.Minute); return b.now })
	b.do(workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Bench"}, "currency": {"EUR"}, "zone": {"UTC"}, "labour": {"34"}}})
	return b
}

func (b *bench) do(v workshop.Verb, ask workshop.Ask) workshop.Result {
	b.t.Helper()
	r, err := b.shop.Do(v, ask)
	if err != nil {
		b.t.Fatal(v.Name, err)
	}
	return r
}

func cash(s string) *money.Amount { a := money.MustParse(s); return &a }

// says checks the lines of an echo.
func (b *bench) says(view func(workshop.Result) reports.Report, r workshop.Result, want ...string) {
	b.t.Helper()
	got := view(r)
	if text := strings.Join(append(got.Headline, got.Notes...), "\n"); text != strings.Join(want, "\n") {
		b.t.Errorf("got\n%s\nwant\n%s", text, strings.Join(want, "\n"))
	}
}

// The echoes of the supplies say what was done, what it cost, and what is on hand.
// 200 at 0.09 and 100 at 0.12.
func TestSupplyEchoes(t *testing.T) {
	b := newBench(t)
	level, days := money.QtyOf(150), 7
	supplier := "Corner shop"
	lot, taken := reports.View(reports.LotAdded), reports.View(reports.StockTaken)
	b.says(reports.View(reports.SupplyAdded), b.do(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "glue", Unit: "ml"}), "ADDED glue, kept in ml. Its use decides when to order.", "Next: supply receive glue 250 --price 12.50")
	b.says(reports.View(reports.SupplySet), b.do(workshop.SupplySet, &workshop.SupplySetAsk{Supply: "glue", SupplyFields: workshop.SupplyFields{Reorder: &level, PurchaseFields: workshop.PurchaseFields{Supplier: &supplier, DeliveryDays: &days}}}),
		"CHANGED glue: supplier Corner shop, reorder 150 ml, delivery-days 7.")
	b.says(lot, b.do(workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "glue", Quantity: "200", Price: cash("18")}), "ADDED lot 1: 200 ml of glue for EUR 18.00. On hand: 200 ml, worth EUR 18.00.")
	b.says(reports.View(reports.LotOpened), b.do(workshop.SupplyOpen, &workshop.SupplyOpenAsk{Supply: "glue"}), "OPENED lot 1 of glue on 10 Mar 2026.", "Follow the label.")
	b.says(taken, b.do(workshop.SupplyUse, &workshop.SupplyUseAsk{Supply: "glue", Quantity: "250"}), "LOGGED use 1: 250 ml of glue, EUR 22.50 charged to overhead.", "From 200 of lot 1, 50 beyond the stock. On hand: -50 ml, worth EUR -4.50.")
	b.says(lot, b.do(workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "glue", Quantity: "100", Price: cash("12")}), "ADDED lot 2: 100 ml of glue for EUR 12.00. On hand: 50 ml, worth EUR 6.00.", "Use 1 is worth EUR 24.00 now, was EUR 22.50, settled.")
	b.says(taken, b.do(workshop.SupplyCount, &workshop.SupplyCountAsk{Supply: "glue", Quantity: "40"}), "LOGGED count 2: 40 ml of glue, 10 ml short. EUR 1.20 charged to overhead.", "On hand: 40 ml, worth EUR 4.80.")
	b.says(taken, b.do(workshop.SupplyCount, &workshop.SupplyCountAsk{Supply: "glue", Quantity: "45"}), "LOGGED count 3: 45 ml of glue, 5 ml more than expected. EUR 0.60 credited to overhead.", "On hand: 45 ml, worth EUR 5.40.")
	b.says(taken, b.do(workshop.SupplyCount, &workshop.SupplyCountAsk{Supply: "glue", Quantity: "45"}), "LOGGED count 4: 45 ml of glue, as expected.", "On hand: 45 ml, worth EUR 5.40.")
	b.says(taken, b.do(workshop.SupplyWriteOff, &workshop.SupplyCountAsk{Supply: "glue", Quantity: "5"}), "LOGGED write-off 5: 5 ml of glue, EUR 0.60 charged to overhead.", "From lot 2. On hand: 40 ml, worth EUR 4.80.")
	q := "240"
	b.says(reports.View(reports.StockAmended), b.do(workshop.SupplyAmend, &workshop.SupplyAmendAsk{What: "use", ID: 1, Quantity: &q}), "CHANGED use 1: 240 ml of glue, EUR 22.80 charged to overhead.", "From 200 of lot 1, 40 of lot 2. On hand: 40 ml, worth EUR 4.80.")
	b.says(reports.View(reports.StockAmended), b.do(workshop.SupplyAmend, &workshop.SupplyAmendAsk{What: "lot", ID: 1, Price: cash("20")}), "CHANGED lot 1: 200 ml of glue for EUR 20.00. On hand: 40 ml, worth EUR 4.80.", "Use 1 is worth EUR 24.80 now, was EUR 22.80.")
	b.says(reports.View(reports.StockRemoved), b.do(workshop.SupplyDrop, &workshop.SupplyDropAsk{What: "use", ID: 5}), "REMOVED use 5: 5 ml of glue. On hand: 45 ml, worth EUR 5.40.")
	b.says(reports.View(reports.ShoppingOrdered), b.do(workshop.ShoppingOrder, &workshop.ShoppingOrderAsk{What: "glue"}), "ORDERED glue, 200 ml, from Corner shop, expected 17 Mar 2026.", "When it comes, type: supply receive glue 200 --price 24.00")
}

// Every first screen of the supplies fits 24 lines and the width of the terminal,
// at 60, 80 and 120 columns, with a long history too.
func TestSupplyScreensFit(t *testing.T) {
	b := newBench(t)
	for _, name := range []string{"glue", "abrasive-sleeve", "finish-oil"} {
		level, days := money.QtyOf(500), 30
		b.do(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: name, Unit: "ml", SupplyFields: workshop.SupplyFields{Reorder: &level, OpenLifeDays: &days}})
		for range 8 {
			b.do(workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: name, Quantity: "10", Price: cash("3.33"), LateAsk: workshop.LateAsk{On: "2026-03-01"}})
			b.do(workshop.SupplyUse, &workshop.SupplyUseAsk{Supply: name, Quantity: "9", TakeAsk: workshop.TakeAsk{Why: "test joints"}})
		}
		b.do(workshop.SupplyOpen, &workshop.SupplyOpenAsk{Supply: name})
	}
	for name, r := range map[string]reports.Report{
		"supply list": reports.Supplies(b.do(workshop.SupplyList, &workshop.SupplyListAsk{}).(*workshop.SupplyListResult)),
		"supply show": reports.SupplyCard(b.do(workshop.SupplyShow, &workshop.SupplyShowAsk{Supply: "glue"}).(*workshop.SupplyShowResult)),
		"supply lot":  reports.LotUsers(b.do(workshop.SupplyLot, &workshop.SupplyLotAsk{Lot: 1}).(*workshop.SupplyLotResult)),
		"shopping":    reports.Shopping(b.do(workshop.Shopping, &workshop.ShoppingAsk{}).(*workshop.ShoppingResult)),
	} {
		for _, width := range []int{60, 80, 120} {
			for depth, lines := range map[reports.Depth]int{reports.First: 24, reports.First | reports.Why: 200} {
				var out bytes.Buffer
				if err := (screen.Screen{Width: width}).Print(&out, r.At(depth)); err != nil {
					t.Fatal(name, err)
				}
				got := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
				if len(got) > lines && width >= 80 {
					t.Errorf("%s at %d columns: %d lines\n%s", name, width, len(got), out.String())
				}
				for _, l := range got {
					if plain.Width(l) > width {
						t.Errorf("%s: %d columns in %d: %s", name, plain.Width(l), width, l)
					}
				}
			}
		}
	}
}
