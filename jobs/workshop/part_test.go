package workshop

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// A part is told about piece by piece. Amounts add up to the cent: 78.00 and 21 % of
// it that comes back, then 6.50 of freight.
func TestPartFacts(t *testing.T) {
	path := aNeck(t)
	set := func(f PartFacts) *PartResult {
		t.Helper()
		return do(t, path, start, PartSet, &PartSetAsk{Part: 1, PartFacts: f}).(*PartResult)
	}
	r := do(t, path, start, PartAdd, &PartAddAsk{Neck: "ada", Name: "tuners", PartFacts: PartFacts{Price: of(money.MustParse("78.00")), Tax: of("21%")}}).(*PartResult)
	if r.ID != 1 || r.Quantity != 1 || r.Cost.Fixed(2) != "94.38" || r.State != jobs.PartToOrder || r.For != "ada" {
		t.Errorf("got %+v", r.PartRow)
	}
	if r := set(PartFacts{Reclaimable: of(true), Freight: of(money.MustParse("6.50"))}); r.Cost.Fixed(2) != "84.50" {
		t.Errorf("cost %s", r.Cost)
	}
	if r := set(PartFacts{Ordered: of("today"), Arrives: of("2026-01-12")}); r.State != jobs.PartOrdered || r.Ordered != "2026-01-06" || r.Where != "expected 2026-01-12" {
		t.Errorf("got %+v", r.PartRow)
	}
	if r := set(PartFacts{Arrives: of("none"), Here: true, Returnable: of("2026-01-20"), Delivery: of("the big box"), Note: of("black"), Quantity: of(6)}); r.State != jobs.PartHere || r.Arrives != "" || !r.Returnable || r.Quantity != 6 {
		t.Errorf("got %+v", r.PartRow)
	}
	if l := do(t, path, start, PartList, &PartListAsk{}).(*PartListResult); len(l.Parts) != 1 || l.Total.Fixed(2) != "84.50" || len(l.GoBack) != 1 {
		t.Errorf("got %+v", l)
	}
	if r := set(PartFacts{Returned: of("2026-01-06")}); r.State != jobs.PartReturned || r.Cost.Fixed(2) != "6.50" {
		t.Errorf("got %+v", r.PartRow)
	}
	for _, tc := range []struct {
		facts PartFacts
		want  string
	}{
		{PartFacts{Arrived: of("2026-01-07")}, `arrived "2026-01-07" does not fit`},
		{PartFacts{Arrives: of("soon")}, `arrives "soon" does not fit`},
		{PartFacts{Tax: of("much%")}, `tax "much" does not fit`},
		{PartFacts{Quantity: of(0)}, `quantity "0" does not fit`},
		{PartFacts{Price: of(money.MustParse("-1"))}, `price "-1" does not fit`},
	} {
		if err := refuse(t, path, start, PartSet, &PartSetAsk{Part: 1, PartFacts: tc.facts}); !strings.Contains(err.Error(), tc.want) || !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("got %v, want %s", err, tc.want)
		}
	}
	if err := refuse(t, path, start, PartDrop, &PartDropAsk{Part: 9}); !errors.Is(err, jobs.ErrNotFound) {
		t.Errorf("part 9: %v", err)
	}
	do(t, path, start, PartDrop, &PartDropAsk{Part: 1})
	if l := do(t, path, start, PartList, &PartListAsk{Neck: "ada"}).(*PartListResult); len(l.Parts) != 0 {
		t.Errorf("got %+v", l)
	}
	mustBeSound(t, path)
}

