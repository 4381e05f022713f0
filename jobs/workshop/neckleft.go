package workshop

import (
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// eachLeft gives each step that is left with its average minutes. Averages add, likely
// and safe times do not.
func (b *Book) eachLeft(st jobs.NeckState, fn func(v jobs.StepView, mean float64)) error {
	for _, v := range st.Steps {
		if v.State == jobs.Skipped || v.DoneAt != nil && v.State != jobs.On {
			continue
		}
		t, err := b.timesOf(v)
		if err != nil {
			return err
		}
		fn(v, t.mean)
	}
	return nil
}

// leftMin adds up the average minutes of the steps that are left.
func (b *Book) leftMin(st jobs.NeckState) (sum float64, err error) {
	err = b.eachLeft(st, func(_ jobs.StepView, mean float64) { sum += mean })
	return sum, err
}

// costAtEnd is what a neck is expected to have cost when it is done: its cost so far,
// with the hours and supplies of the steps that are left.
func (b *Book) costAtEnd(st jobs.NeckState, cost quote.NeckCost, rates quote.RateCard) (money.Amount, error) {
	sum := cost.Total
	if err := b.eachLeft(st, func(v jobs.StepView, mean float64) {
		sum = sum.Add(rates.LabourOf(v.Operation).Add(rates.Overhead).Mul(money.QtyFromFloat(mean / 60).Decimal))
	}); err != nil {
		return sum, err
	}
	supplies, err := b.suppliesLeft(st)
	return b.Shop.Currency.Line(sum.Add(supplies)), err
}

// suppliesLeft is what the steps that are left take from the stock, at the last prices. A
// supply without a price on record adds nothing.
func (b *Book) suppliesLeft(st jobs.NeckState) (money.Amount, error) {
	sum := money.Zero
	planned := stock.PlanUses([]jobs.NeckState{st}, nil, b.Operations, b.Shop, b.Tonight())
	for _, name := range jobs.SortedKeys(planned) {
		s, ok, err := store.Get(b.Tx, store.Supplies, name)
		if err != nil {
			return sum, err
		}
		if !ok {
			continue
		}
		l, err := b.SupplyLedger(s)
		if err != nil {
			return sum, err
		}
		for _, u := range planned[name] {
			sum = sum.Add(l.LastPrice.Mul(u.Quantity.Decimal))
		}
	}
	return sum, nil
}
