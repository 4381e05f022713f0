package workbook

import (
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/reports"
)

// One neck sold for 900.00 net with 100.00 bought for it and 16 hours in all,
// 10 of them this year: 800 / 16 = 50.00 an hour. 2600.00 of overhead over the
// 10 hours is 260.00. All worked by hand.
func yearOfOneNeck() reports.YearInput {
	closed := time.Date(2026, 6, 2, 20, 0, 0, 0, time.UTC)
	shop := jobs.DefaultShop()
	shop.Currency, shop.Zone, shop.Overhead = "EUR", "Europe/Berlin", money.MustParse("7.50")
	in := reports.YearInput{Shop: shop, Year: 2026, Now: time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC),
		Necks:  []jobs.Neck{{Code: "N1", Nickname: "ada", Paid: true, Status: jobs.Finished, Closed: &closed}, {Code: "N2", Status: jobs.Open}},
		Prices: map[string]money.Amount{"N1": money.MustParse("900.00")}, Bought: map[string]money.Amount{"N1": money.MustParse("100.00")},
		Hours: map[string]reports.NeckHours{"N1": {All: 16 * time.Hour}}, Unlogged: estimate.Unlogged{Factor: 1.25, Measured: 1.3, Evenings: 5},
		Quotes: &quote.Calibration{N: 3, UnderSafe: 2, Low: 0.21, High: 0.94, Verdict: "too few to say"},
		Uses:   []jobs.BitUse{{Bit: "S1", Holes: 12, On: closed}, {Bit: "S2", Holes: 6, On: closed}, {Bit: "S2", Holes: 1, Test: true, On: closed}}}
	in.Overhead = quote.Absorb(money.MustParse("2600"), 10*time.Hour, 330, 0)
	for i := range 5 {
		from := time.Date(2026, time.Month(1+i), 6, 18, 0, 0, 0, time.UTC)
		to := from.Add(2 * time.Hour)
		e := jobs.Entry{ID: uint64(i + 1), Operation: "flush-sand", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1", Step: 1, Count: 1}}, From: from, To: &to}
		if i == 4 {
			e.Class, e.Cause = jobs.Rework, "glue"
		}
		if i == 3 {
			e.Shares[0].Neck = "N2"
		}
		in.Entries = append(in.Entries, e)
	}
	return in
}

func TestYearFigures(t *testing.T) {
	r := reports.Year(yearOfOneNeck())
	v := r.Format()
	fig := r.Table("year")
	for key, want := range map[string]string{
		"finished": "1", "evenings": "5", "logged": "10.0", "paid": "8.0", "paidpart": "80 %", "loose": "1.30", "perneck": "16.0",
		"earned": "50.00", "overhead": "260.00", "hits": "67 %", "holes": "9.00",
	} {
		found := false
		for _, row := range fig.Rows {
			if row.Key == key {
				found = true
				if got := v.Show(row.At(1), fig.Columns[1]); got != want {
					t.Errorf("%s is %s, want %s", key, got, want)
				}
			}
		}
		if !found {
			t.Errorf("no figure %s", key)
		}
	}
	if row := r.Table("rework").Rows[0]; v.Show(row.At(0), reports.Column{}) != "glue" || row.At(2).Decimal().String() != "2" {
		t.Errorf("rework: %v", row)
	}
	if n := sameRecalculated(t, writeBook(t, r)); n < 20 {
		t.Errorf("%d formulas compared, want 20 at least", n)
	}
}

// The overhead of a year is an input: 3300.00 over 10 hours is 330.00.
func TestYearFollowsInput(t *testing.T) {
	f := openBook(t, convert(t, stripCache(t, writeBook(t, reports.Year(yearOfOneNeck())), map[string]float64{"yearly_overhead": 3300}), "xlsx"))
	if got := cellByText(t, f, "year", "overhead true", "value"); !near(got, "330", 0.005) {
		t.Errorf("overhead true at 3300.00 a year is %s, want 330.00", got)
	}
}
