package quote

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// PriceQuote works a quote out. It is a pure function of its input: the same
// input gives the same quote. A margin of 100 % or more is a *jobs.FieldError.
func PriceQuote(in Input) (Quoted, error) {
	b := builder{in: in, cur: in.Rates.Currency, unlogged: unloggedFactor(in)}
	question := b.question()
	b.walked = question.Walk()
	b.cost()
	q := Quoted{Lines: b.lines}
	cost := b.sum("")
	price, err := priceOf(cost, in)
	if err != nil {
		return Quoted{}, err
	}
	q.Price = price
	q.Hours = b.walked.Hours
	b.risk(&q)
	b.terms(&q)
	q.Promise = question.Promise(b.walked, in.Ask.Due)
	q.Warnings = append(append([]string(nil), in.Notes...), b.warnings...)
	q.Warnings = append(q.Warnings, q.Promise.Warnings...)
	q.Assumed = b.assumed()
	return q, nil
}

// unloggedFactor is the factor by which hours at the bench are multiplied; 1
// when unlogged time is carried by the overhead instead.
func unloggedFactor(in Input) float64 {
	if in.Ask.UnloggedInOverhead || in.Unlogged.Factor < 1 {
		return 1
	}
	return in.Unlogged.Factor
}

// priceOf turns a cost into a price by margin or markup, rounds it and adds
// the tax.
func priceOf(cost money.Amount, in Input) (Price, error) {
	ask, cur := in.Ask, in.Rates.Currency
	p := Price{Cost: cost, TaxPercent: in.Tax, TaxRule: in.TaxRule}
	var err error
	if ask.Markup {
		p.MarkupPercent, p.MarginPercent = ask.Margin, MarginOf(ask.Margin)
		p.Before = cur.Line(AtMarkup(cost, ask.Margin))
	} else {
		if p.MarkupPercent, err = MarkupOf(ask.Margin); err != nil {
			return p, err
		}
		p.MarginPercent = ask.Margin
		before, err := AtMargin(cost, ask.Margin)
		if err != nil {
			return p, err
		}
		p.Before = cur.Line(before)
	}
	p.Margin = p.Before.Sub(cost)
	p.Net = cur.Line(p.Before.RoundTo(ask.RoundTo))
	p.Rounding = p.Net.Sub(p.Before)
	tax := Tax([]TaxLine{{p.Net, in.Tax}}, in.TaxRule, cur)
	p.Tax, p.Gross = tax.Tax, tax.Gross
	return p, nil
}

// cost writes every line of the cost.
func (b *builder) cost() {
	b.labour()
	b.supplies()
	b.parts()
	b.wear()
	b.scrap()
}

type builder struct {
	in       Input
	cur      money.Currency
	unlogged float64
	walked   schedule.Walked
	lines    []jobs.QuoteLine
	keys     []string       // of lines: what stays the same line in a changed quote
	tag      string         // of lines to come: another session of a step
	again    func(*builder) // adds the lines of work that is repeated
	beyond   []string       // operations bigger than any done before
	warnings []string
	hours    decimal.Decimal // mean, of all labour lines and rework
	timeCost money.Amount    // of the lines that grow with the hours
}

// add appends a line and rounds it once.
func (b *builder) add(group, operation, what string, quantity money.Qty, unit string, rate money.Amount, basis string) money.Amount {
	l := jobs.QuoteLine{Group: group, Operation: operation, What: what, Quantity: quantity, Unit: unit, Rate: rate.Round(6), Basis: basis}
	if short := b.cur.Line(l.Rate); short.Cmp(l.Rate) == 0 {
		l.Rate = short
	}
	l.Amount = b.cur.Line(l.Rate.Mul(l.Quantity.Decimal))
	b.lines = append(b.lines, l)
	b.keys = append(b.keys, b.keyFor(group, operation, what))
	return l.Amount
}

// againTag marks the lines of another session of a step that is started.
const againTag = "again"

// lineKey names a labour line across quotes: the nth step of an operation.
func lineKey(group, operation, tag string, nth int) string {
	return fmt.Sprintf("%s|%s|%s|%d", group, operation, tag, nth)
}

// keyFor names the line that is added now. Words of labour lines hold their
// quantity, so these go by their operation.
func (b *builder) keyFor(group, operation, what string) string {
	if group == LineLabour {
		what = b.tag
	} else {
		what += b.tag
	}
	nth := 1
	for slices.Contains(b.keys, lineKey(group, operation, what, nth)) {
		nth++
	}
	if group == LineLabour && b.tag == againTag { // it belongs to the step before it
		for nth = 1; slices.Contains(b.keys, lineKey(group, operation, "", nth+1)); {
			nth++
		}
	}
	return lineKey(group, operation, what, nth)
}