// The freight of a delivery is shared by price and adds up to the cent.
func TestPartFreight(t *testing.T) {
	path := aNeck(t)
	for _, p := range []string{"78.00", "12.00", "12.00"} {
		do(t, path, start, PartAdd, &PartAddAsk{Neck: "ada", Name: "a part", PartFacts: PartFacts{Price: of(money.MustParse(p))}})
	}
	r := do(t, path, start, PartFreight, &PartFreightAsk{Freight: money.MustParse("9.90"), Parts: "1,2 3"}).(*PartFreightResult)
	var got []string
	sum := money.Zero
	for _, p := range r.Parts {
		got, sum = append(got, p.Freight.Fixed(2)), sum.Add(p.Freight)
	}
	if want := []string{"7.57", "1.17", "1.16"}; !slices.Equal(got, want) || sum.Fixed(2) != "9.90" {
		t.Errorf("freight %v, want %v", got, want)
	}
	for _, ask := range []PartFreightAsk{{Freight: money.MustParse("1"), Parts: "1,1"}, {Freight: money.MustParse("1"), Parts: "one"}, {Freight: money.MustParse("-1"), Parts: "1"}} {
		if err := refuse(t, path, start, PartFreight, &ask); !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("%+v: %v", ask, err)
		}
	}
}

// A piece is used once. What is cut off it is worth at most what the neck is charged
// for it, over all its offcuts.
func TestPieces(t *testing.T) {
	path := aNeck(t)
	price := of(money.MustParse("6.00"))
	do(t, path, start, PieceAdd, &PieceAddAsk{Piece: "V1", Wood: "waln", Price: price, PieceSize: PieceSize{ThicknessMM: of(0.6), LengthMM: of(300.0), WidthMM: of(90.0)}})
	says := func(v Verb, ask Ask, want string) {
		t.Helper()
		if err := refuse(t, path, start, v, ask); !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	says(PieceAdd, &PieceAddAsk{Piece: "v1", Wood: "walnut", Price: price}, `NOT ADDED: there is a piece "V1" already`)
	says(PieceAdd, &PieceAddAsk{Piece: "V2", Price: price}, "the wood of V2 is missing")
	says(PieceAdd, &PieceAddAsk{Piece: "V2", Wood: "walnut"}, "the price of V2 is missing")
	says(PieceAdd, &PieceAddAsk{Piece: "V2", Wood: "walnut", Price: price, Kind: "plank"}, "veneer or blank")
	says(PieceSet, &PieceSetAsk{Piece: "V1", PieceSize: PieceSize{ThicknessMM: of(0.0)}}, `thickness "0" does not fit`)
	says(PieceOffcut, &PieceOffcutAsk{Piece: "V1", Code: "V2"}, "piece V1 was not used yet")
	if r := do(t, path, start, PieceSet, &PieceSetAsk{Piece: "V1", PieceSize: PieceSize{ThicknessMM: of(0.55)}}).(*PieceResult); r.ThicknessMM != 0.55 {
		t.Errorf("got %+v", r)
	}
	list := func(ask PieceListAsk) int { return len(do(t, path, start, PieceList, &ask).(*PieceListResult).Pieces) }
	if list(PieceListAsk{Fits: "0.5-0.7", LengthMM: of(280.0)}) != 1 || list(PieceListAsk{Fits: "0.6-0.7"}) != 0 || list(PieceListAsk{WidthMM: of(400.0)}) != 0 || list(PieceListAsk{Kind: "blank"}) != 0 {
		t.Error("the wrong pieces fit")
	}
	says(PieceList, &PieceListAsk{Fits: "thin"}, `fits "thin" does not fit`)
	do(t, path, start, PieceUse, &PieceUseAsk{Piece: "V1", Neck: "ada"})
	says(PieceUse, &PieceUseAsk{Piece: "V1", Neck: "ada"}, "piece V1 went to ada")
	do(t, path, start, PieceOffcut, &PieceOffcutAsk{Piece: "V1", Code: "V2", Value: money.MustParse("4.00")})
	says(PieceOffcut, &PieceOffcutAsk{Piece: "V1", Code: "V3", Value: money.MustParse("2.01")}, "such as 2.00")
	if c := showNeck(t, path, start, "ada").Cost; c.Supplies.Fixed(2) != "2.00" {
		t.Errorf("the neck is charged %s for it", c.Supplies)
	}
	if list(PieceListAsk{}) != 1 || list(PieceListAsk{All: true}) != 2 {
		t.Error("the wrong pieces are in stock")
	}
	mustBeSound(t, path)
}
