package main

import (
	"fmt"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// useOrLot reads the words "use N" or "lot N".
func useOrLot(c *cli.Context) (what string, id uint64, err error) {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return "", 0, err
	}
	if w[0] != "use" && w[0] != "lot" {
		return "", 0, usagef("supply "+c.Command.Name+" use 12, or lot 7", "say what number %s is of, not %q", w[1], w[0])
	}
	id, err = strconv.ParseUint(w[1], 10, 63)
	if err != nil || id == 0 {
		return "", 0, &jobs.FieldError{Field: w[0], Value: w[1], Want: "its number"}
	}
	return w[0], id, nil
}

func (e *env) supplyAmend(c *cli.Context) error {
	what, id, err := useOrLot(c)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		if what == "lot" {
			return b.amendLot(c, id)
		}
		return b.amendUse(c, id)
	})
}

func (b *desk) amendUse(c *cli.Context, id uint64) error {
	u, ok, err := store.GetID(b.Tx, store.Uses, id)
	if err != nil {
		return err
	}
	if !ok {
		return &jobs.NotFoundError{Noun: "use", Value: fmt.Sprint(id)}
	}
	s, err := b.FindSupply(u.Supply)
	if err != nil {
		return err
	}
	if c.IsSet("quantity") {
		if u.Quantity, err = jobs.ParseQuantity("quantity", c.String("quantity")); err != nil {
			return err
		}
	}
	if c.IsSet("on") {
		if u.On, err = b.stamp(c, true); err != nil {
			return err
		}
	}
	if c.IsSet("lot") {
		u.Lot = c.Uint64("lot")
	}
	if v := strings.TrimSpace(c.String("neck")); c.IsSet("neck") {
		u.Neck, u.Step, u.Entry = "", 0, 0
		if v != "none" && v != "" {
			n, err := b.FindNeck(v)
			if err != nil {
				return err
			}
			u.Neck = n.Code
		}
	}
	if c.IsSet("reason") {
		u.Reason = c.String("reason")
	}
	if c.IsSet("note") {
		u.Note = c.String("note")
	}
	if u, err = b.RecordUse(u); err != nil {
		return err
	}
	return b.tellUse(s, u)
}

func (b *desk) amendLot(c *cli.Context, id uint64) error {
	l, err := b.LotOf("", id)
	if err != nil {
		return err
	}
	if c.IsSet("quantity") {
		if l.Quantity, err = jobs.ParseQuantity("quantity", c.String("quantity")); err != nil {
			return err
		}
	}
	if c.IsSet("price") {
		if l.Price, err = jobs.ParseAmount("price", c.String("price")); err != nil {
			return err
		}
	}
	if c.IsSet("on") {
		if l.Received, err = b.stamp(c, l.Source.Returns()); err != nil {
			return err
		}
	}
	if c.IsSet("expires") {
		if l.LabelExpires, err = jobs.ParseDay("expires", c.String("expires")); err != nil {
			return err
		}
	}
	if c.IsSet("note") {
		l.Note = c.String("note")
	}
	s, err := b.FindSupply(l.Supply)
	if err != nil {
		return err
	}
	return b.changeLot(s, fmt.Sprintf("lot %d: %s %s of %s for %s", l.ID, l.Quantity, s.Unit, s.Name, b.Shop.Currency.Print(l.Price)), func() error {
		return store.Put(b.Tx, store.Lots, l)
	})
}

// changeLot writes a change of a lot and tells which uses it gave another value.
func (b *desk) changeLot(s jobs.Supply, line string, write func() error) error {
	before, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if err := write(); err != nil {
		return err
	}
	after, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	b.Say("%s; %s %s on hand", line, after.OnHand, s.Unit)
	lines := repriced(before, after, b.Shop.Currency)
	for _, x := range lines {
		b.Say("      %s", x)
	}
	if after.OnHand.Sign() < 0 {
		b.Warn("%s: %s %s used beyond the stock now", s.Name, after.OnHand.Neg(), s.Unit)
	}
	cur := b.Shop.Currency
	b.Data = map[string]any{"supply": s.Name, "on_hand": after.OnHand, "on_hand_value": cur.Line(after.Value), "repriced": lines, "currency": cur}
	return nil
}

func (e *env) supplyDrop(c *cli.Context) error {
	what, id, err := useOrLot(c)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		supply, line := "", ""
		var write func() error
		if what == "lot" {
			l, err := b.LotOf("", id)
			if err != nil {
				return err
			}
			supply, line = l.Supply, fmt.Sprintf("lot %d of %s dropped", id, l.Supply)
			write = func() error { return store.Delete(b.Tx, store.Lots, l) }
			for u, err := range store.Each(b.Tx, store.Uses) {
				if err != nil {
					return err
				}
				if u.Lot == id {
					return &jobs.ConflictError{What: fmt.Sprintf("use %d names lot %d", u.ID, id), How: fmt.Sprintf("amend it first: supply amend use %d --lot 0", u.ID)}
				}
			}
		} else {
			u, ok, err := store.GetID(b.Tx, store.Uses, id)
			if err != nil {
				return err
			}
			if !ok {
				return &jobs.NotFoundError{Noun: "use", Value: fmt.Sprint(id)}
			}
			supply, line = u.Supply, fmt.Sprintf("use %d of %s dropped", id, u.Supply)
			write = func() error { return store.Delete(b.Tx, store.Uses, u) }
		}
		s, err := b.FindSupply(supply)
		if err != nil {
			return err
		}
		return b.changeLot(s, line, write)
	})
}
