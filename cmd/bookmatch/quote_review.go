package main

import (
	"strconv"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// quoteReview lays quoted beside actual for one quote, or counts over all how
// often the quotes held.
func (e *env) quoteReview(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	if len(w) == 0 {
		return e.quoteCalibration(c)
	}
	var rv quote.Review
	var shop jobs.Shop
	err = e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		shop = b.Shop
		q, err := tx.FindQuote(w[0])
		if err != nil {
			return err
		}
		if q.Status != quote.Accepted {
			return quoteStatusError(q, "there is no work to review", "")
		}
		r, err := tx.Revision(q, q.Agreed)
		if err != nil {
			return err
		}
		actual, err := actualWork(b, q)
		if err != nil {
			return err
		}
		rv = quote.ReviewQuote(q, r, actual)
		return nil
	})
	if err != nil {
		return err
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(struct {
			quote.Review
			Currency string `json:"currency"`
		}{rv, string(shop.Currency)})
	}
	return e.hand(c, paper{report: reports.QuoteReview(rv, shop)})
}

// actualWork gathers what the log says of the necks of a quote.
func actualWork(b *desk, q quote.Quote) (quote.ActualWork, error) {
	out := quote.ActualWork{Finished: len(q.Necks) > 0}
	at := map[string]int{}
	var first, last jobs.Day
	for _, code := range q.Necks {
		n, ok, err := store.Get(b.Tx, store.Necks, code)
		if err != nil {
			return out, err
		}
		if !ok {
			return out, &jobs.NotFoundError{Noun: "neck", Value: code}
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
		st := jobs.Derive(n, entries, b.Operations, b.Shop, b.Now)
		for _, v := range st.Steps {
			k, known := at[v.Operation]
			if !known {
				k = len(out.Steps)
				at[v.Operation] = k
				out.Steps = append(out.Steps, quote.ActualStep{Operation: v.Operation})
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
	unlogged := estimate.UnloggedFactor(worked, first, last)
	if unlogged.Evenings >= minUnloggedEvenings {
		out.Unlogged, out.UnloggedEvenings = unlogged.Measured, unlogged.Evenings
	}
	return out, nil
}

// minLooseEvenings is the fewest evenings whose un-logged time a review takes
// as measured (judgement).
const minUnloggedEvenings = 3

func (e *env) quoteCalibration(c *cli.Context) error {
	var kept []quote.Kept
	var shop jobs.Shop
	err := e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		shop = b.Shop
		kept, err = keptQuotes(b, func(time.Time) bool { return true })
		return err
	})
	if err != nil {
		return err
	}
	cal := quote.Calibrate(kept)
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(cal)
	}
	return e.hand(c, paper{report: reports.QuoteCalibration(cal, shop)})
}

// keptQuotes sets every accepted quote whose necks are all finished against
// what they took; keep chooses by the time at which the last one was closed.
func keptQuotes(b *desk, keep func(closed time.Time) bool) ([]quote.Kept, error) {
	var kept []quote.Kept
	for q, err := range store.Each(b.Tx, store.Quotes) {
		if err != nil {
			return nil, err
		}
		if q.Status != quote.Accepted {
			continue
		}
		r, err := b.Revision(q, q.Agreed)
		if err != nil {
			return nil, err
		}
		actual, err := actualWork(b, q)
		if err != nil {
			return nil, err
		}
		if !actual.Finished {
			continue
		}
		k := quote.KeptOf(q, r, quote.ReviewQuote(q, r, actual))
		onTime, last := true, time.Time{}
		for _, code := range q.Necks {
			n, _, err := store.Get(b.Tx, store.Necks, code)
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
				onTime = onTime && jobs.DayOf(n.Closed.In(b.Shop.Location())) <= n.Due
				k.OnTime = &onTime
			}
		}
		if keep(last) {
			kept = append(kept, k)
		}
	}
	return kept, nil
}

// reportQuote is the internal sheet of a quote, or with --customer what the
// customer gets: two separate files.
func (e *env) reportQuote(c *cli.Context) (paper, error) {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return paper{}, err
	}
	v, shop, err := e.readQuote(c, w[0], c.Int("revision"))
	if err != nil {
		return paper{}, err
	}
	switch {
	case c.Bool("bill"):
		return e.quoteBill(c, w[0], v, shop)
	case c.IsSet("change"):
		return changePaper(c, v.quote, shop)
	}
	if v.revision.Status == quote.Draft {
		e.Warn("quote %s is a draft: its figures still move with the shop's records", v.quote.Code)
	}
	if c.Bool("customer") {
		return paper{report: reports.QuoteCustomer(quote.Customer(v.quote, v.revision, v.input, v.result), shop)}, nil
	}
	for _, text := range v.result.Warnings {
		e.Warn("%s", text)
	}
	return paper{report: reports.QuoteInternal(v.sheet(), shop), picture: reports.QuoteCurve(v.sheet())}, nil
}

// quoteBill is the figures for the invoice of an accepted quote.
func (e *env) quoteBill(c *cli.Context, code string, v quoteView, shop jobs.Shop) (paper, error) {
	if v.quote.Status != quote.Accepted {
		return paper{}, quoteStatusError(v.quote, "only what was agreed can be billed", toAgree(v.quote.Code, v.quote.Status))
	}
	agreed, _, err := e.readQuote(c, code, v.quote.Agreed)
	if err != nil {
		return paper{}, err
	}
	now, err := e.Clock()
	if err != nil {
		return paper{}, err
	}
	open := 0
	for _, x := range v.quote.Changes {
		if x.Status == quote.ChangeUnagreed {
			open++
		}
	}
	if open > 0 {
		e.Warn("changes not agreed: %d; they are not billed", open)
	}
	e.Warn("figures only: numbering, dates and how a deposit is taxed are for whoever does your books")
	return paper{report: reports.QuoteBill(quote.BillOf(agreed.quote, agreed.input, agreed.result, jobs.DayOf(now.In(shop.Location()))), shop)}, nil
}

// changePaper is one change order: for the customer, or from the inside.
func changePaper(c *cli.Context, q quote.Quote, shop jobs.Shop) (paper, error) {
	n := c.Int("change")
	for _, x := range q.Changes {
		if x.No != n {
			continue
		}
		if c.Bool("customer") {
			return paper{report: reports.ChangeCustomer(q, x, shop)}, nil
		}
		return paper{report: reports.QuoteChange(q, x, shop)}, nil
	}
	return paper{}, &jobs.NotFoundError{Noun: "change of quote " + q.Code, Value: strconv.Itoa(n)}
}
