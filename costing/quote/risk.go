package quote

import (
	"math"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// risk works out what is left to chance: of the cost only the hours are.
func (b *builder) risk(q *Quoted) {
	fixed := q.Price.Cost.Sub(b.timeCost)
	q.LossChance = q.Hours.ChanceCostAbove(q.Price.Net.Sub(fixed).Float())
	p80 := money.Qty{Decimal: money.QtyFromFloat(q.Hours.P80).Round(2)}
	q.SafeHours, _ = p80.Float64()
	q.SafeNet = q.Price.Net
	if b.hours.Sign() > 0 {
		cost := fixed.Add(b.timeCost.Mul(p80.Decimal).Div(b.hours))
		if safe, err := priceOf(b.cur.Line(cost), b.in); err == nil {
			q.SafeNet = safe.Net
		}
	}
}

// question asks the calendar for the hours and the date of the quote. Several
// necks made one by one wait in the queue one after the other.
func (b *builder) question() schedule.Question {
	in := b.in
	own := schedule.QueueNeck{Name: "this", Starts: in.Ask.DepositOn, Parts: in.Ask.Arrival}
	if own.Starts == "" {
		own.Starts = jobs.DayOf(in.At).Add(AssumedDepositDays)
	}
	overhead, shop := in.Rates.Overhead.Float(), in.Rates.Labour.Float()
	copies := 1
	byOperation := map[string][]Step{}
	for _, s := range in.Steps {
		copies = max(copies, s.Copies)
		if !s.again {
			byOperation[s.Operation] = append(byOperation[s.Operation], s)
		}
	}
	own.Steps = schedule.FromGraph(in.Graph, in.Operations, in.Ask.Quantities, func(o jobs.GraphOperation, _ float64) schedule.Minutes {
		w := estimate.Work{Name: o.Name, PerHour: in.Rates.LabourOf(o.Name).Float() + (b.unlogged-1)*shop + overhead}
		share := 0.0
		if left := byOperation[o.Name]; len(left) > 0 {
			s := left[0]
			byOperation[o.Name] = left[1:]
			w.Estimate, w.Rework = s.Estimate, s.Rework
			if all := s.Standard.Minutes(s.Quantity); all > 0 {
				share = s.Standard.SetupMin / all
			}
		}
		own.Works = append(own.Works, w)
		e := w.Estimate
		return schedule.Minutes{SafeSetup: e.SafeMin * share, SafeRun: e.SafeMin * (1 - share), MeanSetup: e.MeanMin * share, MeanRun: e.MeanMin * (1 - share)}
	})
	if own.Parts != nil { // their day is known: the usual lead time does not count
		for i := range own.Steps {
			for k := range own.Steps[i].Needs {
				if n := &own.Steps[i].Needs[k]; own.Steps[n.Step].Marks.Has(schedule.IsErrand) {
					n.WaitMin = 0
				}
			}
		}
	}
	q := schedule.Question{Now: in.At, Before: in.Before, Calendar: in.Calendar, Bench: in.Bench, Settings: in.Settings}
	for range copies {
		q.Own = append(q.Own, own)
	}
	q.Calendar.Unlogged = math.Max(in.Unlogged.Factor, 1)
	return q
}

// AssumedDepositDays is when a deposit is expected while no date is set.
const AssumedDepositDays = 14
