package quote

import (
	"slices"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

func TestChangeOrders(t *testing.T) {
	in := quoteInput(nil)
	price := func(ask jobs.ChangeAsk, done map[string]StepDone) jobs.ChangeOrder {
		c, err := PriceChange(in, ask, done)
		if err != nil {
			t.Fatal(err)
		}
		sum := money.Zero
		for _, l := range c.Lines {
			sum = sum.Add(l.Amount)
		}
		if sum.Cmp(c.Cost) != 0 {
			t.Errorf("%+v: lines add to %s, cost %s", ask, sum, c.Cost)
		}
		return c
	}
	more := jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 18}}
	before := price(more, nil)
	late := price(more, map[string]StepDone{"inlay-draw": {Done: true}, "inlay-cut": {Done: true}, "inlay-rout": {Done: true}})
	if !(before.Net.Sign() > 0 && late.Net.Cmp(before.Net) > 0 && late.Hours > before.Hours) {
		t.Errorf("four pieces more: before %s, after cutting %s", before.Net, late.Net)
	}
	redo := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 14}, Redo: []string{"inlay-rout", "inlay-glue"}, UndoMin: 60}, map[string]StepDone{"inlay-rout": {Done: true}})
	if redo.Undo.Sign() <= 0 || redo.Undo.Cmp(redo.Cost) > 0 || redo.Days == 0 {
		t.Errorf("redo: undo %s of %s, %d days", redo.Undo, redo.Cost, redo.Days)
	}
	less := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 10}}, nil)
	if less.Net.Sign() >= 0 || less.Hours >= 0 {
		t.Errorf("four pieces fewer, nothing begun: %s, %.2f h", less.Net, less.Hours)
	}
	spent := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 10}}, map[string]StepDone{"inlay-draw": {Done: true}, "inlay-cut": {Done: true}, "inlay-rout": {Done: true}, "inlay-glue": {Done: true}, "inlay-level": {Done: true}})
	if spent.Net.Sign() != 0 || len(spent.Notes) == 0 {
		t.Errorf("fewer pieces after all is done: %s %v", spent.Net, spent.Notes)
	}
	parts := price(jobs.ChangeAsk{Parts: []jobs.QuotePart{{Name: "other tuners", Price: money.MustParse("30.00")}}}, nil)
	if parts.Net.Fixed(2) != "40.00" {
		t.Errorf("parts of 30.00 at a margin of 25 %%: %s, want 40.00", parts.Net)
	}
	// 14 pieces at 0.4 g and 3 g that stay in the cup are 8.6 g; four more are 1.6 g
	// in the same mix, 4.6 g where another has to be mixed.
	in.Supplies = []Supply{{Supply: "epoxy", Unit: "g", Operation: "inlay-glue", Quantity: qty("8.6"), Waste: qty("3"), UnitPrice: money.MustParse("0.12")}}
	for _, tc := range []struct {
		done map[string]StepDone
		want string
	}{{nil, "1.6"}, {map[string]StepDone{"inlay-glue": {Done: true}}, "4.6"}} {
		c := price(more, tc.done)
		i := slices.IndexFunc(c.Lines, func(l jobs.QuoteLine) bool { return l.Group == LineSupplies })
		if i < 0 || c.Lines[i].Quantity.String() != tc.want {
			t.Errorf("done %v: %+v, want %s g", tc.done, c.Lines, tc.want)
		}
	}
	if _, err := PriceChange(in, jobs.ChangeAsk{Redo: []string{"fret-seat"}}, nil); err == nil {
		t.Error("an operation off the route is redone")
	}
	if err := CheckNewQuantities(in, map[string]float64{"frets": 22}); err == nil {
		t.Error("frets change a headstock")
	}
}
