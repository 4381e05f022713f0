package quote

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
)

// quoteInput is an invented headstock for a shop without history.
func quoteInput(change func(*Input)) Input {
	in := Input{
		Ask:   jobs.QuoteAsk{Route: "headstock", Necks: 1, Margin: pct("25"), Wood: "hard-maple", Parts: []jobs.QuotePart{{Name: "tuners", Price: money.MustParse("84.00")}}},
		At:    monday,
		Rates: RateCard{Currency: "EUR", Labour: money.MustParse("34.00"), Overhead: money.MustParse("7.50")},
		Tax:   pct("21"), TaxRule: jobs.TaxPerTotal,
		Unlogged: estimate.UnloggedFactor(nil, "", ""),
		Calendar: schedule.LearnHabits(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00"), QuietAfter: 21 * 60}, nil, nil, nil, nil),
		Bench:    schedule.Bench{ClampSets: 4},
		Settings: estimate.Settings{Draws: 300},
	}
	quantities := map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "inlay": 14}
	route, operations, graph := seeded()
	in.Graph, in.Operations = route.Steps, graph
	for _, r := range route.Steps {
		k := operations[r.Operation]
		q := quantities[k.Per]
		if q == 0 || r.When == "coats" {
			continue
		}
		in.Steps = append(in.Steps, Step{Operation: k.Name, Title: k.Title, Per: k.Per, Unit: k.Unit(), Quantity: q, Copies: 1, Difficulty: 1, Standard: estimate.StandardOf(k),
			Estimate: estimate.ForStep(estimate.StandardOf(k), q, nil, estimate.Pace{}, estimate.Settings{}), Rework: k.ReworkChance, Scrap: k.ScrapChance, CureMin: k.CureMin, Decide: k.Decide})
		for _, line := range k.Recipe {
			in.Supplies = append(in.Supplies, Supply{Supply: line.Supply, Unit: "g", Operation: k.Name, Quantity: line.Quantity(money.QtyFromFloat(q)), UnitPrice: money.MustParse("0.19"), Basis: "lot of 2026-01-10"})
		}
	}
	in.Wear = []Wear{{What: "bit S10-1", Operation: "drill", CutM: 0.114, LifeM: 2, Change: money.MustParse("14.00"), Basis: "expected life"}}
	in.Ask.Quantities = quantities
	if change != nil {
		change(&in)
	}
	return in
}

