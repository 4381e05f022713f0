package main

import (
	"bufio"
	"cmp"
	"fmt"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/shopspring/decimal"
	"github.com/urfave/cli/v2"
)

// quoteDraft makes a quote or changes one that is not sent.
func (e *env) quoteDraft(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	guess, err := e.guess(c, w[0])
	if err != nil {
		return err
	}
	var v quoteView
	var shop jobs.Shop
	err = e.update(c, func(tx *workshop.Book) error {
		if shop, err = tx.Shop, nil; err != nil {
			return err
		}
		code := cmp.Or(store.Taken(tx.Tx, store.Quotes, w[0]), w[0])
		q, known, err := store.Get(tx.Tx, store.Quotes, code)
		if err != nil {
			return err
		}
		r := quote.Revision{Quote: code, No: 1, Status: quote.Draft, Made: tx.Now, Ask: quote.Ask{Route: "headstock", Necks: 1, Margin: decimal.NewFromInt(25)}}
		if known {
			if r, err = tx.Revision(q, 0); err != nil {
				return err
			}
			if r.Status != quote.Draft {
				return quoteStatusError(q, "what was sent does not move", "bookmatch quote revise "+q.Code)
			}
		} else {
			if err := jobs.ValidCode("quote", w[0]); err != nil {
				return err
			}
			q = quote.Quote{Code: w[0], Status: quote.Draft, Revision: 1, Added: tx.Now}
		}
		if err := askFrom(c, tx, &q, &r.Ask, guess); err != nil {
			return err
		}
		if err := store.Put(tx.Tx, store.Quotes, q); err != nil {
			return err
		}
		if err := store.Put(tx.Tx, store.Revisions, r); err != nil {
			return err
		}
		v, err = quoteOf(tx, q, 0)
		return err
	})
	if err != nil {
		return err
	}
	if v.quote.GuessHours == 0 {
		e.Hint("what would you have said yourself? --guess HOURS keeps it for the calibration, best before looking")
	}
	return e.showQuote(c, v, shop)
}

// guess asks once, before any figure is shown, what the builder would have
// said: only of a new quote, only a person at a terminal.
func (e *env) guess(c *cli.Context, code string) (float64, error) {
	if s := c.String("guess"); s != "" {
		return jobs.ParseNumber("guess", s, 0.1, 100000)
	}
	if !e.isTerminal() || wantJSON(c) {
		return 0, nil
	}
	known := false
	err := e.view(c, func(tx *workshop.Book) (err error) {
		_, known, err = store.Get(tx.Tx, store.Quotes, code)
		return err
	})
	if err != nil || known {
		return 0, err
	}
	fmt.Fprint(e.ErrOut, "bookmatch: your own guess in hours, before looking (return for none): ")
	line, _ := bufio.NewReader(e.In).ReadString('\n')
	if line = strings.TrimSpace(line); line == "" {
		return 0, nil
	}
	return jobs.ParseNumber("guess", line, 0.1, 100000)
}

// quoteRevise makes a new revision from the last one and lays both side by
// side.
func (e *env) quoteRevise(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	if c.IsSet("guess") {
		return usagef("leave --guess away", "a guess before looking belongs to the first draft")
	}
	var was, is quoteView
	var shop jobs.Shop
	err = e.update(c, func(tx *workshop.Book) error {
		if shop, err = tx.Shop, nil; err != nil {
			return err
		}
		q, err := tx.FindQuote(w[0])
		if err != nil {
			return err
		}
		switch q.Status {
		case quote.Draft:
			return quoteStatusError(q, "it is not sent, so it can still be changed", "bookmatch quote draft "+q.Code+" ...")
		case quote.Accepted:
			return quoteStatusError(q, "what was agreed changes by a change order", `bookmatch quote change `+q.Code+` --ask "..."`)
		}
		if was, err = quoteOf(tx, q, 0); err != nil {
			return err
		}
		r := was.revision
		r.No, r.Status, r.Input, r.Result, r.Made, r.Sent, r.Until = r.No+1, quote.Draft, nil, nil, tx.Now, "", ""
		if err := askFrom(c, tx, &q, &r.Ask, 0); err != nil {
			return err
		}
		q.Revision, q.Status = r.No, quote.Draft
		if err := store.Put(tx.Tx, store.Quotes, q); err != nil {
			return err
		}
		if err := store.Put(tx.Tx, store.Revisions, r); err != nil {
			return err
		}
		is, err = quoteOf(tx, q, 0)
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"was": was.json(), "is": is.json()})
	}
	for _, text := range is.result.Warnings {
		e.Warn("%s", text)
	}
	return e.print(reports.QuoteCompare(was.sheet(), is.sheet(), shop))
}
