package quote

import (
	"slices"
	"testing"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

func TestChangeOrders(t *testing.T) {
	in := quoteInput(nil)
	price := func(ask jobs.ChangeAsk, done map[StepKey]StepDone) jobs.ChangeOrder {
		c, err := PriceChange(in, nil, ask, done)
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
	late := price(more, map[StepKey]StepDone{{"inlay-draw", 1}: {Done: true}, {"inlay-cut", 1}: {Done: true}, {"inlay-rout", 1}: {Done: true}})
	if !(before.Net.Sign() > 0 && late.Net.Cmp(before.Net) > 0 && late.Hours > before.Hours) {
		t.Errorf("four pieces more: before %s, after cutting %s", before.Net, late.Net)
	}
	redo := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 14}, Redo: []string{"inlay-rout", "inlay-glue"}, UndoMin: 60}, map[StepKey]StepDone{{"inlay-rout", 1}: {Done: true}})
	if redo.Undo.Sign() <= 0 || redo.Undo.Cmp(redo.Cost) > 0 || redo.Days == 0 {
		t.Errorf("redo: undo %s of %s, %d days", redo.Undo, redo.Cost, redo.Days)
	}
	less := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 10}}, nil)
	if less.Net.Sign() >= 0 || less.Hours >= 0 {
		t.Errorf("four pieces fewer, nothing started: %s, %.2f h", less.Net, less.Hours)
	}
	spent := price(jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 10}}, map[StepKey]StepDone{{"inlay-draw", 1}: {Done: true}, {"inlay-cut", 1}: {Done: true}, {"inlay-rout", 1}: {Done: true}, {"inlay-glue", 1}: {Done: true}, {"inlay-level", 1}: {Done: true}})
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
		done map[StepKey]StepDone
		want string
	}{{nil, "1.6"}, {map[StepKey]StepDone{{"inlay-glue", 1}: {Done: true}}, "4.6"}} {
		c := price(more, tc.done)
		i := slices.IndexFunc(c.Lines, func(l jobs.QuoteLine) bool { return l.Group == LineSupplies })
		if i < 0 || c.Lines[i].Quantity.String() != tc.want {
			t.Errorf("done %v: %+v, want %s g", tc.done, c.Lines, tc.want)
		}
	}
	if _, err := PriceChange(in, nil, jobs.ChangeAsk{Redo: []string{"fret-seat"}}, nil); err == nil {
		t.Error("an operation off the route is redone")
	}
	if err := CheckNewQuantities(in, map[string]float64{"frets": 22}); err == nil {
		t.Error("frets change a headstock")
	}
}

