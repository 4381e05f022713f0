package quote

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

func eur(labour, overhead string) RateCard {
	return RateCard{Currency: "EUR", Labour: money.MustParse(labour), Overhead: money.MustParse(overhead)}
}

// 8 h 20 min at 34.00 is 283.333..., overhead at 7.50 is exactly 62.50.
func TestCostNeckLines(t *testing.T) {
	glueUse := fifo(glue, []jobs.Lot{lot(1, "2026-01-05", "200", "18.00"), lot(2, "2026-02-10", "150", "16.50")}, use(3, "2026-03-01", "250", "N1"))
	in := NeckInput{
		Neck:  jobs.Neck{Code: "N1", Status: jobs.Open},
		Rates: eur("34.00", "7.50"),
		Work: []WorkShare{
			{Entry: 1, Operation: "flush", Class: jobs.First, Span: 5*time.Hour + 10*time.Minute},
			{Entry: 2, Operation: "drill", Class: jobs.First, Span: 3*time.Hour + 10*time.Minute, Assumed: true},
			{Entry: 3, Operation: "drill", Class: jobs.Rework, Span: 90 * time.Minute, Cause: "bit"},
			{Entry: 4, Operation: "choose", Class: jobs.Deciding, Span: 25 * time.Minute},
		},
		Issues: glueUse.ForNeck("N1"),
		Units:  map[string]jobs.Supply{"glue": glue},
		Pieces: []jobs.Piece{{Code: "V1", Kind: jobs.PieceVeneer, Wood: "walnut", Price: money.MustParse("9.00")}},
		Cuts:   []jobs.Piece{{Code: "V1b", From: "V1", Price: money.MustParse("1.50")}},
		Bits:   []BitWear{{Bit: "S10-1", Edge: 1, CutM: 0.1, LifeM: 2, Change: money.MustParse("14.00"), Basis: "rated"}},
		Parts: []jobs.Part{
			{ID: 2, Name: "tuners", Quantity: 6, Price: money.MustParse("78.00"), Freight: money.MustParse("6.50"), Tax: money.MustParse("17.75"), Reclaimable: true},
			{ID: 3, Name: "truss rod", Quantity: 1, Price: money.MustParse("12.00"), Tax: money.MustParse("2.52")},
		},
	}
	got := CostNeck(in)
	for _, c := range []struct {
		what string
		got  money.Amount
		want string
	}{
		{"labour", got.Labour, "297.50"}, // 283.33 + decisions 14.17
		{"decisions", got.Decisions, "14.17"},
		{"overhead", got.Overhead, "65.63"}, // 8 h 45 min x 7.50 = 65.625
		{"supplies", got.Supplies, "31.00"}, // 23.50 + 9.00 - 1.50
		{"bits", got.Bits, "0.70"},
		{"parts", got.Parts, "99.02"},   // 84.50 + 14.52
		{"rework", got.Rework, "62.25"}, // 1 h 30 min at 34.00 + 7.50
		{"total", got.Total, "556.10"},
		{"assumed or estimated", got.Assumed, "349.66"}, // labour 283.33, overhead 65.63, bits 0.70
	} {
		eq(t, c.what, c.got, c.want)
	}
	if l := got.Lines[0]; l.Amount.Fixed(2) != "283.33" || l.Minutes != 500 || !slices.Contains(l.Marks, MarkAssumed) || l.Basis != "flush, drill; 3 h 10 min of it assumed, not clocked" {
		t.Errorf("first line %+v", l)
	}
	if got.Scrap != nil {
		t.Errorf("an open neck has no scrap cost")
	}

	in.Neck.Status, in.Neck.Why, in.Stage = jobs.Scrapped, "crack at the tip", "drill"
	back := lot(9, "2026-03-02", "10", "0.40")
	back.Source, back.Neck = jobs.SourceSalvage, "N1"
	in.Issues = fifo(glue, []jobs.Lot{lot(1, "2026-01-05", "200", "18.00"), lot(2, "2026-02-10", "150", "16.50"), back}, use(3, "2026-03-01", "250", "N1")).ForNeck("N1")
	got = CostNeck(in)
	eq(t, "sunk", got.Scrap.Sunk, "556.10")
	eq(t, "salvaged", got.Scrap.Salvaged, "0.40")
	eq(t, "loss", got.Scrap.Loss, "555.70")
	if got.Scrap.Stage != "drill" || got.Scrap.Minutes != 615 {
		t.Errorf("scrap %+v", got.Scrap)
	}
}