// tagged sets the mark of another session.
func (b *builder) tagged(again bool) {
	b.tag = ""
	if again {
		b.tag = againTag
	}
}

func (b *builder) sum(group string) money.Amount {
	total := b.cur.Line(money.Zero)
	for _, l := range b.lines {
		if group == "" || l.Group == group {
			total = total.Add(l.Amount)
		}
	}
	return total
}

// hundredths gives hours to two decimals, as they are printed and multiplied.
func hundredths(minutes float64) money.Qty {
	return money.Qty{Decimal: money.QtyFromFloat(minutes / 60).Round(2)}
}

func (b *builder) labour() {
	type pot struct {
		rate  money.Amount
		hours decimal.Decimal
		basis []string
	}
	var again []*pot
	var beyond, beyondOperations []string
	for _, s := range b.in.Steps {
		b.tagged(s.again)
		h := hundredths(s.Estimate.MeanMin * float64(s.Copies))
		rate := b.in.Rates.LabourOf(s.Operation)
		b.timeCost = b.timeCost.Add(b.add(LineLabour, s.Operation, b.stepText(s), h, "h", rate, s.Estimate.Basis))
		b.hours = b.hours.Add(h.Decimal)
		for _, w := range s.Estimate.Warnings {
			if strings.Contains(w, estimate.BeyondExperience) {
				beyond, beyondOperations = append(beyond, s.Operation+": "+w), append(beyondOperations, s.Operation)
				continue
			}
			b.warnings = append(b.warnings, s.Operation+": "+w)
		}
		if s.Rework <= 0 {
			continue
		}
		var into *pot
		for _, p := range again {
			if p.rate.Cmp(rate) == 0 {
				into = p
			}
		}
		if into == nil {
			into = &pot{rate: rate}
			again = append(again, into)
		}
		into.hours = into.hours.Add(money.QtyFromFloat(s.Rework * s.Estimate.MeanMin * float64(s.Copies) / 60).Decimal)
		into.basis = append(into.basis, fmt.Sprintf("%s %s", s.Operation, tenths(s.Rework)))
	}
	if len(beyond) > 3 { // a batch is beyond experience in every step: one line
		b.beyond = beyondOperations
		beyond = []string{fmt.Sprintf("%d steps are bigger than any you have done. Their times are less certain.", len(beyond))}
	}
	b.tagged(false)
	b.warnings = append(b.warnings, beyond...)
	for _, p := range again {
		h := money.Qty{Decimal: p.hours.Round(2)}
		if h.IsZero() {
			continue
		}
		b.timeCost = b.timeCost.Add(b.add(LineRework, "", "rework allowance", h, "h", p.rate, "chance of rework: "+strings.Join(p.basis, ", ")))
		b.hours = b.hours.Add(h.Decimal)
	}
	b.resumed()
	if b.again != nil {
		b.again(b)
	}
	if extra := (money.Qty{Decimal: b.hours.Mul(decimal.NewFromFloat(b.unlogged - 1)).Round(2)}); extra.Sign() > 0 {
		b.timeCost = b.timeCost.Add(b.add(LineUnlogged, "", "unlogged time", extra, "h", b.in.Rates.Labour, b.unloggedBasis()))
	}
	b.timeCost = b.timeCost.Add(b.add(LineOverhead, "", "overhead", money.Qty{Decimal: b.hours}, "h", b.in.Rates.Overhead, "per hour logged at the bench"))
}

// resumed adds the setups that come again when a step is taken up on another
// evening: one line for each labour rate.
func (b *builder) resumed() {
	minutes := map[string]float64{} // by rate
	rates := map[string]money.Amount{}
	operations := map[string][]string{}
	for _, name := range jobs.SortedKeys(b.walked.Resumed) {
		rate := b.in.Rates.LabourOf(name)
		key := rate.String()
		rates[key], minutes[key] = rate, minutes[key]+b.walked.Resumed[name]
		if m := b.walked.Resumed[name]; m >= 1 {
			operations[key] = append(operations[key], fmt.Sprintf("%s %.0f min", name, m))
		}
	}
	for _, key := range jobs.SortedKeys(minutes) {
		h := hundredths(minutes[key])
		if h.IsZero() {
			continue
		}
		basis := "setups of steps that take more than one evening"
		if len(operations[key]) > 0 {
			basis += ": " + strings.Join(operations[key], ", ")
		}
		b.timeCost = b.timeCost.Add(b.add(LineResumed, "", ResumedSetups, h, "h", rates[key], basis))
		b.hours = b.hours.Add(h.Decimal)
	}
}

