package stock

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/shopspring/decimal"
)

// randomStock makes lots (odd quantities and prices that do not divide),
// uses, counts, write-offs, gifts and offcuts in any order of time.
func randomStock(r *rand.Rand) ([]jobs.Lot, []jobs.SupplyUse) {
	var lots []jobs.Lot
	var uses []jobs.SupplyUse
	for id := uint64(1); id <= uint64(3+r.IntN(25)); id++ {
		at := on("2026-01-01").Add(time.Duration(r.IntN(200*24)) * time.Hour)
		q := money.Qty{Decimal: decimal.New(1+r.Int64N(3000), -1)}
		if r.IntN(3) == 0 {
			l := jobs.Lot{ID: id, Supply: "glue", Source: jobs.SourceBought, Received: at, Quantity: q, Price: money.New(r.Int64N(9999), -2)}
			switch r.IntN(6) {
			case 0:
				l.Source, l.Price = jobs.SourceGift, money.Zero
			case 1:
				l.Source, l.Neck = jobs.SourceOffcut, "N1"
			case 2:
				l.LabelExpires = jobs.DayOf(at).Add(r.IntN(200))
			}
			lots = append(lots, l)
			continue
		}
		u := jobs.SupplyUse{ID: id, Supply: "glue", Kind: jobs.UseIssue, Quantity: q, On: at, Neck: []string{"N1", "N2", ""}[r.IntN(3)]}
		switch r.IntN(8) {
		case 0:
			u.Kind, u.Neck = jobs.UseCount, ""
		case 1:
			u.Kind, u.Neck = jobs.UseWriteOff, ""
		case 2:
			if len(lots) > 0 {
				u.Lot = lots[r.IntN(len(lots))].ID
			}
		}
		uses = append(uses, u)
	}
	return lots, uses
}

var sameStock = cmp.Options{
	cmp.Comparer(func(a, b money.Amount) bool { return a.Cmp(b) == 0 }),
	cmp.Comparer(func(a, b money.Qty) bool { return a.Cmp(b) == 0 }),
	cmp.AllowUnexported(Issue{}, LotState{}),
	cmpopts.EquateEmpty(),
	cmpopts.IgnoreUnexported(SupplyLedger{}),
}

// Value in = issued + written off + on hand, exactly, and the same of
// quantities; the order of the records in memory does not matter; dropping a
// use gives the account without it; a repeated computation is the same.
func TestFifoValueIsConserved(t *testing.T) {
	const seed = 20260301
	r := rand.New(rand.NewPCG(seed, 1))
	asOf := on("2026-05-01")
	for round := range 300 {
		lots, uses := randomStock(r)
		got := Fifo(glue, lots, uses, asOf, time.UTC)
		if total(got).Cmp(got.ValueIn) != 0 {
			t.Fatalf("seed %d round %d: in %s, issued %s + written off %s + on hand %s", seed, round, got.ValueIn, got.Issued, got.WrittenOff, got.Value)
		}
		in, out := money.Qty{}, money.Qty{}
		for _, l := range lots {
			if !l.Source.Returns() {
				in = in.Plus(l.Quantity)
			}
		}
		for _, is := range got.Issues {
			out = out.Plus(is.Quantity)
			parts, q := money.Zero, money.Qty{}
			for _, take := range is.Takes {
				parts, q = parts.Add(take.Value), q.Plus(take.Quantity)
			}
			if is.Quantity.Sign() >= 0 && (parts.Add(is.ShortValue).Cmp(is.Value) != 0 || q.Plus(is.Short).Cmp(is.Quantity) != 0) {
				t.Fatalf("seed %d round %d: issue %+v does not add up", seed, round, is)
			}
		}
		if in.Cmp(out.Plus(got.OnHand).Plus(got.Expired)) != 0 {
			t.Fatalf("seed %d round %d: %s in, %s out, %s on hand, %s expired", seed, round, in, out, got.OnHand, got.Expired)
		}
		for _, l := range got.Lots {
			if l.Left.Sign() < 0 || l.Value.Sign() < 0 || l.Left.Sign() == 0 && !l.Value.IsZero() {
				t.Fatalf("seed %d round %d: lot %+v", seed, round, l)
			}
		}

		r.Shuffle(len(lots), func(i, j int) { lots[i], lots[j] = lots[j], lots[i] })
		r.Shuffle(len(uses), func(i, j int) { uses[i], uses[j] = uses[j], uses[i] })
		if d := cmp.Diff(got, Fifo(glue, lots, uses, asOf, time.UTC), sameStock); d != "" {
			t.Fatalf("seed %d round %d: another order of the records:\n%s", seed, round, d)
		}
		if len(uses) == 0 {
			continue
		}
		extra := use(999, "2026-03-03", "17", "N9")
		more := Fifo(glue, lots, append(slices.Clone(uses), extra), asOf, time.UTC)
		if total(more).Cmp(more.ValueIn) != 0 {
			t.Fatalf("seed %d round %d: with one more use the values do not add", seed, round)
		}
		if d := cmp.Diff(got, Fifo(glue, lots, uses, asOf, time.UTC), sameStock); d != "" {
			t.Fatalf("seed %d round %d: after dropping the use again:\n%s", seed, round, d)
		}
	}
}

// No amount passes through a float: prices of 0.1 and 0.2, used in three
// hundred parts, leave nothing behind.
func TestFifoHasNoFloat(t *testing.T) {
	lots := []jobs.Lot{lot(1, "2026-01-01", "300", "0.10"), lot(2, "2026-01-02", "300", "0.20")}
	var uses []jobs.SupplyUse
	for i := range 600 {
		uses = append(uses, use(uint64(i+10), "2026-02-01", "1", "N1"))
	}
	got := fifo(glue, lots, uses...)
	if got.Issued.String() != "0.3" || got.Value.String() != "0" {
		t.Errorf("issued %s, left %s", got.Issued, got.Value)
	}
}
