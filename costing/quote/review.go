package quote

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// ActualStep is what a step of the accepted necks came to, over all of them. Nth is
// which of the steps of its operation it is, counted from 1.
type ActualStep struct {
	Operation string
	Nth       int
	Minutes   float64 // first passes and decisions
	Count     float64 // units done; 0 when not recorded
	Done      bool
}

// ActualWork is what the log says of the accepted necks.
type ActualWork struct {
	Steps            []ActualStep
	OutsideMin       float64 // work that no quoted step answers to
	ReworkMin        float64 // paid by the shop
	CustomerMin      float64 // rework that the customer caused and pays
	Cost             NeckCost
	Unlogged         float64 // measured while they were made; 0 takes the quoted one
	UnloggedEvenings int
	Finished         bool
}

// ReviewPart is one reason for the difference between quoted and actual cost.
type ReviewPart struct {
	Part    string       `json:"part"` // one of ReviewParts
	Hours   float64      `json:"hours"`
	Amount  money.Amount `json:"amount"` // above zero: it cost more than quoted
	Because string       `json:"because"`
}

// ReviewParts names the reasons in their order. Only pace says anything about
// a standard.
func ReviewParts() []string {
	return []string{"quantity", "pace", "rework", "change", "price", "unlogged"}
}

// Review sets what was quoted against what it came to. The parts add up to
// Difference exactly.
type Review struct {
	Quote      string       `json:"quote"`
	Revision   int          `json:"revision"`
	Finished   bool         `json:"finished"`
	Quoted     money.Amount `json:"quoted_cost"`
	Actual     money.Amount `json:"actual_cost"`
	Difference money.Amount `json:"difference"`
	Parts      []ReviewPart `json:"parts"`
	Steps      []ReviewStep `json:"steps"`
	// Net is the price with the agreed changes, Kept what is left of it.
	Net         money.Amount    `json:"net"`
	Kept        money.Amount    `json:"kept"`
	KeptPercent decimal.Decimal `json:"kept_percent"`
	QuotedHours float64         `json:"quoted_hours"` // average of the quote as it was accepted
	SafeHours   float64         `json:"safe_hours"`
	// ChangeHours is what the accepted changes add to both.
	ChangeHours     float64  `json:"change_hours"`
	WithChanges     float64  `json:"quoted_hours_with_changes"`
	SafeWithChanges float64  `json:"safe_hours_with_changes"`
	ActualHours     float64  `json:"actual_hours"`
	UnderSafe       bool     `json:"under_safe"`
	OwnHours        float64  `json:"own_estimate_h,omitempty"`
	Notes           []string `json:"notes,omitempty"`
}

// ReviewStep is one step of it, in minutes.
type ReviewStep struct {
	Step        int     `json:"step"` // of the quote; 0: not quoted
	Operation   string  `json:"operation"`
	QuotedMin   float64 `json:"quoted_min"` // mean
	ActualMin   float64 `json:"actual_min"`
	ChangeMin   float64 `json:"change_min"`   // of the difference: agreed changes
	QuantityMin float64 `json:"quantity_min"` // more or fewer pieces
	PaceMin     float64 `json:"pace_min"`     // slower or faster at each
}

