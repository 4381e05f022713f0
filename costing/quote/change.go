package quote

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// StepKey names a step of a quote: its operation, and which of the steps of that
// operation it is, counted from 1.
type StepKey struct {
	Operation string
	Nth       int
}

// StepDone says how far the necks are with a step.
type StepDone struct {
	Started bool
	Done    bool
}

// longWait is a cure that costs an evening, in minutes (our guess).
const longWait = 6 * 60

// PriceChange works a change order out from the frozen input of the accepted
// quote, the quantities of the changes accepted so far, and how far the necks
// are. Quantities are those of one neck.
//
// The price is that of the changed quote less that of the quote before, so a
// change that drops work which is not started ends at the net of a quote that
// was written without it: setups, what is left of mixes, allowances and all. A
// step that is started or done keeps what it cost. More of it is another
// session with a setup, and fewer save nothing. Redo names operations that are
// repeated in full; every wait of such a step comes again.
func PriceChange(in Input, accepted map[string]float64, ask jobs.ChangeAsk, done map[StepKey]StepDone) (jobs.ChangeOrder, error) {
	cur := in.Rates.Currency
	c := jobs.ChangeOrder{Status: jobs.OrderOpen, ChangeAsk: ask, Undo: cur.Line(money.Zero)}
	for _, operation := range ask.Redo {
		if !slices.ContainsFunc(in.Steps, func(s Step) bool { return s.Operation == operation }) {
			return c, &jobs.FieldError{Field: "redo", Value: operation, Want: "an operation on the quote's route"}
		}
	}
	now := withQuantities(in.Ask.Quantities, accepted)
	next := withQuantities(now, ask.Quantities)
	c.Quantities = changed(now, next, ask.Quantities)
	x := changeInput{in: in, now: now, next: next, redo: ask.Redo, done: done}
	before, after := x.inputs()
	was := builder{in: before, cur: cur, unlogged: unloggedFactor(in)}
	was.walked = was.question().Walk()
	was.cost()
	is := builder{in: after, cur: cur, unlogged: unloggedFactor(in), again: x.again(ask)}
	is.walked = is.question().Walk()
	is.cost()
	c.Lines = difference(was, is, x.why)
	for _, p := range ask.Parts {
		n := money.QtyOf(int64(max(in.Ask.Necks, 1)))
		b := builder{cur: cur}
		b.add(LineParts, "", p.Name, n, "pc", p.Price, "bought for the change")
		c.Lines = append(c.Lines, b.lines...)
	}
	for _, l := range c.Lines {
		c.Cost = c.Cost.Add(l.Amount)
	}
	c.Cost = cur.Line(c.Cost)
	for _, l := range x.undo {
		c.Undo = c.Undo.Add(l.Amount)
	}
	if err := x.price(&c, was.sum("")); err != nil {
		return c, err
	}
	c.Hours, _ = is.hours.Sub(was.hours).Float64()
	c.Days = changeDays(c.Hours, x.waits, in)
	c.Notes = x.notes
	if x.waits > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("Waits of 6 h or more that come again: %d.", x.waits))
	}
	if len(c.Lines) == 0 {
		c.Notes = append(c.Notes, "Nothing in the quote depends on this change.")
	}
	return c, nil
}

// price turns the cost of a change into its price at the margin of the quote:
// the price of the changed cost less that of the cost before, neither rounded to
// the step of the quote.
func (x *changeInput) price(c *jobs.ChangeOrder, before money.Amount) error {
	in := x.in
	in.Ask.RoundTo = money.Zero
	was, err := priceOf(before, in)
	if err != nil {
		return err
	}
	is, err := priceOf(before.Add(c.Cost), in)
	if err != nil {
		return err
	}
	cur := in.Rates.Currency
	c.Net = cur.Line(is.Net.Sub(was.Net))
	tax := Tax([]TaxLine{{c.Net, in.Tax}}, in.TaxRule, cur)
	c.Tax, c.Gross = tax.Tax, tax.Gross
	return nil
}

// withQuantities sets quantities as drafting does: pilots follow the holes where
// nothing else is said.
func withQuantities(base, set map[string]float64) map[string]float64 {
	out := maps.Clone(base)
	if out == nil {
		out = map[string]float64{}
	}
	if holes, said := set["holes"]; said && out["pilots"] > 0 {
		out["pilots"] = holes
	}
	maps.Copy(out, set)
	return out
}

// changed gives the quantities that a change sets: those asked for, and those
// that follow from them.
func changed(now, next, asked map[string]float64) map[string]float64 {
	out := maps.Clone(asked)
	for k, q := range next {
		if q != now[k] {
			if out == nil {
				out = map[string]float64{}
			}
			out[k] = q
		}
	}
	return out
}

// difference gives the lines of the changed quote less those of the quote before.
// Amounts are differences of printed lines, so that they add up to the cent.
func difference(was, is builder, why map[string]string) []jobs.QuoteLine {
	var out []jobs.QuoteLine
	old := map[string]jobs.QuoteLine{}
	for i, k := range was.keys {
		old[k] = was.lines[i]
	}
	take := func(k string, l, before jobs.QuoteLine) {
		l.Amount = l.Amount.Sub(before.Amount)
		l.Quantity = money.Qty{Decimal: l.Quantity.Sub(before.Quantity.Decimal)}
		if l.Amount.IsZero() && l.Quantity.IsZero() {
			return
		}
		if text := why[k]; text != "" {
			l.What, l.Basis = strings.TrimSpace(strings.SplitN(l.What, ",", 2)[0]), text
		}
		out = append(out, l)
	}
	for i, k := range is.keys {
		take(k, is.lines[i], old[k])
		delete(old, k)
	}
	for i, k := range was.keys {
		if _, gone := old[k]; gone {
			l := was.lines[i]
			zero := l
			zero.Amount, zero.Quantity = money.Zero, money.Qty{Decimal: decimal.Zero}
			take(k, zero, l)
		}
	}
	return out
}

// changeDays is how much later about: the part of evenings that the hours fill, and
// one for each wait that comes again.
func changeDays(hours float64, waits int, in Input) int {
	planned, worked := in.Calendar.EveningsPerWeek()
	if planned == 0 || worked == 0 || hours <= 0 && waits == 0 {
		return 0
	}
	minutes := 0.0
	for _, s := range in.Calendar.Slots {
		minutes += float64(s.Minutes()) * in.Calendar.Length / math.Max(in.Unlogged.Factor, 1) / planned
	}
	evenings := math.Max(hours, 0)*60/math.Max(minutes, 1) + float64(waits)
	return int(math.Ceil(evenings / worked * 7))
}

// CheckNewQuantities refuses quantities that no step of the quote hangs on.
func CheckNewQuantities(in Input, quantities map[string]float64) error {
	var known []string
	for _, s := range in.Steps {
		if !slices.Contains(known, s.Per) {
			known = append(known, s.Per)
		}
	}
	for _, d := range jobs.SortedKeys(quantities) {
		if !slices.Contains(known, d) {
			return &jobs.FieldError{Field: "quantity", Value: d, Want: "a quantity of the quote's steps: " + strings.Join(known, ", ")}
		}
	}
	return nil
}
