package quote

import (
	"math"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// work gives the steps to the simulation, with what an hour of each costs.
func (b *builder) work() []estimate.Work {
	overhead, shop := b.in.Rates.Overhead.Float(), b.in.Rates.Labour.Float()
	var out []estimate.Work
	for _, s := range b.in.Steps {
		w := estimate.Work{Name: s.Operation, Estimate: s.Estimate, Rework: s.Rework, PerHour: b.in.Rates.LabourOf(s.Operation).Float() + (b.unlogged-1)*shop + overhead}
		for range s.Copies {
			out = append(out, w)
		}
	}
	return out
}

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

// promise simulates the date. Several necks made one by one wait in the
// queue one after the other; the date is that of the last.
func (b *builder) promise() schedule.Promise {
	in := b.in
	own := schedule.Job{Name: "this", Starts: in.Ask.DepositOn, Parts: in.Ask.Arrival}
	if own.Starts == "" {
		own.Starts = jobs.DayOf(in.At).Add(AssumedDepositDays)
	}
	copies := 1
	for _, s := range in.Steps {
		copies = max(copies, s.Copies)
		own.Tasks = append(own.Tasks, schedule.Task{Work: estimate.Work{Name: s.Operation, Estimate: s.Estimate, Rework: s.Rework},
			SetupMin: s.Standard.SetupMin * s.Estimate.Pace, CureMin: s.CureMin, NoStop: s.NoStop, Noise: s.Noise, Hardware: s.Hardware})
	}
	before := append([]schedule.Job(nil), in.Before...)
	for range copies - 1 {
		before = append(before, own)
	}
	cal := in.Calendar
	cal.Unlogged = math.Max(in.Unlogged.Factor, 1)
	return schedule.PromiseDate(in.At, own, before, in.Ask.Due, cal, in.Settings)
}

// AssumedDepositDays is when a deposit is expected while no date is set.
const AssumedDepositDays = 14