// ReviewQuote splits the difference. Hours are priced at the frozen rates;
// what a rate or a price has moved since is in price, which is also where the
// cents of rounding end.
//
//	quantity  expected minutes of what was really done, less the quoted ones
//	pace      actual minutes, less the expected ones
//	rework    second passes and scrap, less the allowances
//	change    agreed change orders, and rework that the customer pays
//	unlogged  evening time that no entry holds, less what was quoted
//	price     supplies, parts, bits and rates
func ReviewQuote(q jobs.Quote, in Input, out Quoted, actual ActualWork) Review {
	cur := in.Rates.Currency
	rv := Review{Quote: q.Code, Revision: q.Agreed, Finished: actual.Finished, Quoted: out.Price.Cost, Net: out.Price.Net,
		QuotedHours: out.Hours.Mean, SafeHours: out.SafeHours, OwnHours: q.OwnHours}
	overhead := in.Rates.Overhead
	cost := map[string]money.Amount{}
	minutes := map[string]float64{}
	book := func(part, operation string, min float64) {
		minutes[part] += min
		rate := in.Rates.Labour
		if operation != "" {
			rate = in.Rates.LabourOf(operation)
		}
		cost[part] = cost[part].Add(rate.Add(overhead).Mul(money.QtyFromFloat(min / 60).Decimal))
	}

	changed := map[string]float64{}
	for _, c := range q.Changes {
		if c.Status != jobs.OrderAccepted {
			continue
		}
		rv.Net = rv.Net.Add(c.Net)
		rv.ChangeHours += c.Hours
		for _, l := range c.Lines {
			h, _ := l.Quantity.Float64()
			switch {
			case l.Group == LineLabour && l.Operation != "":
				changed[l.Operation] += h * 60
			case l.Group == LineResumed:
				book("change", "", h*60)
				book("pace", "", -h*60)
			case l.Group == LineRework:
				book("change", l.Operation, h*60)
				book("rework", l.Operation, -h*60)
			case l.Group == LineSupplies || l.Group == LineParts || l.Group == LineBits:
				cost["change"] = cost["change"].Add(l.Amount)
			}
		}
	}
	total := actual.OutsideMin + actual.ReworkMin + actual.CustomerMin
	byStep := map[StepKey]ActualStep{}
	for _, a := range actual.Steps {
		byStep[StepKey{a.Operation, a.Nth}] = a
		total += a.Minutes
	}
	reworkQuoted := 0.0
	nth := map[string]int{}
	for i, s := range in.Steps {
		nth[s.Operation]++
		key := StepKey{s.Operation, nth[s.Operation]}
		n := float64(s.Copies)
		quoted := s.Estimate.MeanMin * n
		reworkQuoted += s.Rework * quoted
		a := byStep[key]
		delete(byStep, key)
		expected := quoted
		switch {
		case a.Minutes == 0 && !a.Done:
			expected = 0
		case a.Count > 0:
			expected = s.scaled(a.Count/n).MeanMin * n
		}
		row := ReviewStep{Step: i + 1, Operation: s.Operation, QuotedMin: quoted, ActualMin: a.Minutes, ChangeMin: changed[s.Operation], QuantityMin: expected - quoted - changed[s.Operation], PaceMin: a.Minutes - expected}
		rv.Steps = append(rv.Steps, row)
		book("change", s.Operation, row.ChangeMin)
		book("quantity", s.Operation, row.QuantityMin)
		delete(changed, s.Operation) // it is of the whole operation
		book("pace", s.Operation, row.PaceMin)
	}
	for _, a := range actual.Steps { // operations that were not quoted
		if _, left := byStep[StepKey{a.Operation, a.Nth}]; left {
			rv.Steps = append(rv.Steps, ReviewStep{Operation: a.Operation, ActualMin: a.Minutes, QuantityMin: a.Minutes})
			book("quantity", a.Operation, a.Minutes)
		}
	}
	if again := out.Hours.Resumed * 60; again > 0 { // what was logged of them is in the steps
		rv.Steps = append(rv.Steps, ReviewStep{Operation: ResumedSetups, QuotedMin: again, PaceMin: -again})
		book("pace", "", -again)
	}
	book("quantity", "", actual.OutsideMin)
	book("change", "", actual.CustomerMin)
	book("rework", "", actual.ReworkMin-reworkQuoted)
	reworkSupplies := money.Zero
	for _, l := range out.Lines {
		if l.Group == LineScrap {
			reworkSupplies = reworkSupplies.Sub(l.Amount)
		}
	}
	cost["rework"] = cost["rework"].Add(reworkSupplies)

	unlogged := actual.Unlogged
	if unlogged < 1 {
		unlogged = in.Unlogged.Factor
	}
	quotedUnlogged := money.Zero
	for _, l := range out.Lines {
		if l.Group == LineUnlogged {
			quotedUnlogged = quotedUnlogged.Add(l.Amount)
		}
	}
	actualUnlogged := money.Zero
	if !in.Ask.UnloggedInOverhead {
		actualUnlogged = cur.Line(in.Rates.Labour.Mul(money.QtyFromFloat(total / 60 * (unlogged - 1)).Decimal))
		minutes["unlogged"] = total*(unlogged-1) - quotedHoursOf(out, LineUnlogged)*60
	}
	cost["unlogged"] = actualUnlogged.Sub(quotedUnlogged)

	rv.Actual = actual.Cost.Total.Add(actualUnlogged)
	rv.Difference = rv.Actual.Sub(rv.Quoted)
	rest := rv.Difference
	for _, part := range ReviewParts() {
		amount := cur.Line(cost[part])
		if part == "price" {
			continue
		}
		rest = rest.Sub(amount)
		why := rv.because(part)
		if part == "quantity" && why == asQuoted && math.Abs(minutes[part]) >= 1 {
			why = "pieces of accepted changes that are not logged"
		}
		rv.Parts = append(rv.Parts, ReviewPart{Part: part, Hours: minutes[part] / 60, Amount: amount, Because: why})
	}
	price := ReviewPart{Part: "price", Amount: rest, Because: priceBecause(out, actual.Cost, cur)}
	rv.Parts = append(rv.Parts[:4:4], price, rv.Parts[4])
	rv.ActualHours = total / 60
	rv.WithChanges, rv.SafeWithChanges = rv.QuotedHours+rv.ChangeHours, rv.SafeHours+rv.ChangeHours
	rv.UnderSafe = rv.ActualHours <= rv.SafeWithChanges
	rv.Kept = rv.Net.Sub(rv.Actual)
	if rv.Net.Sign() > 0 {
		rv.KeptPercent = rv.Kept.Decimal().Mul(hundred).DivRound(rv.Net.Decimal(), 1)
	}
	if !rv.Finished {
		rv.Notes = append(rv.Notes, "Not finished: steps to come count as not done.")
	}
	if actual.Unlogged < 1 && !in.Ask.UnloggedInOverhead {
		rv.Notes = append(rv.Notes, "Unlogged time was not measured while it was made: taken as quoted.")
	}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderOpen {
			rv.Notes = append(rv.Notes, fmt.Sprintf("Change %d (%s) is not accepted: its work is charged to the shop.", c.No, c.What))
		}
	}
	rv.Notes = append(rv.Notes, "Only pace may change a standard. It does so through past jobs.")
	return rv
}

