package workshop

import (
	"fmt"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// QuoteSendAsk marks the newest revision as sent. Its figures no longer change.
type QuoteSendAsk struct {
	Asked
	Quote string    `json:"quote" word:"QUOTE"`
	On    *jobs.Day `json:"on,omitempty" flag:"on" arg:"DATE" help:"DATE it was sent; today if not given"`
}

// QuoteDeclineAsk notes that the customer said no.
type QuoteDeclineAsk struct {
	Asked
	Quote string    `json:"quote" word:"QUOTE"`
	On    *jobs.Day `json:"on,omitempty" flag:"on" arg:"DATE" help:"DATE of the answer; today if not given"`
	Why   string    `json:"why,omitempty" flag:"why" arg:"WHY" help:"the reason"`
}

func (a *QuoteDeclineAsk) why() string { return a.Why }

// QuoteDeclineResult is a quote that was declined.
type QuoteDeclineResult struct {
	Meta
	Quote    string           `json:"quote"`
	Revision int              `json:"revision"`
	Status   jobs.QuoteStatus `json:"status"`
	Customer string           `json:"customer"`
	Declined jobs.Day         `json:"declined"`
	Why      string           `json:"why,omitempty" own:"words"`
}

// QuoteSend freezes a quote, QuoteDecline closes one.
var (
	QuoteSend    = Define("quote send", "NOT SENT", Writes, (*Book).quoteSend)
	QuoteDecline = Define("quote decline", "NOT CHANGED", Writes, (*Book).quoteDecline)
)

// dayOr gives the day that was typed, else today.
func (b *Book) dayOr(typed *jobs.Day) jobs.Day {
	if typed != nil {
		return *typed
	}
	return b.Today()
}

func (b *Book) quoteSend(ask *QuoteSendAsk, res *QuoteResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	if q.Status != jobs.QuoteDraft {
		return quoteRefused(q, "so there is no draft to send", "quote revise "+q.Code)
	}
	if q.Customer == "" {
		return jobs.Refuse("no-customer", fmt.Sprintf("quote %s names no customer", q.Code), `quote draft `+q.Code+` --for "the customer"`)
	}
	o, err := b.offerOf(q, 0)
	if err != nil {
		return err
	}
	day := b.dayOr(ask.On)
	o.revision.Status, o.revision.Sent, o.revision.Until = jobs.QuoteSent, day, day.Add(o.result.ValidDays)
	if err := quote.Freeze(&o.revision, o.input, o.result); err != nil {
		return err
	}
	if o.revision.No > 1 {
		old, err := b.Revision(q, o.revision.No-1)
		if err != nil {
			return err
		}
		if old.Status == jobs.QuoteSent {
			old.Status = jobs.QuoteSuperseded
			if err := store.Put(b.Tx, store.Revisions, old); err != nil {
				return err
			}
		}
	}
	q.Status = jobs.QuoteSent
	o.quote = q
	if err := store.Put(b.Tx, store.Quotes, q); err != nil {
		return err
	}
	res.shown(o)
	return store.Put(b.Tx, store.Revisions, o.revision)
}

func (b *Book) quoteDecline(ask *QuoteDeclineAsk, res *QuoteDeclineResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	if q.Status == jobs.QuoteAccepted || q.Status == jobs.QuoteDeclined {
		return quoteRefused(q, "so it cannot be declined", "quote show "+q.Code)
	}
	o, err := b.offerOf(q, 0)
	if err != nil {
		return err
	}
	if !o.revision.IsFrozen() { // what was never sent is frozen here, so that it can be read later
		if err := quote.Freeze(&o.revision, o.input, o.result); err != nil {
			return err
		}
	}
	q.Declined, q.Status, q.Why, o.revision.Status = b.dayOr(ask.On), jobs.QuoteDeclined, ask.Why, jobs.QuoteDeclined
	res.Quote, res.Revision, res.Status, res.Customer, res.Declined, res.Why = q.Code, o.revision.No, q.Status, q.Customer, q.Declined, q.Why
	if err := store.Put(b.Tx, store.Revisions, o.revision); err != nil {
		return err
	}
	return store.Put(b.Tx, store.Quotes, q)
}
