package quote

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// StepDone says how far the neck is with a step.
type StepDone struct {
	Started bool
	Done    bool
}

// PriceChange works a change order out from the frozen input of the accepted
// quote and how far the neck is.
//
// A step not begun changes to its new quantity. On one that is done or begun
// more pieces are another sitting with a set-up, and fewer save nothing. Redo
// names steps that are repeated in full; every wait of such a step comes again.
func PriceChange(in Input, ask jobs.ChangeAsk, done map[string]StepDone) (jobs.ChangeOrder, error) {
	c := jobs.ChangeOrder{Status: jobs.OrderOpen, ChangeAsk: ask, Undo: in.Rates.Currency.Line(money.Zero)}
	b := builder{in: in, cur: in.Rates.Currency, unlogged: unloggedFactor(in)}
	waits, undo := 0, false
	for _, operation := range ask.Redo {
		if !slices.ContainsFunc(in.Steps, func(s Step) bool { return s.Operation == operation }) {
			return c, &jobs.FieldError{Field: "redo", Value: operation, Want: "an operation on the quote's route"}
		}
	}
	undoFrom := len(b.lines)
	if ask.UndoMin > 0 {
		b.add(LineRework, "", "undo what is done", hundredths(ask.UndoMin), "h", in.Rates.Labour, "told")
		undo = true
	}
	for _, s := range in.Steps {
		if slices.Contains(ask.Redo, s.Operation) {
			e := s.scaled(s.newQuantity(ask))
			b.add(LineRework, s.Operation, s.Title+" again", hundredths(e.MeanMin*float64(s.Copies)), "h", in.Rates.LabourOf(s.Operation), "the whole step comes again")
			undo = true
			if s.CureMin >= 6*60 {
				waits++
			}
		}
	}
	undoLines := b.lines[undoFrom:]
	for _, s := range in.Steps {
		q := s.newQuantity(ask)
		if q == s.Quantity || slices.Contains(ask.Redo, s.Operation) {
			continue
		}
		d := done[s.Operation]
		minutes, basis := 0.0, ""
		switch {
		case !d.Started && !d.Done:
			minutes = s.scaled(q).MeanMin - s.scaled(s.Quantity).MeanMin
			basis = fmt.Sprintf("%s instead of %s %s, not begun yet", num(q), num(s.Quantity), jobs.Plural(s.Quantity, s.Unit))
		case q > s.Quantity:
			minutes = s.scaled(q - s.Quantity).MeanMin
			basis = fmt.Sprintf("%s more %s in another sitting, %s", num(q-s.Quantity), jobs.Plural(q-s.Quantity, s.Unit), startedOrDone(d))
			if s.CureMin >= 6*60 {
				waits++
			}
		default:
			c.Notes = append(c.Notes, fmt.Sprintf("%s is %s: fewer %s save nothing", s.Operation, startedOrDone(d), jobs.Plural(2, s.Unit)))
			continue
		}
		h := hundredths(minutes * float64(s.Copies))
		b.add(LineLabour, s.Operation, s.Title, h, "h", in.Rates.LabourOf(s.Operation), basis)
		b.supplyChange(s, q, d.Started || d.Done)
	}
	hours := decimal.Zero
	for _, l := range b.lines {
		if l.Unit == "h" {
			hours = hours.Add(l.Quantity.Decimal)
		}
	}
	for _, l := range undoLines {
		c.Undo = c.Undo.Add(l.Amount)
	}
	if !hours.IsZero() {
		b.add(LineOverhead, "", "overhead", money.Qty{Decimal: hours}, "h", in.Rates.Overhead, "per hour logged at the bench")
		if extra := (money.Qty{Decimal: hours.Mul(decimal.NewFromFloat(b.unlogged - 1)).Round(2)}); !extra.IsZero() {
			b.add(LineUnlogged, "", "un-logged time", extra, "h", in.Rates.Labour, b.unloggedBasis())
		}
	}
	for _, p := range ask.Parts {
		b.add(LineParts, "", p.Name, money.QtyOf(int64(max(in.Ask.Necks, 1))), "pc", p.Price, "bought for the change")
	}
	c.Lines = b.lines
	c.Cost = b.sum("")
	c.Hours, _ = hours.Float64()
	in.Ask.RoundTo = money.Zero
	p, err := priceOf(c.Cost, in)
	if err != nil {
		return c, err
	}
	c.Net, c.Tax, c.Gross = p.Net, p.Tax, p.Gross
	c.Days = changeDays(c.Hours, waits, in)
	if undo {
		c.Notes = append(c.Notes, "work is undone for it: price it before the customer says yes")
	}
	if waits > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("waits of 6 h or more that come again: %d", waits))
	}
	if len(b.lines) == 0 {
		c.Notes = append(c.Notes, "nothing in the quote hangs on this change")
	}
	return c, nil
}

func startedOrDone(d StepDone) string {
	if d.Done {
		return "already done"
	}
	return "already begun"
}

// newQuantity gives the step's quantity under the change.
func (s Step) newQuantity(ask jobs.ChangeAsk) float64 {
	q, ok := ask.Quantities[s.Per]
	if !ok {
		return s.Quantity
	}
	return q
}

// At gives the step at another quantity, with its estimate moved along.
func (s Step) At(q float64) Step {
	e := s.scaled(q)
	s.Quantity, s.Estimate = q, e
	return s
}

// scaled moves the frozen estimate to another quantity: the pace and the
// spread stay, the standard's time changes.
func (s Step) scaled(q float64) estimate.Estimate {
	was, is := s.Standard.Minutes(s.Quantity), s.Standard.Minutes(q)
	if was <= 0 || is <= 0 {
		return estimate.Estimate{}
	}
	return s.Estimate.Times(is / was)
}

// supplyChange adds what the new quantity takes of the step's supplies: what goes
// into the work in proportion, what is left of a mix only where another is mixed.
func (b *builder) supplyChange(s Step, q float64, again bool) {
	if s.Quantity <= 0 {
		return
	}
	f := decimal.NewFromFloat(q).Sub(decimal.NewFromFloat(s.Quantity)).Div(decimal.NewFromFloat(s.Quantity))
	for _, u := range b.in.Supplies {
		if u.Operation != s.Operation {
			continue
		}
		extra, basis := u.Quantity.Minus(u.Waste).Mul(f), "in proportion to the quote"
		switch {
		case u.Waste.IsZero():
		case again:
			extra, basis = extra.Add(u.Waste.Decimal), "in proportion to the quote, and what is left of another mix"
		default:
			basis += ", in the same mix"
		}
		if extra = extra.Round(3); !extra.IsZero() {
			b.add(LineSupplies, s.Operation, u.Supply+" for "+s.Operation, money.Qty{Decimal: extra}, u.Unit, u.UnitPrice, basis)
		}
	}
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
