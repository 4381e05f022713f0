package quote

import (
	"math"
	"math/rand/v2"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// The parts of a review add up to the whole whatever happened.
func TestReviewAddsUp(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 60 {
		in := quoteInput(nil)
		out := mustPrice(t, in)
		q := jobs.Quote{Code: "Q1"}
		if r.IntN(2) == 0 {
			c, err := PriceChange(in, nil, jobs.ChangeAsk{Quantities: map[string]float64{"inlay": 18}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			c.Status = jobs.OrderAccepted
			q.Changes = append(q.Changes, c)
		}
		a := ActualWork{ReworkMin: float64(r.IntN(90)), CustomerMin: float64(r.IntN(50)), OutsideMin: float64(r.IntN(40)), Unlogged: 1 + 0.5*r.Float64(), Finished: true}
		a.Cost.Total = money.New(int64(20000+r.IntN(200000)), -2)
		for _, s := range in.Steps {
			a.Steps = append(a.Steps, ActualStep{Operation: s.Operation, Nth: 1, Minutes: s.Estimate.MeanMin * (0.5 + r.Float64()), Count: math.Round(s.Quantity * (0.5 + r.Float64())), Done: true})
		}
		rv := ReviewQuote(q, in, out, a)
		sum := money.Zero
		var names []string
		for _, p := range rv.Parts {
			sum = sum.Add(p.Amount)
			names = append(names, p.Part)
		}
		if sum.Cmp(rv.Difference) != 0 || rv.Actual.Sub(rv.Quoted).Cmp(rv.Difference) != 0 {
			t.Fatalf("seed %d case %d: parts add to %s, difference %s", seed, i, sum, rv.Difference)
		}
		// The table of the steps says the same of the causes as the table of the parts.
		quantity := a.OutsideMin
		for _, s := range rv.Steps {
			quantity += s.QuantityMin
			if d := s.ActualMin - s.QuotedMin - s.ChangeMin - s.QuantityMin - s.PaceMin; math.Abs(d) > 1e-9 {
				t.Fatalf("seed %d case %d: %s differs by %g min that have no cause", seed, i, s.Operation, d)
			}
		}
		for _, p := range rv.Parts {
			if p.Part == "quantity" && math.Abs(p.Hours*60-quantity) > 1e-6 {
				t.Fatalf("seed %d case %d: %g min by quantity in the parts, %g in the steps", seed, i, p.Hours*60, quantity)
			}
		}
		if diff := cmp.Diff(ReviewParts(), names, cmpopts.SortSlices(func(a, b string) bool { return a < b })); diff != "" {
			t.Fatal(diff)
		}
	}
}

// A neck that went exactly as quoted but for one thing shows that one thing.
func TestReviewNamesTheReason(t *testing.T) {
	in := quoteInput(nil)
	out := mustPrice(t, in)
	actual := func(change func(*ActualWork)) ActualWork {
		a := ActualWork{Unlogged: in.Unlogged.Factor, Finished: true}
		for _, s := range in.Steps {
			a.Steps = append(a.Steps, ActualStep{s.Operation, 1, s.Estimate.MeanMin, s.Quantity, true})
			a.ReworkMin += s.Rework * s.Estimate.MeanMin
		}
		a.Steps[0].Minutes += out.Hours.Resumed * 60 // setups that came again as quoted
		if change != nil {
			change(&a)
		}
		// The cost follows from the hours at the frozen rates.
		min := a.OutsideMin + a.ReworkMin + a.CustomerMin
		for _, s := range a.Steps {
			min += s.Minutes
		}
		fixed := money.Zero
		for _, l := range out.Lines {
			if l.Group == LineSupplies || l.Group == LineParts || l.Group == LineBits || l.Group == LineScrap {
				fixed = fixed.Add(l.Amount)
			}
		}
		a.Cost.Total = money.MustParse("41.50").Mul(money.QtyFromFloat(min / 60).Decimal).Add(fixed).Round(2)
		return a
	}
	review := func(a ActualWork) map[string]float64 {
		got := map[string]float64{}
		for _, p := range ReviewQuote(jobs.Quote{}, in, out, a).Parts {
			got[p.Part] = p.Amount.Float()
		}
		return got
	}
	// The scrap allowance was not needed here, so the same sum stands in price.
	base := review(actual(nil))
	for _, c := range []struct {
		part   string
		min    float64
		change func(*ActualWork)
	}{
		{"pace", 60, func(a *ActualWork) { a.Steps[11].Minutes += 60 }},
		{"rework", 45, func(a *ActualWork) { a.ReworkMin += 45 }},
		{"change", 30, func(a *ActualWork) { a.CustomerMin += 30 }},
		{"quantity", 20, func(a *ActualWork) { a.OutsideMin += 20 }},
	} {
		got := review(actual(c.change))
		for part, amount := range got {
			want := base[part]
			if part == c.part {
				want += c.min / 60 * 41.5
			}
			if part == "unlogged" {
				want += c.min / 60 * (in.Unlogged.Factor - 1) * 34
			}
			if math.Abs(amount-want) > 0.05 {
				t.Errorf("%s +%.0f min: %s is %.2f, want %.2f", c.part, c.min, part, amount, want)
			}
		}
	}
	for part, amount := range base {
		if part != "rework" && part != "price" && math.Abs(amount) > 0.5 {
			t.Errorf("as quoted, but %s is %.2f", part, amount)
		}
	}
	if math.Abs(base["rework"]+base["price"]) > 0.5 {
		t.Errorf("rework %.2f and price %.2f do not meet over the scrap allowance", base["rework"], base["price"])
	}
	// Four more pieces at the expected pace are quantity and nothing else.
	got := review(actual(func(a *ActualWork) {
		for i, s := range in.Steps {
			if s.Per == "inlay" {
				a.Steps[i].Count = 18
				a.Steps[i].Minutes = s.scaled(18).MeanMin
			}
		}
	}))
	if got["quantity"] < 60 || math.Abs(got["pace"]-base["pace"]) > 0.05 {
		t.Errorf("four more pieces: quantity %.2f, pace %.2f", got["quantity"], got["pace"])
	}
}