func mustPrice(t *testing.T, in Input) Quoted {
	t.Helper()
	q, err := PriceQuote(in)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestQuoteAddsUp(t *testing.T) {
	for name, change := range map[string]func(*Input){
		"plain":             nil,
		"rounded to 10":     func(in *Input) { in.Ask.RoundTo = money.MustParse("10") },
		"markup":            func(in *Input) { in.Ask.Markup = true },
		"no margin":         func(in *Input) { in.Ask.Margin = decimal.Zero },
		"three by one":      func(in *Input) { in.Ask.Necks = 3; copies(in, 3) },
		"handling":          func(in *Input) { in.Ask.HandlingPct = pct("5") },
		"own rate":          func(in *Input) { in.Rates.ByOperation = []OperationRate{{"inlay-cut", money.MustParse("48.00")}} },
		"unlogged overhead": func(in *Input) { in.Ask.UnloggedInOverhead = true },
		"yen":               func(in *Input) { in.Rates.Currency = "JPY" },
		"tax per line":      func(in *Input) { in.TaxRule = jobs.TaxPerLine },
		"wood and stages": func(in *Input) {
			in.Ask.Parts = append(in.Ask.Parts, jobs.QuotePart{Name: "burl leaf", Price: money.MustParse("310.00"), Wood: true})
			in.Ask.Stages = []jobs.StageAsk{{When: "neck drilled", Percent: pct("30")}}
		},
	} {
		in := quoteInput(change)
		q := mustPrice(t, in)
		sum := money.Zero
		for _, l := range q.Lines {
			sum = sum.Add(l.Amount)
			if want := in.Rates.Currency.Line(l.Rate.Mul(l.Quantity.Decimal)); want.Cmp(l.Amount) != 0 {
				t.Errorf("%s: %s: %s x %s is %s, printed %s", name, l.What, l.Quantity, l.Rate, want, l.Amount)
			}
			if l.Basis == "" || l.What == "" {
				t.Errorf("%s: a line without basis: %+v", name, l)
			}
		}
		p := q.Price
		if sum.Cmp(p.Cost) != 0 {
			t.Errorf("%s: lines add to %s, cost %s", name, sum, p.Cost)
		}
		if got := p.Cost.Add(p.Margin).Add(p.Rounding).Add(p.Tax); got.Cmp(p.Gross) != 0 {
			t.Errorf("%s: cost + margin + rounding + tax = %s, gross %s", name, got, p.Gross)
		}
		if !in.Ask.Markup {
			want := in.Rates.Currency.Line(p.Cost.Div(pct("1").Sub(in.Ask.Margin.Div(pct("100")))))
			if want.Cmp(p.Before) != 0 {
				t.Errorf("%s: cost / (1 - margin) is %s, before rounding %s", name, want, p.Before)
			}
		}
		h := q.Hours
		if !(h.P50 <= h.Mean && h.Mean <= h.P80 && h.P80 <= h.P90) {
			t.Errorf("%s: P50 %.2f mean %.2f P80 %.2f P90 %.2f", name, h.P50, h.Mean, h.P80, h.P90)
		}
		total := money.Zero
		for _, s := range q.Stages {
			total = total.Add(s.Amount)
		}
		if total.Cmp(p.Gross) != 0 {
			t.Errorf("%s: stages add to %s, gross %s", name, total, p.Gross)
		}
		if p.Deposit.Cmp(q.Deposit.Total) < 0 {
			t.Errorf("%s: deposit %s below its floor %s", name, p.Deposit, q.Deposit.Total)
		}
		if q.LossChance < 0 || q.LossChance > 1 || q.SafeNet.Cmp(p.Net) < 0 {
			t.Errorf("%s: loss chance %.3f, safe net %s, net %s", name, q.LossChance, q.SafeNet, p.Net)
		}
		if q.Promise.Likely == "" || q.Promise.Likely > q.Promise.Safe {
			t.Errorf("%s: promise %s, %s", name, q.Promise.Likely, q.Promise.Safe)
		}
	}
}

func copies(in *Input, n int) {
	for i := range in.Steps {
		in.Steps[i].Copies = n
	}
}

// What is frozen as JSON and read again gives the same quote to the last digit.
func TestQuoteIsRepeatableFromItsFrozenInput(t *testing.T) {
	in := quoteInput(func(in *Input) { in.Before = []schedule.QueueNeck{queuedNeck("other")} })
	first := mustPrice(t, in)
	raw, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var again Input
	if err := json.Unmarshal(raw, &again); err != nil {
		t.Fatal(err)
	}
	second := mustPrice(t, again)
	a, _ := json.Marshal(first)
	b, _ := json.Marshal(second)
	if diff := cmp.Diff(string(a), string(b)); diff != "" {
		t.Error(diff)
	}
}

// Profit as a share of sales against profit on cost: the job costing question
// of an ACCA management accounting text (cost 736, 30 % of sales gives 1,051.43
// and not 956.80), and 2,223 at 25 %, which is 2,964.00 as a margin and
// 2,778.75 as a markup (own arithmetic).
func TestMarginExamples(t *testing.T) {
	for _, c := range []struct {
		cost, margin string
		markup       bool
		want         string
	}{{"736", "30", false, "1051.43"}, {"736", "30", true, "956.80"}, {"2223", "25", false, "2964.00"}, {"2223", "25", true, "2778.75"}} {
		in := quoteInput(nil)
		in.Ask.Margin, in.Ask.Markup = pct(c.margin), c.markup
		p, err := priceOf(money.MustParse(c.cost), in)
		if err != nil || p.Net.Fixed(2) != c.want {
			t.Errorf("cost %s at %s, markup %v: %s %v, want %s", c.cost, c.margin, c.markup, p.Net.Fixed(2), err, c.want)
		}
	}
	in := quoteInput(func(in *Input) { in.Ask.Margin = pct("100") })
	if _, err := PriceQuote(in); err == nil {
		t.Error("a margin of 100 % has a price")
	}
}

func TestMoreMarginIsLessRisk(t *testing.T) {
	last := 2.0
	for _, m := range []string{"0", "10", "25", "40"} {
		q := mustPrice(t, quoteInput(func(in *Input) { in.Ask.Margin = pct(m) }))
		if q.LossChance > last {
			t.Errorf("at %s %% the chance of a loss is %.3f, above the %.3f of a smaller margin", m, q.LossChance, last)
		}
		last = q.LossChance
	}
	// At cost, the loss is the chance that the hours exceed their mean: a little
	// under one half, for the mean lies above the median.
	q := mustPrice(t, quoteInput(func(in *Input) { in.Ask.Margin = decimal.Zero }))
	if want := 1 - q.Hours.ChanceWithin(q.Hours.Mean); math.Abs(q.LossChance-want) > 0.01 || want > 0.5 {
		t.Errorf("at cost: %.3f, want %.3f", q.LossChance, want)
	}
}

func TestBatchSharesSetUps(t *testing.T) {
	one := mustPrice(t, quoteInput(func(in *Input) { in.Ask.Necks = 3; copies(in, 3) }))
	batch := mustPrice(t, quoteInput(func(in *Input) {
		in.Ask.Necks, in.Ask.Batch = 3, true
		for i := range in.Steps {
			s := &in.Steps[i]
			s.Quantity *= 3
			s.Estimate = estimate.ForStep(s.Standard, s.Quantity, nil, estimate.Pace{}, estimate.Settings{})
		}
	}))
	if batch.Hours.Mean >= one.Hours.Mean {
		t.Errorf("a batch takes %.2f h, one by one %.2f", batch.Hours.Mean, one.Hours.Mean)
	}
	if one.Promise.Safe < batch.Promise.Safe {
		t.Errorf("one by one is safe by %s, a batch by %s", one.Promise.Safe, batch.Promise.Safe)
	}
}

// A batch is larger than anything logged in every step: one line says it, not
// one for each step, which would bury the other warnings.
func TestBatchWarnsOnce(t *testing.T) {
	in := quoteInput(nil)
	for i := range in.Steps {
		s := &in.Steps[i]
		one := []estimate.PastJob{{When: monday.AddDate(0, -1, 0), Quantity: s.Quantity, Minutes: s.Estimate.StandardMin}}
		s.Estimate = estimate.ForStep(s.Standard, 4*s.Quantity, one, estimate.Pace{}, estimate.Settings{})
	}
	lines := 0
	for _, w := range mustPrice(t, in).Warnings {
		if strings.Contains(w, "outside your experience") {
			t.Errorf("a line of its own: %s", w)
		}
		if strings.Contains(w, "bigger than any you have done") {
			lines++
		}
	}
	if lines != 1 {
		t.Errorf("%d lines say it, want one", lines)
	}
}

func TestDepositFloor(t *testing.T) {
	q := mustPrice(t, quoteInput(func(in *Input) {
		in.Ask.Parts = []jobs.QuotePart{{Name: "tuners", Price: money.MustParse("400.00")}, {Name: "leaf", Price: money.MustParse("150.00"), Wood: true}}
		in.Ask.DepositPct = pct("10")
	}))
	if !q.Deposit.Raised || q.Price.Deposit.Cmp(q.Deposit.Total) != 0 {
		t.Errorf("deposit %s, floor %+v", q.Price.Deposit, q.Deposit)
	}
	if got := money.Sum(q.Deposit.Parts, q.Deposit.Wood, q.Deposit.Design); got.Cmp(q.Deposit.Total) != 0 || q.Deposit.Design.Sign() <= 0 {
		t.Errorf("floor %+v", q.Deposit)
	}
}

// Nothing of the shop's reckoning reaches a customer.
func TestCustomerSheetIsPlain(t *testing.T) {
	in := quoteInput(func(in *Input) {
		in.Ask.Spec, in.Ask.Exclusions = []string{"nut: bone, 43 mm"}, []string{"strings"}
		in.Ask.Wording = map[string]string{"warranty": "Two years on glue joints."}
	})
	out := mustPrice(t, in)
	s := Customer(jobs.Quote{Code: "Q1", Customer: "an invented customer"}, jobs.Revision{No: 1, Status: jobs.QuoteSent, Sent: "2026-12-01", Until: "2026-12-31"}, in, out)
	raw, _ := json.Marshal(s)
	for _, word := range []string{"margin", "hour", "markup", "p80", "P80", "labour", "overhead", "rework", "34", "loss"} {
		if strings.Contains(string(raw), word) {
			t.Errorf("the customer's sheet says %q: %s", word, raw)
		}
	}
	for _, word := range []string{"about", "week", "strings", "nut: bone", "14 pieces", "Two years", "tuners", out.Price.Gross.String()} {
		if !strings.Contains(string(raw), word) {
			t.Errorf("the customer's sheet lacks %q: %s", word, raw)
		}
	}
}
