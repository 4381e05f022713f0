package costing

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/shopspring/decimal"
)

// quoteInput is an invented headstock for a shop without history.
func quoteInput(change func(*QuoteInput)) QuoteInput {
	in := QuoteInput{
		Ask:   QuoteAsk{Route: "headstock", Necks: 1, Margin: pct("25"), Wood: "hard-maple", Parts: []QuotePart{{Name: "tuners", Price: money.MustParse("84.00")}}},
		At:    monday,
		Rates: RateCard{Currency: "EUR", Labour: money.MustParse("34.00"), Overhead: money.MustParse("7.50")},
		Tax:   pct("21"), TaxRule: jobs.TaxPerTotal,
		Loose:    LooseFactor(nil, "", ""),
		Calendar: NewCalendar(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00"), Curfew: 21 * 60}),
		Settings: Settings{Draws: 2000, DateDraws: 200},
	}
	drives := map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "inlay": 14}
	operations := map[string]jobs.Operation{}
	for _, k := range jobs.SeedOperations() {
		operations[k.Name] = k
	}
	for _, r := range jobs.SeedRoutes()[0].Steps {
		k := operations[r.Operation]
		q := drives[k.Driver]
		if q == 0 || r.Needs != "" {
			continue
		}
		in.Steps = append(in.Steps, QuoteStep{Operation: k.Name, Title: k.Title, Driver: k.Driver, Unit: k.Unit(), Quantity: q, Copies: 1, Difficulty: 1, Standard: StandardOf(k),
			Estimate: EstimateStep(StandardOf(k), q, nil, Pace{}, Settings{}), Rework: k.ReworkChance, Scrap: k.ScrapChance, CureMin: k.CureMin, OneGo: k.OneGo, Noise: k.Noise, Hardware: k.Hardware, Decide: k.Decide})
		for _, line := range k.Recipe {
			in.Supplies = append(in.Supplies, QuoteSupply{Supply: line.Supply, Unit: "g", Operation: k.Name, Quantity: line.Quantity(money.QtyFromFloat(q)), UnitPrice: money.MustParse("0.19"), Basis: "lot of 2026-01-10"})
		}
	}
	in.Wear = []QuoteWear{{What: "bit S10-1", Operation: "drill", CutM: 0.114, LifeM: 2, Change: money.MustParse("14.00"), Basis: "rated life"}}
	in.Ask.Drives = drives
	if change != nil {
		change(&in)
	}
	return in
}

