package workshop

import (
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// QuoteReviewAsk compares one quote with what it came to.
type QuoteReviewAsk struct {
	Asked
	Quote string `json:"quote" word:"QUOTE"`
}

// QuoteReviewResult is quoted against actual, and why.
type QuoteReviewResult struct {
	Meta
	quote.Review
}

// QuoteHeldAsk asks how often quotes held.
type QuoteHeldAsk struct{ Asked }

// QuoteHeldResult says over all finished quotes how often they held.
type QuoteHeldResult struct {
	Meta
	quote.Calibration
}

// QuoteReview compares one quote with the log, QuoteHeld counts over all.
var (
	QuoteReview = Define("quote review", "", Long, (*Book).quoteReview)
	QuoteHeld   = Define("quote review all", "", Long, (*Book).quoteHeld)
)

func (b *Book) quoteReview(ask *QuoteReviewAsk, res *QuoteReviewResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	if q.Status != jobs.QuoteAccepted {
		return quoteRefused(q, "so there is no work to review", b.towardsYes(q))
	}
	res.Review, err = b.ReviewOf(q)
	return err
}

// ReviewOf sets an accepted quote against the log, rounded.
func (b *Book) ReviewOf(q jobs.Quote) (quote.Review, error) {
	o, err := b.offerOf(q, q.Agreed)
	if err != nil {
		return quote.Review{}, err
	}
	actual, err := b.actualWork(q)
	if err != nil {
		return quote.Review{}, err
	}
	return quote.ReviewQuote(q, o.input, o.result, actual).Rounded(), nil
}

// actualWork gathers what the log says of the necks of a quote.
func (b *Book) actualWork(q jobs.Quote) (quote.ActualWork, error) {
	out := quote.ActualWork{Finished: len(q.Necks) > 0}
	at := map[quote.StepKey]int{}
	var first, last jobs.Day
	for _, code := range q.Necks {
		n, err := b.Neck(code)
		if err != nil {
			return out, err
		}
		out.Finished = out.Finished && n.Status == jobs.Finished
		entries, err := b.NeckEntries(code)
		if err != nil {
			return out, err
		}
		entries = b.Settled(entries)
		for _, x := range entries {
			i := x.ShareOf(code)
			if i < 0 {
				continue
			}
			day := b.Shop.Evening(x.From)
			if first == "" || day < first {
				first = day
			}
			last = max(last, day)
			minutes := x.ShareOut(b.Now)[i].Minutes()
			switch {
			case x.Class == jobs.Rework && x.Payer == jobs.Payers[1]:
				out.CustomerMin += minutes
			case x.Class == jobs.Rework:
				out.ReworkMin += minutes
			case x.Shares[i].Step == 0:
				out.OutsideMin += minutes
			}
		}
		nth := map[string]int{}
		for _, v := range jobs.Derive(n, entries, b.Operations, b.Shop, b.Now).Steps {
			nth[v.Operation]++ // as quoted: a step that a change took out keeps its place
			key := quote.StepKey{Operation: v.Operation, Nth: nth[v.Operation]}
			k, known := at[key]
			if !known {
				k = len(out.Steps)
				at[key] = k
				out.Steps = append(out.Steps, quote.ActualStep{Operation: v.Operation, Nth: key.Nth})
			}
			s := &out.Steps[k]
			s.Minutes += v.Actual.Minutes()
			s.Done = s.Done || v.DoneAt != nil
			switch {
			case v.Counted > 0:
				s.Count += v.Counted
			case v.DoneAt != nil:
				s.Count += v.Quantity
			}
		}
		cost, err := b.NeckCost(n)
		if err != nil {
			return out, err
		}
		out.Cost = out.Cost.Plus(cost)
	}
	if first == "" {
		return out, nil
	}
	worked, err := b.WorkedEvenings(first, last)
	if err != nil {
		return out, err
	}
	if unlogged := estimate.UnloggedFactor(worked, first, last); unlogged.Evenings >= fewestEvenings {
		out.Unlogged, out.UnloggedEvenings = unlogged.Measured, unlogged.Evenings
	}
	return out, nil
}

// fewestEvenings is the fewest evenings whose unlogged time a review takes as
// measured (our guess).
const fewestEvenings = 3

func (b *Book) quoteHeld(_ *QuoteHeldAsk, res *QuoteHeldResult) error {
	kept, err := b.KeptQuotes(func(time.Time) bool { return true })
	res.Calibration = quote.Calibrate(kept)
	return err
}

// KeptQuotes sets every accepted quote whose necks are all finished against what
// they took. keep chooses by the time at which the last one was closed.
func (b *Book) KeptQuotes(keep func(closed time.Time) bool) ([]quote.Kept, error) {
	var kept []quote.Kept
	for q, err := range store.Each(b.Tx, store.Quotes) {
		if err != nil {
			return nil, err
		}
		if q.Status != jobs.QuoteAccepted {
			continue
		}
		o, err := b.offerOf(q, q.Agreed)
		if err != nil {
			return nil, err
		}
		actual, err := b.actualWork(q)
		if err != nil {
			return nil, err
		}
		if !actual.Finished {
			continue
		}
		k := quote.KeptOf(q, o.result, quote.ReviewQuote(q, o.input, o.result, actual))
		onTime, last := true, time.Time{}
		for _, code := range q.Necks {
			n, err := b.Neck(code)
			if err != nil {
				return nil, err
			}
			if n.Closed == nil {
				continue
			}
			if n.Closed.After(last) {
				last = *n.Closed
			}
			if n.Due != "" {
				onTime = onTime && jobs.DayOf(b.Wall(*n.Closed)) <= n.Due
				k.OnTime = &onTime
			}
		}
		if keep(last) {
			kept = append(kept, k)
		}
	}
	return kept, nil
}

// AgreedNet is the net price of an accepted quote with every accepted change.
func (b *Book) AgreedNet(q jobs.Quote) (money.Amount, error) {
	o, err := b.offerOf(q, q.Agreed)
	if err != nil {
		return money.Zero, err
	}
	return quote.BillOf(q, o.input, o.result, "").Net, nil
}
