package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// quoteAccept makes the necks of a sent quote.
func (e *env) quoteAccept(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	if c.String("deposit-on") == "" {
		day := "YYYY-MM-DD"
		if now, err := e.Clock(); err == nil {
			day = string(jobs.DayOf(now).Add(14))
		}
		return usagef("bookmatch quote accept "+w[0]+" --deposit-on "+day, "the time of a quote runs from its deposit: say when it comes")
	}
	var q quote.Quote
	var necks []jobs.Neck
	err = e.update(c, func(tx *workshop.Book) error {
		shop, err := tx.Shop, error(nil)
		if err != nil {
			return err
		}
		if q, err = tx.FindQuote(w[0]); err != nil {
			return err
		}
		if q.Status == quote.Accepted {
			return quoteStatusError(q, "its neck is "+strings.Join(q.Necks, ", "), "bookmatch quote change "+q.Code+` --ask "..." for what is to be different`)
		}
		r, err := answered(tx, q, c.Int("revision"))
		if err != nil {
			return err
		}
		if r.Status != quote.Sent {
			return &jobs.ConflictError{What: fmt.Sprintf("revision %d of quote %s is %s, not sent", r.No, q.Code, r.Status), How: toAgree(q.Code, r.Status)}
		}
		day, err := onDay(c, tx, shop)
		if err != nil {
			return err
		}
		if day > r.Until {
			return &jobs.ConflictError{What: fmt.Sprintf("quote %s was valid until %s, this is %s", q.Code, r.Until, day), How: "issue it again: bookmatch quote revise " + q.Code}
		}
		if day < r.Sent {
			return &jobs.FieldError{Field: "on", Value: string(day), Want: "a date not before " + string(r.Sent) + ", when it was sent"}
		}
		q.DepositOn = ""
		if err := dayFlag(c, "deposit-on", &q.DepositOn); err != nil {
			return err
		}
		if q.DepositOn < day {
			return &jobs.FieldError{Field: "deposit-on", Value: string(q.DepositOn), Want: "a date not before " + string(day) + ", when it was accepted"}
		}
		if err := setAside(tx, q, r.No); err != nil {
			return err
		}
		q.Status, q.Accepted, q.Agreed, q.Revision = quote.Accepted, day, r.No, r.No
		if necks, err = acceptNecks(c, tx, q, r); err != nil {
			return err
		}
		for _, n := range necks {
			q.Necks = append(q.Necks, n.Code)
		}
		r.Status = quote.Accepted
		if err := store.Put(tx.Tx, store.Revisions, r); err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Quotes, q)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"quote": q.Code, "revision": q.Agreed, "status": q.Status, "deposit_on": q.DepositOn, "necks": necks})
	}
	for _, n := range necks {
		promised := "promised " + string(n.Due)
		if n.Due == "" {
			promised = "no date promised"
		}
		e.Say("quote %s accepted: neck %s %s, %d steps, starts %s, %s", q.Code, n.Code, quoted(n.Nickname), len(n.Steps), n.Starts, promised)
	}
	return nil
}

// answered gives the revision that a customer says yes to: the one named, else
// the newest that was sent. A later draft was never seen by anybody.
func answered(tx *workshop.Book, q quote.Quote, no int) (quote.Revision, error) {
	if no > 0 {
		return tx.Revision(q, no)
	}
	for no = q.Revision; no > 1; no-- {
		r, err := tx.Revision(q, no)
		if err != nil || r.Status == quote.Sent {
			return r, err
		}
	}
	r, err := tx.Revision(q, no)
	if err == nil && r.Status != quote.Sent {
		return tx.Revision(q, 0)
	}
	return r, err
}

// setAside freezes drafts behind the accepted revision as superseded.
func setAside(tx *workshop.Book, q quote.Quote, agreed int) error {
	for no := agreed + 1; no <= q.Revision; no++ {
		v, err := quoteOf(tx, q, no)
		if err != nil {
			return err
		}
		v.revision.Input, v.revision.Result, v.revision.Status = &v.input, &v.result, quote.Superseded
		if err := store.Put(tx.Tx, store.Revisions, v.revision); err != nil {
			return err
		}
	}
	return nil
}

// acceptNecks keeps the necks of an accepted quote with its steps, and puts the
// quoted parts on their lists as not ordered yet.
func acceptNecks(c *cli.Context, tx *workshop.Book, q quote.Quote, r quote.Revision) ([]jobs.Neck, error) {
	ask := r.Ask
	route, ok, err := store.Get(tx.Tx, store.Routes, ask.Route)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, &jobs.NotFoundError{Noun: "route", Value: ask.Route}
	}
	operations, err := tx.OperationMap()
	if err != nil {
		return nil, err
	}
	weeks := int(math.Ceil(r.Result.Promise.SafeWeeks))
	var out []jobs.Neck
	for i := range max(ask.Necks, 1) {
		code := c.String("neck")
		if code == "" || i > 0 {
			if code, err = nextNeckCode(tx); err != nil {
				return nil, err
			}
		}
		n := jobs.Neck{Code: code, Title: q.Title, Customer: q.Customer, Wood: ask.Wood, Veneer: ask.Veneer, Route: ask.Route, Status: jobs.Open, Added: tx.Now, Quote: q.Code, Starts: q.DepositOn, Paid: true}
		if i == 0 {
			n.Nickname = c.String("nickname")
		}
		if weeks > 0 {
			n.Due = q.DepositOn.Add(7 * weeks)
		}
		if n.Steps, n.Quantities, err = jobs.PlanSteps(route, operations, ask.Quantities); err != nil {
			return nil, err
		}
		for k, s := range n.Steps {
			n.Steps[k].Difficulty = ask.Difficulty[s.Operation]
		}
		if err := n.Validate(); err != nil {
			return nil, err
		}
		if err := tx.FreeNeckName(n); err != nil {
			return nil, err
		}
		if err := store.Put(tx.Tx, store.Necks, n); err != nil {
			return nil, err
		}
		if err := quotedParts(tx, n, ask.Parts, q.Code); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

func quotedParts(tx *workshop.Book, n jobs.Neck, parts []quote.Part, quote string) error {
	for _, p := range parts {
		id, err := store.NextID(tx.Tx, store.Parts)
		if err != nil {
			return err
		}
		if err := store.Put(tx.Tx, store.Parts, jobs.Part{ID: id, Neck: n.Code, Name: p.Name, Quantity: 1, Price: p.Price, Note: "as quoted in " + quote + ", not ordered yet"}); err != nil {
			return err
		}
	}
	return nil
}

// nextNeckCode gives N and the number after the highest that necks have.
func nextNeckCode(tx *workshop.Book) (string, error) {
	most := 0
	for n, err := range store.Each(tx.Tx, store.Necks) {
		if err != nil {
			return "", err
		}
		if digits, ok := strings.CutPrefix(n.Code, "N"); ok {
			if k, err := strconv.Atoi(digits); err == nil {
				most = max(most, k)
			}
		}
	}
	return fmt.Sprintf("N%d", most+1), nil
}
