package main

import (
	"fmt"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// quoteSend freezes the newest revision.
func (e *env) quoteSend(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var v quoteView
	err = e.update(c, func(tx *workshop.Book) error {
		shop, err := tx.Shop, error(nil)
		if err != nil {
			return err
		}
		q, err := tx.FindQuote(w[0])
		if err != nil {
			return err
		}
		if q.Status != quote.Draft {
			return quoteStatusError(q, "there is no draft to send", "bookmatch quote revise "+q.Code)
		}
		day, err := onDay(c, tx, shop)
		if err != nil {
			return err
		}
		if v, err = quoteOf(tx, q, 0); err != nil {
			return err
		}
		if q.Customer == "" {
			return &jobs.ConflictError{What: fmt.Sprintf("quote %s is for nobody", q.Code), How: `bookmatch quote draft ` + q.Code + ` --for "..."`}
		}
		v.revision.Status, v.revision.Input, v.revision.Result = quote.Sent, &v.input, &v.result
		v.revision.Sent, v.revision.Until = day, day.Add(v.result.ValidDays)
		if v.revision.No > 1 {
			old, err := tx.Revision(q, v.revision.No-1)
			if err != nil {
				return err
			}
			if old.Status == quote.Sent {
				old.Status = quote.Superseded
				if err := store.Put(tx.Tx, store.Revisions, old); err != nil {
					return err
				}
			}
		}
		q.Status = quote.Sent
		v.quote = q
		if err := store.Put(tx.Tx, store.Quotes, q); err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Revisions, v.revision)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(v.json())
	}
	cur := v.input.Rates.Currency
	e.Say("quote %s revision %d sent to %s: %s %s with tax, valid until %s, frozen with every input", v.quote.Code, v.revision.No, v.quote.Customer, cur.Print(v.result.Price.Gross), cur, v.revision.Until)
	e.Hint("the customer's sheet: report quote %s --customer --out quote-%s.xlsx", v.quote.Code, strings.ToLower(v.quote.Code))
	return nil
}

func (e *env) quoteDecline(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var q quote.Quote
	err = e.update(c, func(tx *workshop.Book) error {
		shop, err := tx.Shop, error(nil)
		if err != nil {
			return err
		}
		if q, err = tx.FindQuote(w[0]); err != nil {
			return err
		}
		if q.Status == quote.Accepted || q.Status == quote.Declined {
			return quoteStatusError(q, "it cannot be declined", "")
		}
		r, err := tx.Revision(q, 0)
		if err != nil {
			return err
		}
		if q.Declined, err = onDay(c, tx, shop); err != nil {
			return err
		}
		// What was never sent is frozen here, so that it can be read later.
		if r.Status == quote.Draft {
			v, err := quoteOf(tx, q, 0)
			if err != nil {
				return err
			}
			r.Input, r.Result = &v.input, &v.result
		}
		q.Status, q.Why, r.Status = quote.Declined, c.String("why"), quote.Declined
		if err := store.Put(tx.Tx, store.Revisions, r); err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Quotes, q)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(q)
	}
	why := ""
	if q.Why != "" {
		why = ": " + q.Why
	}
	e.Say("quote %s declined%s", q.Code, why)
	return nil
}
