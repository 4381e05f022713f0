package bitlife

import (
	"math"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// typeBook has two labels of 10 mm bits: a cheap one that wears out early, a dear
// one that lasts.
func typeBook() jobs.BitBook {
	b := jobs.BitBook{Woods: jobs.SeedWoods()}
	id := uint64(0)
	add := func(code, label, price string, expected, metres float64, cause string) {
		b.Bits = append(b.Bits, jobs.Bit{Code: code, DiameterMM: 10, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: jobs.KeepShow,
			Price: money.MustParse(price), ExpectedM: expected, MakersLabel: label, Added: shopDay})
		if metres == 0 {
			return
		}
		id += 2
		b.Uses = append(b.Uses, jobs.BitUse{ID: id, Bit: code, Edge: 1, On: shopDay, Holes: 1, DepthMM: 1000 * metres, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 1000 * metres}}})
		b.Moves = append(b.Moves, jobs.BitMove{ID: id + 1, Bit: code, Edge: 1, On: shopDay, To: jobs.KeepGeneral, Cause: cause})
	}
	add("C1", "short spurs", "6.00", 1.5, 0.9, jobs.CauseDull)
	add("C2", "short spurs", "6.00", 1.5, 1.05, jobs.CauseDull)
	add("D1", "long spurs", "18.00", 2.25, 2.25, jobs.CauseDull)
	add("D2", "long spurs", "18.00", 2.25, 2.55, jobs.CauseDull)
	add("D3", "long spurs", "18.00", 2.25, 2.4, jobs.CauseSwapped)
	add("U1", "", "0", 0, 0, "")
	return b
}

// Costs and bands of two types, worked out by SciPy (gamma quantiles, the cost rate
// integrated by quadrature and minimised): the repair of a torn hole costs 56.
func TestCompareTypes(t *testing.T) {
	got, err := advise(typeBook()).Compare(money.MustParse("56"), 6)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 {
		t.Fatalf("%d types: %+v", len(got), got)
	}
	for i, want := range []struct {
		name            string
		cost, low, high float64
		retire          float64 // holes
		says            string
	}{
		{"long spurs, 10mm", 0.3196, 0.2141, 0.4019, 96.8046, Cheapest},
		{"short spurs, 10mm", 0.3639, 0.2438, 0.4576, 27.7657, TooFew},
	} {
		x := got[i]
		if x.Type != want.name || x.Says != want.says {
			t.Errorf("line %d: %s %s, want %s %s", i+1, x.Type, x.Says, want.name, want.says)
		}
		if math.Abs(x.PerHole.Float()-want.cost) > 1e-4 || math.Abs(x.Low.Float()-want.low) > 1e-4 || math.Abs(x.High.Float()-want.high) > 1e-4 {
			t.Errorf("%s: got %v (%v to %v), want %v (%v to %v)", x.Type, x.PerHole, x.Low, x.High, want.cost, want.low, want.high)
		}
		if math.Abs(*x.RetireAtM/jobs.RefHoleM-want.retire) > 0.01 {
			t.Errorf("%s: retire at %v holes, want %v", x.Type, *x.RetireAtM/jobs.RefHoleM, want.retire)
		}
		if head := x.PerHole.MulInt(6); x.PerHead.Cmp(head) != 0 {
			t.Errorf("%s: %v a headstock, want %v", x.Type, x.PerHead, head)
		}
	}
	// A type without a label is material and point. The class lends it a price, but
	// nobody knows its life.
	if u := got[2]; u.Type != "hss brad, 10mm" || u.Says != NoCompare || u.PerHole != nil {
		t.Errorf("got %+v", u)
	}
}

// Intervals that part make the dear type dearer.
func TestCompareTellsApart(t *testing.T) {
	b := typeBook()
	for i := range b.Bits {
		if b.Bits[i].MakersLabel == "short spurs" {
			b.Bits[i].Price = money.MustParse("60.00")
		}
	}
	got, err := advise(b).Compare(money.MustParse("56"), 6)
	if err != nil || got[1].Type != "short spurs, 10mm" || got[1].Says != Dearer {
		t.Errorf("got %+v, %v", got, err)
	}
}
