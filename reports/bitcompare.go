package reports

import (
	"fmt"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
)

// BitTypes is what a show hole costs by type of bit: which bit to buy.
func BitTypes(r *workshop.BitCompareResult) Report {
	out := Of(r, "bit-types", "Cost per show hole")
	out.Headline = []string{typesHead(r, out.Currency)}
	cur := string(out.Currency)
	digits := int(holeDigits(r, out.Currency))
	amount := func(a *money.Amount) Cell { return Maybe(a, Money) }
	type row = workshop.BitTypeCost
	t := Table{Name: "types", Empty: "No bit was ever kept for show holes."}
	if len(r.Types) > 0 {
		t.Note("Fresh bits and torn holes in the long run, each bit changed at its best age. A torn hole costs %s %s and a fresh bit.", cur, r.Job.TornHole)
		t.Note("Low to high: 4 times in 5. A hole is 15 mm through hard maple, a headstock has %d.", r.Job.Holes)
	}
	out.Add(Build(t, r.Types, []Col[row]{
		{Column{Key: "type", Header: "type", Max: 22}, func(x row) Cell { return Text(x.Type) }},
		{Column{Key: "bits", Header: "bits", Kind: KindCount}, func(x row) Cell { return Count(x.Bits) }},
		{Column{Key: "lives_ended", Header: "lives ended", Kind: KindCount, Max: 6}, func(x row) Cell { return Count(x.LivesEnded) }},
		{Column{Key: "holes", Header: "holes", Kind: KindCount, SheetOnly: true}, func(x row) Cell { return Count(x.Holes) }},
		{Column{Key: "cost_per_hole", Header: "per hole", Unit: cur, Kind: KindMoney, Digits: digits, Max: 8}, func(x row) Cell { return amount(x.PerHole) }},
		{Column{Key: "low", Header: "low", Kind: KindMoney, Digits: digits}, func(x row) Cell { return amount(x.Low) }},
		{Column{Key: "high", Header: "high", Kind: KindMoney, Digits: digits}, func(x row) Cell { return amount(x.High) }},
		{Column{Key: "cost_per_headstock", Header: "per headstock", Unit: cur, Kind: KindMoney, Max: 9}, func(x row) Cell { return amount(x.PerHead) }},
		{Column{Key: "retire_at_holes", Header: "retire at", Unit: "holes", Kind: KindNumber, Digits: NoDigits, SheetOnly: true}, func(x row) Cell { return Maybe(x.RetireAt, Number) }},
		{Column{Key: "says", Header: "", Max: 16}, func(x row) Cell { return Text(x.Says) }},
	}))
	if len(r.Types) < 2 {
		out.Next = []string{"bit set BIT --label LABEL"}
	}
	return out
}

// holeDigits are the decimals of a hole's cost: those of the currency, and two more
// where the cheapest hole costs less than one unit of it.
func holeDigits(r *workshop.BitCompareResult, cur money.Currency) int32 {
	if len(r.Types) > 0 && r.Types[0].PerHole != nil && r.Types[0].PerHole.Cmp(money.New(1, 0)) < 0 {
		return cur.Scale() + 2
	}
	return cur.Scale()
}

// typesHead says which type to buy, or that nobody can tell yet.
func typesHead(r *workshop.BitCompareResult, cur money.Currency) string {
	if len(r.Types) == 0 || r.Types[0].PerHole == nil {
		return "No type of bit has both a price and a life to compare."
	}
	best, digits := r.Types[0], holeDigits(r, cur)
	cost := fmt.Sprintf("%s %s per show hole (%s to %s)", cur, best.PerHole.Fixed(digits), best.Low.Fixed(digits), best.High.Fixed(digits))
	switch {
	case len(r.Types) == 1 || r.Types[1].PerHole == nil:
		return fmt.Sprintf("%s: %s.", best.Type, cost)
	case r.Types[1].Says == bitlife.TooFew:
		return fmt.Sprintf("Too few to tell. Least so far: %s, %s.", best.Type, cost)
	}
	return fmt.Sprintf("Buy %s: %s.", best.Type, cost)
}