func mustPrice(t *testing.T, in QuoteInput) Quoted {
	t.Helper()
	q, err := PriceQuote(in)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestQuoteAddsUp(t *testing.T) {
	for name, change := range map[string]func(*QuoteInput){
		"plain":          nil,
		"rounded to 10":  func(in *QuoteInput) { in.Ask.RoundTo = money.MustParse("10") },
		"markup":         func(in *QuoteInput) { in.Ask.Markup = true },
		"no margin":      func(in *QuoteInput) { in.Ask.Margin = decimal.Zero },
		"three by one":   func(in *QuoteInput) { in.Ask.Necks = 3; copies(in, 3) },
		"handling":       func(in *QuoteInput) { in.Ask.HandlingPct = pct("5") },
		"own rate":       func(in *QuoteInput) { in.Rates.ByOperation = []OperationRate{{"inlay-cut", money.MustParse("48.00")}} },
		"loose overhead": func(in *QuoteInput) { in.Ask.LooseInOverhead = true },
		"yen":            func(in *QuoteInput) { in.Rates.Currency = "JPY" },
		"tax per line":   func(in *QuoteInput) { in.TaxRule = jobs.TaxPerLine },
		"wood and stages": func(in *QuoteInput) {
			in.Ask.Parts = append(in.Ask.Parts, QuotePart{"burl leaf", money.MustParse("310.00"), true})
			in.Ask.Stages = []StageAsk{{"neck drilled", pct("30")}}
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

func copies(in *QuoteInput, n int) {
	for i := range in.Steps {
		in.Steps[i].Copies = n
	}
}

// What is frozen as JSON and read again gives the same quote to the last digit.
func TestQuoteIsRepeatableFromItsFrozenInput(t *testing.T) {
	in := quoteInput(func(in *QuoteInput) { in.Before = []Job{headstockJob("other")} })
	first := mustPrice(t, in)
	raw, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var again QuoteInput
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
	in := quoteInput(func(in *QuoteInput) { in.Ask.Margin = pct("100") })
	if _, err := PriceQuote(in); err == nil {
		t.Error("a margin of 100 % has a price")
	}
}

func TestMoreMarginIsLessRisk(t *testing.T) {
	last := 2.0
	for _, m := range []string{"0", "10", "25", "40"} {
		q := mustPrice(t, quoteInput(func(in *QuoteInput) { in.Ask.Margin = pct(m) }))
		if q.LossChance > last {
			t.Errorf("at %s %% the chance of a loss is %.3f, above the %.3f of a smaller margin", m, q.LossChance, last)
		}
		last = q.LossChance
	}
	// At cost, the loss is the chance that the hours exceed their mean: a little
	// under one half, for the mean lies above the median.
	q := mustPrice(t, quoteInput(func(in *QuoteInput) { in.Ask.Margin = decimal.Zero }))
	if want := 1 - q.Hours.ChanceWithin(q.Hours.Mean); math.Abs(q.LossChance-want) > 0.01 || want > 0.5 {
		t.Errorf("at cost: %.3f, want %.3f", q.LossChance, want)
	}
}

func TestBatchSharesSetUps(t *testing.T) {
	one := mustPrice(t, quoteInput(func(in *QuoteInput) { in.Ask.Necks = 3; copies(in, 3) }))
	batch := mustPrice(t, quoteInput(func(in *QuoteInput) {
		in.Ask.Necks, in.Ask.Batch = 3, true
		for i := range in.Steps {
			s := &in.Steps[i]
			s.Quantity *= 3
			s.Estimate = EstimateStep(s.Standard, s.Quantity, nil, Pace{}, Settings{})
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
		one := []Sample{{When: monday.AddDate(0, -1, 0), Quantity: s.Quantity, Minutes: s.Estimate.StandardMin}}
		s.Estimate = EstimateStep(s.Standard, 4*s.Quantity, one, Pace{}, Settings{})
	}
	lines := 0
	for _, w := range mustPrice(t, in).Warnings {
		if strings.Contains(w, "outside your experience") {
			t.Errorf("a line of its own: %s", w)
		}
		if strings.Contains(w, "larger than any you have logged") {
			lines++
		}
	}
	if lines != 1 {
		t.Errorf("%d lines say it, want one", lines)
	}
}

func TestDepositFloor(t *testing.T) {
	q := mustPrice(t, quoteInput(func(in *QuoteInput) {
		in.Ask.Parts = []QuotePart{{"tuners", money.MustParse("400.00"), false}, {"leaf", money.MustParse("150.00"), true}}
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
	in := quoteInput(func(in *QuoteInput) {
		in.Ask.Spec, in.Ask.Exclusions = []string{"nut: bone, 43 mm"}, []string{"strings"}
		in.Ask.Wording = map[string]string{"warranty": "Two years on glue joints."}
	})
	out := mustPrice(t, in)
	s := Customer(Quote{Code: "Q1", Customer: "an invented customer"}, Revision{No: 1, Status: QuoteSent, Sent: "2026-12-01", Until: "2026-12-31"}, in, out)
	raw, _ := json.Marshal(s)
	for _, word := range []string{"margin", "hour", "markup", "p80", "P80", "labour", "overhead", "rework", "34", "loss"} {
		if strings.Contains(string(raw), word) {
			t.Errorf("the customer's sheet says %q: %s", word, raw)
		}
	}
	for _, word := range []string{"about", "week", "strings", "nut: bone", "14 pieces of inlay", "Two years", "tuners", out.Price.Gross.String()} {
		if !strings.Contains(string(raw), word) {
			t.Errorf("the customer's sheet lacks %q: %s", word, raw)
		}
	}
}

func TestChangeOrders(t *testing.T) {
	in := quoteInput(nil)
	price := func(ask ChangeAsk, done map[string]StepDone) ChangeOrder {
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
	more := ChangeAsk{Drives: map[string]float64{"inlay": 18}}
	before := price(more, nil)
	late := price(more, map[string]StepDone{"inlay-draw": {Done: true}, "inlay-cut": {Done: true}, "inlay-rout": {Done: true}})
	if !(before.Net.Sign() > 0 && late.Net.Cmp(before.Net) > 0 && late.Hours > before.Hours) {
		t.Errorf("four pieces more: before %s, after cutting %s", before.Net, late.Net)
	}
	redo := price(ChangeAsk{Drives: map[string]float64{"inlay": 14}, Redo: []string{"inlay-rout", "inlay-glue"}, UndoMin: 60}, map[string]StepDone{"inlay-rout": {Done: true}})
	if redo.Undo.Sign() <= 0 || redo.Undo.Cmp(redo.Cost) > 0 || redo.Days == 0 {
		t.Errorf("redo: undo %s of %s, %d days", redo.Undo, redo.Cost, redo.Days)
	}
	less := price(ChangeAsk{Drives: map[string]float64{"inlay": 10}}, nil)
	if less.Net.Sign() >= 0 || less.Hours >= 0 {
		t.Errorf("four pieces fewer, nothing begun: %s, %.2f h", less.Net, less.Hours)
	}
	spent := price(ChangeAsk{Drives: map[string]float64{"inlay": 10}}, map[string]StepDone{"inlay-draw": {Done: true}, "inlay-cut": {Done: true}, "inlay-rout": {Done: true}, "inlay-glue": {Done: true}, "inlay-level": {Done: true}})
	if spent.Net.Sign() != 0 || len(spent.Notes) == 0 {
		t.Errorf("fewer pieces after all is done: %s %v", spent.Net, spent.Notes)
	}
	parts := price(ChangeAsk{Parts: []QuotePart{{Name: "other tuners", Price: money.MustParse("30.00")}}}, nil)
	if parts.Net.Fixed(2) != "40.00" {
		t.Errorf("parts of 30.00 at a margin of 25 %%: %s, want 40.00", parts.Net)
	}
	// 14 pieces at 0.4 g and 3 g that stay in the cup are 8.6 g; four more are 1.6 g
	// in the same mix, 4.6 g where another has to be mixed.
	in.Supplies = []QuoteSupply{{Supply: "epoxy", Unit: "g", Operation: "inlay-glue", Quantity: qty("8.6"), Waste: qty("3"), UnitPrice: money.MustParse("0.12")}}
	for _, tc := range []struct {
		done map[string]StepDone
		want string
	}{{nil, "1.6"}, {map[string]StepDone{"inlay-glue": {Done: true}}, "4.6"}} {
		c := price(more, tc.done)
		i := slices.IndexFunc(c.Lines, func(l QuoteLine) bool { return l.Group == LineSupplies })
		if i < 0 || c.Lines[i].Quantity.String() != tc.want {
			t.Errorf("done %v: %+v, want %s g", tc.done, c.Lines, tc.want)
		}
	}
	if _, err := PriceChange(in, ChangeAsk{Redo: []string{"fret-seat"}}, nil); err == nil {
		t.Error("an operation off the route is redone")
	}
	if err := CheckNewDrives(in, map[string]float64{"frets": 22}); err == nil {
		t.Error("frets change a headstock")
	}
}

// The parts of a review add up to the whole whatever happened.
func TestReviewAddsUp(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 60 {
		in := quoteInput(nil)
		out := mustPrice(t, in)
		q := Quote{Code: "Q1"}
		if r.IntN(2) == 0 {
			c, err := PriceChange(in, ChangeAsk{Drives: map[string]float64{"inlay": 18}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			c.Status = ChangeAgreed
			q.Changes = append(q.Changes, c)
		}
		a := ActualWork{ReworkMin: float64(r.IntN(90)), CustomerMin: float64(r.IntN(50)), OutsideMin: float64(r.IntN(40)), Loose: 1 + 0.5*r.Float64(), Finished: true}
		a.Cost.Total = money.New(int64(20000+r.IntN(200000)), -2)
		for _, s := range in.Steps {
			a.Steps = append(a.Steps, ActualStep{Operation: s.Operation, Minutes: s.Estimate.MeanMin * (0.5 + r.Float64()), Count: math.Round(s.Quantity * (0.5 + r.Float64())), Done: true})
		}
		rv := ReviewQuote(q, Revision{No: 1, Input: &in, Result: &out}, a)
		sum := money.Zero
		var names []string
		for _, p := range rv.Parts {
			sum = sum.Add(p.Amount)
			names = append(names, p.Part)
		}
		if sum.Cmp(rv.Difference) != 0 || rv.Actual.Sub(rv.Quoted).Cmp(rv.Difference) != 0 {
			t.Fatalf("seed %d case %d: parts add to %s, difference %s", seed, i, sum, rv.Difference)
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
		a := ActualWork{Loose: in.Loose.Factor, Finished: true}
		for _, s := range in.Steps {
			a.Steps = append(a.Steps, ActualStep{s.Operation, s.Estimate.MeanMin, s.Quantity, true})
			a.ReworkMin += s.Rework * s.Estimate.MeanMin
		}
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
		for _, p := range ReviewQuote(Quote{}, Revision{Input: &in, Result: &out}, a).Parts {
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
				want += c.min / 60 * (in.Loose.Factor - 1) * 34
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
			if s.Driver == "inlay" {
				a.Steps[i].Count = 18
				a.Steps[i].Minutes = s.scaled(18).MeanMin
			}
		}
	}))
	if got["quantity"] < 60 || math.Abs(got["pace"]-base["pace"]) > 0.05 {
		t.Errorf("four more pieces: quantity %.2f, pace %.2f", got["quantity"], got["pace"])
	}
}

func TestCalibrationVerdict(t *testing.T) {
	under := func(k, n int) []Kept {
		var out []Kept
		for i := range n {
			x := Kept{Quote: "Q", Mean: 10, P50: 9.5, P80: 12, Actual: 11}
			if i >= k {
				x.Actual = 14
			}
			out = append(out, x)
		}
		return out
	}
	for _, c := range []struct {
		k, n int
		want string
	}{{0, 0, "nothing to say"}, {0, 1, "too few to tell"}, {0, 2, "too few to tell"}, {0, 3, "too bold"}, {6, 10, "no proof of bias"}, {8, 10, "no proof of bias"}, {2, 10, "too bold"}, {60, 60, "wider than"}} {
		if got := Calibrate(under(c.k, c.n)).Verdict; !strings.Contains(got, c.want) {
			t.Errorf("%d of %d: %q, want %q", c.k, c.n, got, c.want)
		}
	}
	// By hand: 0.2, 0.2 squared, 0.2 cubed; 0.8 to the tenth.
	for _, c := range []struct {
		k, n int
		want float64
	}{{0, 1, 0.2}, {0, 2, 0.04}, {0, 3, 0.008}, {10, 10, 0.1073741824}} {
		if got := binomialTail(c.k, c.n, 0.8); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("tail of %d of %d: %v, want %v", c.k, c.n, got, c.want)
		}
	}
	c := Calibrate([]Kept{{Quote: "Q1", Mean: 10, Actual: 12, P80: 13, Guess: 8}, {Quote: "Q2", Mean: 10, Actual: 12, P80: 11}})
	if math.Abs(c.Ratio-1.2) > 1e-12 || math.Abs(c.GuessRatio-1.5) > 1e-12 || c.Guesses != 1 {
		t.Errorf("%+v", c)
	}
}
