package main

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

func (e *env) supplyOffcut(c *cli.Context) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s, q, err := b.supplyOf(w)
		if err != nil {
			return err
		}
		if c.String("neck") == "" {
			return usagef("add --neck NECK", "offcut %s: from which neck?", s.Name)
		}
		n, err := b.FindNeck(c.String("neck"))
		if err != nil {
			return err
		}
		l := jobs.Lot{Supply: s.Name, Source: jobs.SourceOffcut, Quantity: q, Neck: n.Code, Note: c.String("note")}
		if c.Bool("salvage") {
			l.Source = jobs.SourceSalvage
		}
		if l.Price, err = jobs.ParseAmount("value", c.String("value")); err != nil {
			return err
		}
		if l.Received, err = b.stamp(c, true); err != nil {
			return err
		}
		ledger, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		used, worth := money.Qty{}, money.Zero
		for _, is := range ledger.ForNeck(n.Code) {
			used, worth = used.Plus(is.Quantity), worth.Add(is.Value)
		}
		cur := b.Shop.Currency
		if q.Cmp(used) > 0 || l.Price.Cmp(worth) > 0 {
			return &jobs.ConflictError{What: fmt.Sprintf("%s bears %s %s of %s worth %s: no more than that can come back", n.Name(), used, s.Unit, s.Name, cur.Print(worth)), How: "record what was taken first: supply use"}
		}
		if l, err = b.ReceiveLot(l); err != nil {
			return err
		}
		b.Say("lot %d: %s %s of %s back from %s at %s; it bears %s now", l.ID, q, s.Unit, s.Name, n.Name(), cur.Print(l.Price), cur.Print(worth.Sub(l.Price)))
		b.Data = stockResult{Supply: s.Name, Unit: s.Unit, ID: l.ID, Quantity: q, Value: cur.Line(l.Price), OnHand: ledger.OnHand.Plus(q), OnValue: cur.Line(ledger.Value.Add(l.Price)), Currency: cur}
		return nil
	})
}
