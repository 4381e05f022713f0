package quote

import (
	"fmt"
	"math"
	"slices"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// changeInput makes the inputs of the quote before and after a change.
type changeInput struct {
	in        Input
	now, next map[string]float64 // quantities for one neck
	redo      []string
	done      map[StepKey]StepDone

	why   map[string]string // by key of a labour line: what became of the step
	undo  []jobs.QuoteLine
	waits int
	notes []string
}

// inputs gives the quote at the quantities before the change and at those after
// it. Steps that are started keep what they were.
func (x *changeInput) inputs() (before, after Input) {
	x.why = map[string]string{}
	before, after = x.in, x.in
	before.Steps, after.Steps = nil, nil
	before.Supplies, after.Supplies = nil, nil
	before.Wear, after.Wear = nil, nil
	before.Ask.Quantities, after.Ask.Quantities = x.now, x.next
	supplies, wear := suppliesOf(x.in), wearOf(x.in)
	nth, nthAfter := map[string]int{}, map[string]int{}
	for i := 0; i < len(x.in.Steps); {
		n := x.in.sessionsFrom(i)
		first := x.in.Steps[i]
		was, is := x.parts(first, n, x.now), x.parts(first, n, x.next)
		for k := range max(len(was), len(is)) {
			from := i + min(k, n-1)
			s := x.in.Steps[from]
			put := func(to *Input, q float64, again bool) {
				t := s.At(q)
				t.again = again
				to.Steps = append(to.Steps, t)
				for _, u := range supplies[from] {
					to.Supplies = append(to.Supplies, u.at(s.Quantity, q, again))
				}
				for _, w := range wear[from] {
					to.Wear = append(to.Wear, w.at(s.Quantity, q, again))
				}
			}
			old, q := at(was, k), at(is, k)
			if old > 0 {
				nth[s.Operation]++
				put(&before, old, false)
			}
			x.follow(s, old, q, nth[s.Operation], func(q float64, again bool) int {
				if !again {
					nthAfter[s.Operation]++
				}
				put(&after, q, again)
				return nthAfter[s.Operation]
			})
		}
		i += n
	}
	return before, after
}

// follow puts a step of the quote after the change. nth is which of its operation
// it was before; put says which it is after.
func (x *changeInput) follow(s Step, old, q float64, nth int, put func(q float64, again bool) int) {
	d := x.done[StepKey{s.Operation, nth}]
	switch {
	case old > 0 && slices.Contains(x.redo, s.Operation):
		put(old, false)
	case old > 0 && (d.Started || d.Done):
		put(old, false)
		if q < old {
			x.notes = append(x.notes, fmt.Sprintf("%s is %s: fewer %s save nothing.", s.Operation, startedOrDone(d), jobs.Plural(2, s.Unit)))
		}
		if q > old {
			n := put(q-old, true)
			x.why[lineKey(LineLabour, s.Operation, againTag, n)] = fmt.Sprintf("%s more %s in another session, %s", num(q-old), jobs.Plural(q-old, s.Unit), startedOrDone(d))
			if s.CureMin >= longWait {
				x.waits++
			}
		}
	case q > 0:
		n := put(q, false)
		if q != old {
			x.why[lineKey(LineLabour, s.Operation, "", n)] = fmt.Sprintf("%s instead of %s %s, not started yet", num(q), num(old), jobs.Plural(old, s.Unit))
		}
	case old > 0:
		x.why[lineKey(LineLabour, s.Operation, "", nth)] = "the whole step is left out, not started yet"
	}
}

// again gives the lines of work that is undone and repeated.
func (x *changeInput) again(ask jobs.ChangeAsk) func(b *builder) {
	return func(b *builder) {
		from := len(b.lines)
		if ask.UndoMin > 0 {
			b.add(LineRework, "", "undo what is done", hundredths(ask.UndoMin), "h", b.in.Rates.Labour, "as given")
		}
		for _, s := range x.in.Steps {
			if !slices.Contains(ask.Redo, s.Operation) {
				continue
			}
			q := s.Quantity
			if per, ok := x.next[s.Per]; ok && s.Per != "coats" {
				q = per * x.in.together()
			}
			e := s.scaled(q)
			b.add(LineRework, s.Operation, s.Title+" again", hundredths(e.MeanMin*float64(s.Copies)), "h", b.in.Rates.LabourOf(s.Operation), "the whole step comes again")
			if s.CureMin >= longWait {
				x.waits++
			}
		}
		x.undo = append(x.undo, b.lines[from:]...)
		for _, l := range x.undo {
			b.hours = b.hours.Add(l.Quantity.Decimal)
		}
	}
}

// together is how many necks one step does at once.
func (in Input) together() float64 {
	if in.Ask.Batch {
		return float64(max(in.Ask.Necks, 1))
	}
	return 1
}

// sessionsFrom counts the steps from i on that are one operation in several
// sessions: the coats of a finish, each of which cures before the next.
func (in Input) sessionsFrom(i int) int {
	n := 1
	s := in.Steps[i]
	for s.Per == "coats" && s.CureMin > 0 && i+n < len(in.Steps) && in.Steps[i+n].Operation == s.Operation {
		n++
	}
	return n
}

// parts gives the quantity of each session of a step at the quantities given;
// empty where the step is left out.
func (x *changeInput) parts(s Step, n int, quantities map[string]float64) []float64 {
	if s.Needs != "" && quantities[s.Needs] <= 0 {
		return nil
	}
	q, known := quantities[s.Per]
	if !known {
		q = s.Quantity / x.in.together()
	}
	if q <= 0 {
		return nil
	}
	if s.Per != "coats" || s.CureMin <= 0 || n == 1 && q <= 1 || q > 100 {
		return []float64{q * x.in.together()}
	}
	var out []float64
	for ; q > 0; q-- {
		out = append(out, math.Min(q, 1)*x.in.together())
	}
	return out
}

func at(list []float64, i int) float64 {
	if i < len(list) {
		return list[i]
	}
	return 0
}

// suppliesOf gives the supplies of each step. Steps of the same operation take
// the same ones.
func suppliesOf(in Input) [][]Supply {
	return chunks(in, in.Supplies, func(u Supply) string { return u.Operation })
}

func wearOf(in Input) [][]Wear {
	return chunks(in, in.Wear, func(w Wear) string { return w.Operation })
}

// chunks deals what belongs to an operation out to its steps, in their order.
func chunks[T any](in Input, all []T, operation func(T) string) [][]T {
	out := make([][]T, len(in.Steps))
	for name, steps := range stepsBy(in) {
		var own []T
		for _, x := range all {
			if operation(x) == name {
				own = append(own, x)
			}
		}
		each := len(own) / len(steps)
		for k, i := range steps {
			out[i] = own[k*each : (k+1)*each]
		}
	}
	return out
}

func stepsBy(in Input) map[string][]int {
	by := map[string][]int{}
	for i, s := range in.Steps {
		by[s.Operation] = append(by[s.Operation], i)
	}
	return by
}

// at gives a supply for another quantity of its step: what goes into the work in
// proportion, what is left of a mix once.
func (u Supply) at(was, q float64, again bool) Supply {
	u.again = again
	if was <= 0 || was == q {
		return u
	}
	used := u.Quantity.Minus(u.Waste).Mul(decimal.NewFromFloat(q)).Div(decimal.NewFromFloat(was))
	u.Quantity = money.Qty{Decimal: used.Add(u.Waste.Decimal).Round(6)}
	u.Basis = "in proportion to the quote"
	if again {
		u.Basis = "in proportion to the quote, and what is left of another mix"
	}
	return u
}

func (w Wear) at(was, q float64, again bool) Wear {
	w.again = again
	if was > 0 && was != q {
		w.CutM, w.Basis = w.CutM*q/was, "in proportion to the quote"
	}
	return w
}

func startedOrDone(d StepDone) string {
	if d.Done {
		return "already done"
	}
	return "already started"
}

// At gives the step at another quantity, with its estimate moved along.
func (s Step) At(q float64) Step {
	if q != s.Quantity {
		s.Quantity, s.Estimate = q, s.scaled(q)
	}
	return s
}

// scaled moves the frozen estimate to another quantity: the pace and the spread
// stay, the standard's time changes.
func (s Step) scaled(q float64) estimate.Estimate {
	was, is := s.Standard.Minutes(s.Quantity), s.Standard.Minutes(q)
	if was <= 0 || is <= 0 {
		return estimate.Estimate{}
	}
	return s.Estimate.Times(is / was)
}