// Rounded gives the review with its hours and minutes rounded to hundredths.
func (rv Review) Rounded() Review {
	for _, h := range []*float64{&rv.QuotedHours, &rv.SafeHours, &rv.ActualHours, &rv.OwnHours, &rv.ChangeHours, &rv.WithChanges, &rv.SafeWithChanges} {
		*h = jobs.Round2(*h)
	}
	rv.Parts, rv.Steps = slices.Clone(rv.Parts), slices.Clone(rv.Steps)
	for i := range rv.Parts {
		rv.Parts[i].Hours = jobs.Round2(rv.Parts[i].Hours)
	}
	for i, s := range rv.Steps {
		s.QuotedMin, s.ActualMin, s.QuantityMin, s.PaceMin = jobs.Round2(s.QuotedMin), jobs.Round2(s.ActualMin), jobs.Round2(s.QuantityMin), jobs.Round2(s.PaceMin)
		rv.Steps[i] = s
	}
	return rv
}

// Plus adds the totals of two cost sheets; lines are not carried.
func (c NeckCost) Plus(d NeckCost) NeckCost {
	return NeckCost{Labour: c.Labour.Add(d.Labour), Overhead: c.Overhead.Add(d.Overhead), Supplies: c.Supplies.Add(d.Supplies), Bits: c.Bits.Add(d.Bits),
		Parts: c.Parts.Add(d.Parts), Rework: c.Rework.Add(d.Rework), Total: c.Total.Add(d.Total), Decisions: c.Decisions.Add(d.Decisions), Assumed: c.Assumed.Add(d.Assumed),
		CustomerPays: c.CustomerPays.Add(d.CustomerPays), Replacement: c.Replacement.Add(d.Replacement)}
}

func quotedHoursOf(out Quoted, group string) float64 {
	sum := 0.0
	for _, l := range out.Lines {
		if l.Group == group && l.Unit == "h" {
			h, _ := l.Quantity.Float64()
			sum += h
		}
	}
	return sum
}

const asQuoted = "as quoted"

// because names the steps that did most.
func (rv Review) because(part string) string {
	type by struct {
		operation string
		min       float64
	}
	var all []by
	add := func(operation string, min float64) {
		for i := range all { // several steps of one operation count together
			if all[i].operation == operation {
				all[i].min += min
				return
			}
		}
		all = append(all, by{operation, min})
	}
	for _, s := range rv.Steps {
		switch part {
		case "quantity":
			add(s.Operation, s.QuantityMin)
		case "pace":
			add(s.Operation, s.PaceMin)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return math.Abs(all[i].min) > math.Abs(all[j].min) })
	text := ""
	for i, x := range all {
		if i == 3 || math.Abs(x.min) < 1 {
			break
		}
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("%s %+.0f min", x.operation, x.min)
	}
	switch {
	case text != "":
		return text
	case part == "rework":
		return "rework and scrap against the allowances"
	case part == "change":
		return "accepted changes and rework the customer pays"
	case part == "unlogged":
		return "evening time that no entry holds"
	}
	return asQuoted
}

func priceBecause(out Quoted, cost NeckCost, cur money.Currency) string {
	quoted := map[string]money.Amount{}
	for _, l := range out.Lines {
		quoted[l.Group] = quoted[l.Group].Add(l.Amount)
	}
	text := ""
	for _, g := range []struct {
		name   string
		quoted money.Amount
		actual money.Amount
	}{{"supplies", quoted[LineSupplies], cost.Supplies}, {"parts", quoted[LineParts], cost.Parts}, {"bits", quoted[LineBits], cost.Bits}} {
		d := cur.Line(g.actual.Sub(g.quoted))
		if d.IsZero() {
			continue
		}
		if text != "" {
			text += ", "
		}
		sign := ""
		if d.Sign() > 0 {
			sign = "+"
		}
		text += g.name + " " + sign + cur.Print(d)
	}
	if text == "" {
		return "rates and cents of rounding"
	}
	return text
}