// ResumedSetups names the line of setups that come again.
const ResumedSetups = "setups that come again"

func (b *builder) unloggedBasis() string {
	if b.in.Unlogged.Evenings == 0 {
		return fmt.Sprintf("evenings are %.2f times their logged work: our guess, no evening measured lately", b.in.Unlogged.Factor)
	}
	return fmt.Sprintf("evenings are %.2f times their logged work, measured over %d %s", b.in.Unlogged.Factor, b.in.Unlogged.Evenings, jobs.Plural(float64(b.in.Unlogged.Evenings), "evening"))
}

func (b *builder) stepText(s Step) string {
	text := s.Title
	if s.Quantity != 1 || s.Unit != "neck" {
		text = fmt.Sprintf("%s, %s %s", text, num(s.Quantity), jobs.Plural(s.Quantity, s.Unit))
	}
	if s.Copies > 1 {
		text += fmt.Sprintf(", %d times", s.Copies)
	}
	if s.Difficulty > 1 {
		text += fmt.Sprintf(", difficulty %s", num(s.Difficulty))
	}
	return text
}

// tenths prints a small chance that was set by hand, such as 1.5 %.
func tenths(p float64) string {
	if p < 0.001 {
		return "under 0.1 %"
	}
	return num(100*p) + " %"
}

func num(f float64) string { return decimal.NewFromFloat(f).Round(2).String() }

func (b *builder) supplies() {
	for _, s := range b.in.Supplies {
		b.tagged(s.again)
		b.add(LineSupplies, s.Operation, s.Supply+" for "+s.Operation, s.Quantity, s.Unit, s.UnitPrice, s.Basis)
	}
}

func (b *builder) parts() {
	b.tagged(false)
	bought := money.Zero
	n := int64(max(b.in.Ask.Necks, 1))
	for _, p := range b.in.Ask.Parts {
		basis := "bought for this job, can go back"
		if p.Wood {
			basis = "wood for this job, cannot go back once cut"
		} else {
			bought = bought.Add(b.cur.Line(p.Price.MulInt(n)))
		}
		b.add(LineParts, "", p.Name, money.QtyOf(n), "pc", p.Price, basis)
	}
	if b.in.Ask.HandlingPct.Sign() > 0 && bought.Sign() > 0 {
		b.add(LineParts, "", "handling of parts", money.QtyOf(1), "", bought.Mul(b.in.Ask.HandlingPct).Div(hundred), b.in.Ask.HandlingPct.String()+" % of "+bought.Fixed(b.cur.Scale()))
	}
}

func (b *builder) wear() {
	for _, w := range b.in.Wear {
		b.tagged(w.again)
		if w.Missing != "" {
			b.warnings = append(b.warnings, w.Missing)
		}
		if !(w.LifeM > 0) || !(w.CutM > 0) {
			continue
		}
		perM := w.Change.Div(decimal.NewFromFloat(w.LifeM))
		b.add(LineBits, w.Operation, w.What, money.Qty{Decimal: money.QtyFromFloat(w.CutM).Round(4)}, "m of cut", perM, w.Basis)
	}
}

// scrap adds, for every step that can end the neck, its chance times what is
// sunk by then: labour, overhead, supplies and wood, not parts that can go
// back or be used again.
func (b *builder) scrap() {
	b.tagged(false)
	sunk, total := money.Zero, money.Zero
	for _, p := range b.in.Ask.Parts {
		if p.Wood {
			sunk = sunk.Add(p.Price.MulInt(int64(max(b.in.Ask.Necks, 1))))
		}
	}
	var basis []string
	counted := map[int]bool{}
	for _, s := range b.in.Steps {
		for i, l := range b.lines {
			if !counted[i] && l.Operation == s.Operation && (l.Group == LineLabour || l.Group == LineSupplies || l.Group == LineBits) {
				counted[i] = true
				sunk = sunk.Add(l.Amount)
				if l.Group == LineLabour {
					sunk = sunk.Add(b.in.Rates.Overhead.Mul(l.Quantity.Decimal))
				}
			}
		}
		if s.Scrap > 0 {
			total = total.Add(sunk.Mul(decimal.NewFromFloat(s.Scrap)))
			basis = append(basis, fmt.Sprintf("%s %s of %s", s.Operation, tenths(s.Scrap), b.cur.Print(sunk)))
		}
	}
	if total.Sign() > 0 {
		b.add(LineScrap, "", "scrap allowance", money.QtyOf(1), "", b.cur.Line(total), "chance x what is spent by then: "+strings.Join(basis, ", "))
	}
}
