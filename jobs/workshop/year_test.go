package workshop

import (
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// A sold neck with 16 hours, 10 of them this year and two more for a neck for
// stock: an hour earned the net price less what was bought over 16, and 2600.00 of
// overhead over 12 logged hours is 216.67. By hand.
func TestYear(t *testing.T) {
	path := acceptedQuote(t, nil)
	do(t, path, start, ShopSet, &ShopSetAsk{Key: "yearly-overhead", Value: "2600"})
	var net, bought money.Amount
	update(t, path, start.AddDate(1, 5, 0), "test", func(b *Book) error {
		n, err := b.FindNeck("ada")
		if err != nil {
			return err
		}
		other := jobs.Neck{Code: "N9", Wood: n.Wood, Route: n.Route, Steps: n.Steps, Status: jobs.Open}
		if err := store.Put(b.Tx, store.Necks, other); err != nil {
			return err
		}
		log := func(neck string, from time.Time, hours int, class jobs.Class, cause string) error {
			to := from.Add(time.Duration(hours) * time.Hour)
			e := jobs.Entry{Operation: n.Steps[0].Operation, Class: class, Cause: cause, Shares: []jobs.Share{{Neck: neck, Step: 1, Count: 1}}, From: from, To: &to}
			var err error
			if e.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
				return err
			}
			return store.Put(b.Tx, store.Entries, e)
		}
		for i := range 3 {
			if err := log(n.Code, start.AddDate(0, 0, 7+7*i), 2, jobs.First, ""); err != nil {
				return err
			}
		}
		for i := range 5 {
			class, cause := jobs.First, ""
			if i == 4 {
				class, cause = jobs.Rework, "glue"
			}
			if err := log(n.Code, start.AddDate(1, i, 0), 2, class, cause); err != nil {
				return err
			}
		}
		if err := log("N9", start.AddDate(1, 0, 7), 2, jobs.First, ""); err != nil {
			return err
		}
		closed := start.AddDate(1, 5, -1)
		n.Status, n.Closed, n.Paid = jobs.Finished, &closed, true
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return err
		}
		prices, err := b.soldPrices([]jobs.Neck{n})
		if err != nil {
			return err
		}
		cost, err := b.NeckCost(n)
		net, bought = b.Shop.Currency.Line(prices[n.Code]), money.Sum(cost.Supplies, cost.Bits, cost.Parts)
		return err
	})
	r := do(t, path, start.AddDate(1, 6, 0), Year, &YearAsk{Year: "2027"}).(*YearResult)
	if r.LoggedMin != 720 || r.PaidMin != 600 || r.Evenings != 6 || r.Finished != 1 || r.SoldMin != 960 || *r.PerNeckMin != 960 {
		t.Errorf("logged %v, paid %v, evenings %d, finished %d, sold %v, a neck %v", r.LoggedMin, r.PaidMin, r.Evenings, r.Finished, r.SoldMin, *r.PerNeckMin)
	}
	want := net.Sub(bought).Div(decimal.NewFromInt(16))
	if net.Sign() <= 0 || r.EarnedPerHour == nil || r.EarnedPerHour.Round(2).Cmp(want.Round(2)) != 0 {
		t.Errorf("an hour earned %v, want %v", r.EarnedPerHour, want)
	}
	if got := r.TrueOverhead.Round(2).String(); got != "216.67" {
		t.Errorf("true overhead %s", got)
	}
	if len(r.Rework) != 1 || r.Rework[0].Cause != "glue" || r.Rework[0].Min != 120 {
		t.Errorf("rework: %+v", r.Rework)
	}
	refuse(t, path, start, Year, &YearAsk{Year: "26"})
}

// Evenings a week count from the day the shop began: that of its first record, or of
// earlier work that was entered afterwards; a year started in another counts whole.
func TestYearSinceTheShopBegan(t *testing.T) {
	path := newFile(t) // started on 6 January 2026
	do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N1", Nickname: "ada", Wood: "hard-maple"})
	days := func(now time.Time, year string) int {
		t.Helper()
		return do(t, path, now, Year, &YearAsk{Year: year}).(*YearResult).Days
	}
	late := start.AddDate(0, 0, 19) // the 20th day of the shop, counting the first
	if n := days(late, ""); n != 20 {
		t.Errorf("a shop of 20 days: %d", n)
	}
	do(t, path, late, Spent, &SpentAsk{Minutes: 30, Operation: "choose-veneer", Text: "ada", On: "2026-01-03"})
	if n := days(late, ""); n != 23 {
		t.Errorf("with work of the 3rd: %d days, want 23", n)
	}
	if n := days(start.AddDate(1, 0, 0), "2027"); n != 6 {
		t.Errorf("6 January of the next year: %d days", n)
	}
	if n := days(start.AddDate(1, 0, 0), "2025"); n != 0 {
		t.Errorf("the year before: %d days", n)
	}
}