// A change that drops work ends at the net of the same quote written without it:
// setups, what is left of mixes, rework and scrap allowances, all that is not
// started. Own arithmetic: two prices of the same program by two ways.
func TestChangeThatDropsWorkCreditsAllOfIt(t *testing.T) {
	coat := jobs.SeedOperations()
	for _, tc := range []struct {
		name string
		drop map[string]float64
		edit func(*Input)
	}{
		{"inlay", map[string]float64{"inlay": 0}, nil},
		{"a mix with waste", map[string]float64{"inlay": 0}, func(in *Input) {
			in.Supplies = append(in.Supplies, Supply{Supply: "epoxy", Unit: "g", Operation: "inlay-glue", Quantity: qty("8.6"), Waste: qty("3"), UnitPrice: money.MustParse("0.12")})
		}},
		{"markup", map[string]float64{"inlay": 0}, func(in *Input) { in.Ask.Markup = true }},
		{"a batch", map[string]float64{"inlay": 0}, func(in *Input) {
			in.Ask.Batch, in.Ask.Necks = true, 3
			for i, s := range in.Steps {
				in.Steps[i] = s.At(3 * s.Quantity)
			}
		}},
		{"one coat of three", map[string]float64{"coats": 2}, func(in *Input) { addCoats(in, coat, 3) }},
		{"all coats and what needs them", map[string]float64{"coats": 0}, func(in *Input) { addCoats(in, coat, 3) }},
	} {
		in := quoteInput(tc.edit)
		c, err := PriceChange(in, nil, jobs.ChangeAsk{Quantities: tc.drop}, nil)
		if err != nil {
			t.Fatalf("%s: %v", tc.name, err)
		}
		without := quoteInput(tc.edit)
		without.Steps, without.Supplies = nil, nil
		without.Ask.Quantities = withQuantities(in.Ask.Quantities, tc.drop)
		coats := 0.0
		for _, s := range in.Steps {
			q, said := tc.drop[s.Per]
			need, needSaid := tc.drop[s.Needs]
			if said && s.Per == "coats" {
				if coats++; coats > q {
					continue
				}
			} else if said && q == 0 || needSaid && need == 0 {
				continue
			}
			without.Steps = append(without.Steps, s)
		}
		for _, u := range in.Supplies {
			if slices.ContainsFunc(without.Steps, func(s Step) bool { return s.Operation == u.Operation }) {
				without.Supplies = append(without.Supplies, u)
			}
		}
		if got, want := mustPrice(t, in).Price.Net.Add(c.Net), mustPrice(t, without).Price.Net; got.Cmp(want) != 0 {
			t.Errorf("%s: quote and change make %s, the quote without it %s", tc.name, got, want)
		}
		sum := money.Zero
		for _, l := range c.Lines {
			sum = sum.Add(l.Amount)
		}
		if sum.Cmp(c.Cost) != 0 {
			t.Errorf("%s: lines add to %s, cost %s", tc.name, sum, c.Cost)
		}
		if c.Net.Sign() >= 0 || c.Hours >= 0 {
			t.Errorf("%s: net %s, %.2f h: want both below zero", tc.name, c.Net, c.Hours)
		}
	}
}

// addCoats adds n coats, each a step of its own, and the step that needs them.
func addCoats(in *Input, operations []jobs.Operation, n int) {
	for _, k := range operations {
		times := map[string]int{"finish-coat": n, "ream-finish": 1}[k.Name]
		for range times {
			q := 1.0
			if k.Per != "coats" {
				q = in.Ask.Quantities[k.Per]
			}
			s := Step{Operation: k.Name, Title: k.Title, Per: k.Per, Unit: k.Unit(), Quantity: q, Copies: 1, Difficulty: 1, Standard: estimate.StandardOf(k), CureMin: k.CureMin, Rework: k.ReworkChance,
				Estimate: estimate.ForStep(estimate.StandardOf(k), q, nil, estimate.Pace{}, estimate.Settings{})}
			if k.Name == "ream-finish" {
				s.Needs = "coats"
			}
			in.Steps = append(in.Steps, s)
		}
	}
	in.Ask.Quantities["coats"] = float64(n)
}

// Work that is dropped and asked for again costs what it did; work that is done
// is not credited, also after a change that was accepted before it was done.
func TestChangesFollowEachOther(t *testing.T) {
	in := quoteInput(nil)
	price := func(accepted map[string]float64, inlay float64, done map[StepKey]StepDone) jobs.ChangeOrder {
		c, err := PriceChange(in, accepted, jobs.ChangeAsk{Quantities: map[string]float64{"inlay": inlay}}, done)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	gone := price(nil, 0, nil)
	again := price(map[string]float64{"inlay": 0}, 14, nil)
	if got := gone.Net.Add(again.Net); !got.IsZero() {
		t.Errorf("dropped at %s, brought back at %s", gone.Net, again.Net)
	}
	done := map[StepKey]StepDone{}
	for _, s := range in.Steps {
		done[StepKey{s.Operation, 1}] = StepDone{Done: true}
	}
	if fewer := price(map[string]float64{"inlay": 18}, 14, done); !fewer.Net.IsZero() {
		t.Errorf("four fewer of 18 that are done: %s, want nothing", fewer.Net)
	}
}