// Rework by cause and payer, with the supplies used in it and the hours of a
// operation that has its own rate.
func TestCostNeckRework(t *testing.T) {
	rates := eur("34.00", "7.50")
	rates.ByOperation = []OperationRate{{"inlay", money.MustParse("40.00")}}
	ledger := fifo(glue, []jobs.Lot{lot(1, "2026-01-05", "100", "10.00")},
		use(2, "2026-03-01", "10", "N1"),
		jobs.SupplyUse{ID: 3, Supply: "glue", Kind: jobs.UseIssue, Quantity: qty("5"), On: on("2026-03-02"), Neck: "N1", Entry: 7})
	got := CostNeck(NeckInput{Neck: jobs.Neck{Code: "N1"}, Rates: rates, Units: map[string]jobs.Supply{"glue": glue}, Issues: ledger.ForNeck("N1"), Work: []WorkShare{
		{Entry: 5, Operation: "inlay", Class: jobs.First, Span: time.Hour},
		{Entry: 6, Operation: "flush", Class: jobs.First, Span: time.Hour},
		{Entry: 7, Operation: "inlay", Class: jobs.Rework, Cause: "customer", Payer: "customer", Span: time.Hour},
		{Entry: 8, Operation: "flush", Class: jobs.Rework, Span: 30 * time.Minute},
	}})
	eq(t, "labour", got.Labour, "74.00")
	eq(t, "overhead", got.Overhead, "15.00")
	eq(t, "supplies", got.Supplies, "1.00")
	eq(t, "rework", got.Rework, "68.75") // 47.50 + 20.75 + 0.50
	eq(t, "customer pays", got.CustomerPays, "47.50")
	var keys []string
	for _, l := range got.Lines {
		keys = append(keys, l.Key)
	}
	want := []string{"labour@40.00", "labour@34.00", "overhead", "supply:glue", "rework:customer:customer@47.50", "rework:other:shop@41.50", "rework:customer:glue"}
	if !slices.Equal(keys, want) {
		t.Errorf("lines %v, want %v", keys, want)
	}
}

// A gift costs nothing; the sheet keeps what it would cost.
func TestCostNeckGift(t *testing.T) {
	gift := lot(1, "2026-01-05", "100", "0")
	gift.Source, gift.Replacement = jobs.SourceGift, money.MustParse("12.00")
	got := CostNeck(NeckInput{Neck: jobs.Neck{Code: "N1"}, Rates: eur("0", "0"), Issues: fifo(glue, []jobs.Lot{gift}, use(2, "2026-03-01", "50", "N1")).ForNeck("N1")})
	eq(t, "total", got.Total, "0")
	eq(t, "replacement", got.Replacement, "6.00")
	if !slices.Contains(got.Lines[0].Marks, MarkGift) {
		t.Errorf("marks %v", got.Lines[0].Marks)
	}
}

// Whatever is in it, the total is the sum of the groups and the groups the sum
// of the printed lines, in currencies of scale 0, 2 and 3.
func TestCostNeckAddsUp(t *testing.T) {
	const seed = 77
	r := rand.New(rand.NewPCG(seed, 2))
	for round := range 300 {
		lots, uses := randomStock(r)
		in := NeckInput{Neck: jobs.Neck{Code: "N1"}, Rates: eur(fmt.Sprint(r.IntN(60)), fmt.Sprintf("%d.%03d", r.IntN(12), r.IntN(1000))), Issues: stock.Fifo(glue, lots, uses, on("2026-05-01"), time.UTC).ForNeck("N1")}
		in.Rates.Currency = []money.Currency{"JPY", "EUR", "KWD"}[round%3]
		for i := range r.IntN(30) {
			in.Work = append(in.Work, WorkShare{Entry: uint64(i + 1), Operation: "k" + fmt.Sprint(r.IntN(4)), Span: time.Duration(r.IntN(9999)) * time.Second,
				Class: []jobs.Class{jobs.First, jobs.Rework, jobs.Deciding}[r.IntN(3)], Cause: []string{"bit", "glue", ""}[r.IntN(3)]})
		}
		for i := range r.IntN(4) {
			in.Parts = append(in.Parts, jobs.Part{ID: uint64(i), Quantity: 1 + r.IntN(6), Price: money.New(r.Int64N(99999), -3), Freight: money.New(r.Int64N(999), -2)})
			in.Bits = append(in.Bits, BitWear{Bit: fmt.Sprint(i), CutM: r.Float64(), LifeM: 1 + r.Float64(), Change: money.New(r.Int64N(3000), -2)})
		}
		got := CostNeck(in)
		groups, lines := money.Zero, money.Zero
		for _, g := range CostGroups() {
			groups = groups.Add(got.Group(g))
		}
		for _, l := range got.Lines {
			if l.Amount.Cmp(in.Rates.Currency.Line(l.Amount)) != 0 {
				t.Fatalf("seed %d round %d: line %+v is not rounded", seed, round, l)
			}
			lines = lines.Add(l.Amount)
		}
		if groups.Cmp(got.Total) != 0 || lines.Cmp(got.Total) != 0 {
			t.Fatalf("seed %d round %d: total %s, groups %s, lines %s", seed, round, got.Total, groups, lines)
		}
	}
}
