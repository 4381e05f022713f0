package workbook

import (
	"fmt"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

// One neck sold for 900.00 net with 100.00 bought for it and 16 hours in all,
// 10 of them this year: 800 / 16 = 50.00 an hour. 2600.00 of overhead over the
// 10 hours is 260.00. All worked by hand.
func yearOfOneNeck() *workshop.YearResult {
	closed := time.Date(2026, 6, 2, 20, 0, 0, 0, time.UTC)
	amount := func(s string) *money.Amount { a := money.MustParse(s); return &a }
	per := 960.0
	r := &workshop.YearResult{Meta: workshop.Meta{Currency: "EUR", Zone: "Europe/Berlin", Made: time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)}, Year: 2026, Running: true, Days: 335,
		Evenings: 5, LoggedMin: 600, PaidMin: 480, Finished: 1, FinishedPaid: 1, PerNeckMin: &per, Sold: 1, SoldMin: 960, EarnedPerHour: amount("50"), TrueOverhead: amount("260"),
		Charged: money.MustParse("7.50"), Holes: 18, BitsUsed: 2, Unlogged: estimate.Unlogged{Factor: 1.25, Measured: 1.3, Evenings: 5},
		Overhead: quote.Absorb(money.MustParse("2600"), 10*time.Hour, 330, 0), Quotes: &quote.Calibration{N: 3, UnderSafe: 2, Low: 0.21, High: 0.94, Verdict: "too few to say"},
		Necks: []workshop.YearNeck{{Neck: "N1", Nickname: "ada", Paid: true, Status: jobs.Finished, Finished: &closed, YearMin: 480, Net: amount("900"), Bought: amount("100"), AllMin: 960},
			{Neck: "N2", Status: jobs.Open, YearMin: 120}},
		Rework: []workshop.YearCause{{Cause: "glue", Entries: 1, Min: 120}},
		Bits:   []workshop.YearBit{{Bit: "S1", Holes: 12}, {Bit: "S2", Holes: 6, Tests: 1}},
		Times:  []workshop.OperationReading{{Operation: "flush-sand", SetupMin: 5, RunMin: 10, Quantity: 1, N: 5, Pace: 1.2, LikelyMin: 18, SafeMin: 24, Newest: "2026-05-06", Oldest: "2026-01-06"}}}
	for m := 1; m <= 12; m++ {
		x := workshop.YearMonth{Month: fmt.Sprintf("2026-%02d", m)}
		if m <= 5 {
			x.Evenings, x.LoggedMin, x.PaidMin = 1, 120, 120
		}
		switch m {
		case 4:
			x.PaidMin = 0
		case 5:
			x.ReworkMin = 120
		case 6:
			x.Finished = 1
		}
		r.Months = append(r.Months, x)
	}
	return r
}

func TestYearFigures(t *testing.T) {
	r := reports.Year(yearOfOneNeck())
	v := r.Format()
	fig := r.Table("year")
	for key, want := range map[string]string{
		"finished": "1", "evenings": "5", "logged": "10.0", "paid": "8.0", "paidpart": "80 %", "unlogged": "30 %", "perneck": "16.0",
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
	if got := cellByText(t, f, "year", "true overhead", "value"); !near(got, "330", 0.005) {
		t.Errorf("true overhead at 3300.00 a year is %s, want 330.00", got)
	}
}
