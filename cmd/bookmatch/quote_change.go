package main

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// quoteChange prices a change to an accepted quote, or settles one.
func (e *env) quoteChange(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	settle := c.Int("accept") > 0 || c.Int("decline") > 0
	if settle == (strings.TrimSpace(c.String("ask")) != "") {
		return usagef(`bookmatch quote change `+w[0]+` --ask "..." [--quantity inlay=18] [--redo OPERATION] [--undo MINUTES]   or --accept N, --decline N`, "say what is to be changed, or which change is settled")
	}
	var q quote.Quote
	var order quote.ChangeOrder
	var shop jobs.Shop
	err = e.update(c, func(tx *workshop.Book) error {
		if shop, err = tx.Shop, nil; err != nil {
			return err
		}
		if q, err = tx.FindQuote(w[0]); err != nil {
			return err
		}
		if q.Status != quote.Accepted {
			return quoteStatusError(q, "only what was agreed needs a change order", "bookmatch quote "+map[bool]string{true: "draft ", false: "revise "}[q.Status == quote.Draft]+q.Code)
		}
		day, err := onDay(c, tx, shop)
		if err != nil {
			return err
		}
		if settle {
			order, err = settleChange(c, tx, &q, day)
		} else {
			order, err = newChange(c, tx, &q, day)
		}
		if err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Quotes, q)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"quote": q.Code, "currency": shop.Currency, "change": order})
	}
	return e.print(reports.QuoteChange(q, order, shop))
}

func newChange(c *cli.Context, tx *workshop.Book, q *quote.Quote, day jobs.Day) (quote.ChangeOrder, error) {
	r, err := tx.Revision(*q, q.Agreed)
	if err != nil {
		return quote.ChangeOrder{}, err
	}
	in := changedInput(*r.Input, q.Changes)
	ask := quote.ChangeAsk{}
	if ask.Quantities, err = jobs.ParseQuantities(c.StringSlice("quantity")); err != nil {
		return quote.ChangeOrder{}, err
	}
	if err := quote.CheckNewQuantities(in, ask.Quantities); err != nil {
		return quote.ChangeOrder{}, err
	}
	if in.Ask.Batch {
		for k := range ask.Quantities {
			ask.Quantities[k] *= float64(max(in.Ask.Necks, 1))
		}
	}
	ask.Redo = c.StringSlice("redo")
	if v := c.String("undo"); v != "" {
		if ask.UndoMin, err = jobs.ParseNumber("undo", v, 1, 100000); err != nil {
			return quote.ChangeOrder{}, err
		}
	}
	if ask.Parts, err = parseParts("part", c.StringSlice("part"), false); err != nil {
		return quote.ChangeOrder{}, err
	}
	done, err := stepsDone(tx, *q)
	if err != nil {
		return quote.ChangeOrder{}, err
	}
	order, err := quote.PriceChange(in, ask, done)
	if err != nil {
		return order, err
	}
	order.No, order.What, order.AskedBy, order.Asked = len(q.Changes)+1, strings.TrimSpace(c.String("ask")), c.String("by"), day
	q.Changes = append(q.Changes, order)
	return order, nil
}

// changedInput carries the agreed changes into the frozen input, so that a
// second change starts from the first.
func changedInput(in quote.Input, changes []quote.ChangeOrder) quote.Input {
	in.Steps = slices.Clone(in.Steps)
	for _, c := range changes {
		if c.Status != quote.ChangeAgreed {
			continue
		}
		for i := range in.Steps {
			if n, ok := c.Quantities[in.Steps[i].Per]; ok {
				in.Steps[i] = in.Steps[i].At(n)
			}
		}
	}
	return in
}

// stepsDone says how far the necks of a quote are with each operation.
func stepsDone(tx *workshop.Book, q quote.Quote) (map[string]quote.StepDone, error) {
	out := map[string]quote.StepDone{}
	for _, code := range q.Necks {
		states, err := tx.States([]string{code})
		if err != nil {
			return nil, err
		}
		for _, v := range states[0].Steps {
			d := out[v.Operation]
			d.Done = d.Done || v.DoneAt != nil
			d.Started = d.Started || v.Actual > 0
			out[v.Operation] = d
		}
	}
	return out, nil
}

// settleChange agrees or refuses a change order; an agreed one moves the
// quantities of the necks' steps that are not done.
func settleChange(c *cli.Context, tx *workshop.Book, q *quote.Quote, day jobs.Day) (quote.ChangeOrder, error) {
	no, status := c.Int("accept"), quote.ChangeAgreed
	if no == 0 {
		no, status = c.Int("decline"), quote.ChangeRefused
	}
	if no > len(q.Changes) {
		return quote.ChangeOrder{}, &jobs.NotFoundError{Noun: "change of quote " + q.Code, Value: fmt.Sprint(no)}
	}
	order := &q.Changes[no-1]
	if order.Status != quote.ChangeUnagreed {
		return *order, &jobs.ConflictError{What: fmt.Sprintf("change %d of quote %s is %s since %s", no, q.Code, order.Status, order.Decided), How: "ask for a new change"}
	}
	order.Status, order.Decided = status, day
	if status == quote.ChangeRefused {
		return *order, nil
	}
	r, err := tx.Revision(*q, q.Agreed)
	if err != nil {
		return *order, err
	}
	operations, err := tx.OperationMap()
	if err != nil {
		return *order, err
	}
	together := 1.0
	if r.Ask.Batch {
		together = float64(max(r.Ask.Necks, 1))
	}
	for _, code := range q.Necks {
		n, ok, err := store.Get(tx.Tx, store.Necks, code)
		if err != nil || !ok {
			return *order, err
		}
		for k, s := range n.Steps {
			if quantity, ok := order.Quantities[operations[s.Operation].Per]; ok {
				n.Steps[k].Quantity = quantity / together
			}
		}
		for per, quantity := range order.Quantities {
			n.Quantities[per] = quantity / together
		}
		if n.Due != "" {
			n.Due = n.Due.Add(order.Days)
		}
		if err := store.Put(tx.Tx, store.Necks, n); err != nil {
			return *order, err
		}
		if err := quotedParts(tx, n, order.Parts, fmt.Sprintf("change %d of %s", order.No, q.Code)); err != nil {
			return *order, err
		}
	}
	return *order, nil
}
