package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

// stockResult is what a change of the stock came to.
type stockResult struct {
	Supply   string         `json:"supply"`
	Unit     jobs.Unit      `json:"unit"`
	ID       uint64         `json:"id"`
	Quantity money.Qty      `json:"quantity"`
	Value    money.Amount   `json:"value"`
	OnHand   money.Qty      `json:"on_hand"`
	OnValue  money.Amount   `json:"on_hand_value"`
	Lots     []takenLot     `json:"lots,omitempty"`
	Warnings []string       `json:"warnings,omitempty"`
	Currency money.Currency `json:"currency"`
}

type takenLot struct {
	Lot      uint64       `json:"lot"`
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	Expired  bool         `json:"expired,omitempty"`
}

// supplyOf reads the words NAME QUANTITY.
func (b *desk) supplyOf(w []string) (jobs.Supply, money.Qty, error) {
	s, err := b.FindSupply(w[0])
	if err != nil {
		return s, money.Qty{}, err
	}
	q, err := jobs.ParseQuantity("quantity", strings.TrimSuffix(w[1], string(s.Unit)))
	return s, q, err
}

func (e *env) supplyReceive(c *cli.Context) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s, q, err := b.supplyOf(w)
		if err != nil {
			return err
		}
		l := jobs.Lot{Supply: s.Name, Source: jobs.SourceBought, Quantity: q, Note: c.String("note")}
		switch {
		case c.Bool("gift"):
			l.Source = jobs.SourceGift
		case !c.IsSet("price"):
			return usagef("add --price, of the whole quantity, or --gift", "receive %s %s: what did it cost?", s.Name, q)
		}
		if c.IsSet("price") {
			if l.Price, err = jobs.ParseAmount("price", c.String("price")); err != nil {
				return err
			}
		}
		if c.IsSet("replacement") {
			if l.Replacement, err = jobs.ParseAmount("replacement", c.String("replacement")); err != nil {
				return err
			}
		}
		if c.IsSet("expires") {
			if l.LabelExpires, err = jobs.ParseDay("expires", c.String("expires")); err != nil {
				return err
			}
		}
		if l.Received, err = b.stamp(c, false); err != nil {
			return err
		}
		before, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		if l, err = b.ReceiveLot(l); err != nil {
			return err
		}
		after, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		cur := b.Shop.Currency
		b.Say("lot %d: %s %s of %s for %s; %s %s on hand", l.ID, q, s.Unit, s.Name, cur.Print(l.Price), after.OnHand, s.Unit)
		for _, line := range repriced(before, after, cur) {
			b.Say("      %s", line)
		}
		b.warnCounted(after, l.Received)
		if l.LabelExpires != "" && l.LabelExpires < jobs.DayOf(b.Now.In(b.Shop.Location())) {
			b.Warn("lot %d was past its printed date %s when it was written down", l.ID, l.LabelExpires)
		}
		b.Data = stockResult{Supply: s.Name, Unit: s.Unit, ID: l.ID, Quantity: q, Value: cur.Line(l.Price), OnHand: after.OnHand, OnValue: cur.Line(after.Value), Currency: cur}
		return nil
	})
}

// warnCounted tells that a stock-take stands after what was just written: it knew
// better, so the stock does not change.
func (b *desk) warnCounted(l stock.SupplyLedger, at time.Time) {
	for _, is := range slices.Backward(l.Issues) {
		if is.Use.Kind == jobs.UseCount && is.Back == 0 && !is.Use.On.Before(at) {
			day := jobs.DayOf(is.Use.On.In(b.Shop.Location()))
			b.Warn("the stock-take of %s (count %d) stands after it: the stock stays as counted", day, is.Use.ID)
			if is.Use.On.Sub(at) < 24*time.Hour {
				b.Warn(`hint: if this came later, oops, then with its time: --on "%s HH:MM"`, day)
			}
			return
		}
	}
}

// repriced says which earlier uses a lot gave another value.
func repriced(before, after stock.SupplyLedger, cur money.Currency) []string {
	var out []string
	for _, is := range after.Issues {
		was, ok := before.Find(is.Use.ID)
		if !ok || is.Back != 0 || was.Value.Cmp(is.Value) == 0 && was.Short.Cmp(is.Short) == 0 {
			continue
		}
		line := fmt.Sprintf("use %d is now worth %s (was %s)", is.Use.ID, cur.Print(is.Value), cur.Print(was.Value))
		if was.Short.Sign() > 0 && is.Short.Sign() == 0 {
			line += ", settled"
		}
		out = append(out, line)
	}
	return out
}

func (e *env) supplyOpen(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s, err := b.FindSupply(w[0])
		if err != nil {
			return err
		}
		on, err := b.stamp(c, false)
		if err != nil {
			return err
		}
		if !c.IsSet("on") {
			on = b.Now
		}
		l, err := b.OpenLot(s, c.Uint64("lot"), on)
		if err != nil {
			return err
		}
		last, why := l.Expires(s.OpenLifeDays, b.Shop.Location())
		line := fmt.Sprintf("lot %d of %s opened %s", l.ID, s.Name, jobs.DayOf(on.In(b.Shop.Location())))
		if last != "" {
			line += fmt.Sprintf("; good through %s (%s)", last, why)
		}
		b.Say("%s, follow the label", line)
		b.Data = map[string]any{"supply": s.Name, "lot": l.ID, "opened": on.In(b.Shop.Location()), "expires": last, "expires_by": why}
		return nil
	})
}

func (e *env) supplyUse(c *cli.Context) error {
	return e.record(c, func(b *desk, u *jobs.SupplyUse) error {
		u.Kind, u.Step = jobs.UseIssue, c.Int("step")
		if cause := c.String("rework"); cause != "" {
			if !slices.Contains(jobs.ReworkCauses, cause) {
				return &jobs.FieldError{Field: "rework", Value: cause, Want: strings.Join(jobs.ReworkCauses, ", ")}
			}
			u.Cause = cause
		}
		if c.String("neck") == "" {
			return nil
		}
		n, err := b.FindNeck(c.String("neck"))
		if err != nil {
			return err
		}
		if _, ok := n.Step(u.Step); u.Step != 0 && !ok {
			return &jobs.FieldError{Field: "step", Value: strconv.Itoa(u.Step), Want: fmt.Sprintf("a step of %s, 1 to %d", n.Name(), len(n.Steps))}
		}
		u.Neck = n.Code
		if n.IsClosed() {
			b.Warn("%s is %s: its cost changes after closing", n.Name(), n.Status)
		}
		return nil
	})
}

func (e *env) supplyCount(c *cli.Context) error {
	return e.record(c, func(_ *desk, u *jobs.SupplyUse) error { u.Kind = jobs.UseCount; return nil })
}

func (e *env) supplyWriteOff(c *cli.Context) error {
	return e.record(c, func(b *desk, u *jobs.SupplyUse) error {
		u.Kind = jobs.UseWriteOff
		s, err := b.FindSupply(u.Supply)
		if err != nil {
			return err
		}
		l, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		there := l.OnHand.Plus(l.Expired)
		if u.Quantity.Cmp(there) > 0 {
			return &jobs.ConflictError{What: fmt.Sprintf("%s %s cannot be written off: %s %s of %s are there", u.Quantity, s.Unit, there, s.Unit, s.Name), How: "a stock-take sets what is there: supply count " + s.Name + " QUANTITY"}
		}
		return nil
	})
}

// record keeps a use, a count or a write-off and tells what it came to.
func (e *env) record(c *cli.Context, fill func(*desk, *jobs.SupplyUse) error) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s, q, err := b.supplyOf(w)
		if err != nil {
			return err
		}
		u := jobs.SupplyUse{Supply: s.Name, Quantity: q, Lot: c.Uint64("lot"), Reason: c.String("reason"), Note: c.String("note")}
		if u.On, err = b.stamp(c, true); err != nil {
			return err
		}
		if err := fill(b, &u); err != nil {
			return err
		}
		if u, err = b.RecordUse(u); err != nil {
			return err
		}
		return b.tellUse(s, u)
	})
}

// tellUse prices a record that was just written and says what it came to.
func (b *desk) tellUse(s jobs.Supply, u jobs.SupplyUse) error {
	ledger, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	is, _ := ledger.Find(u.ID)
	if u.Kind != jobs.UseCount {
		b.warnCounted(ledger, u.On)
	}
	cur := b.Shop.Currency
	res := stockResult{Supply: s.Name, Unit: s.Unit, ID: u.ID, Quantity: is.Quantity, Value: cur.Line(is.Value), OnHand: ledger.OnHand, OnValue: cur.Line(ledger.Value), Currency: cur}
	var from []string
	for _, t := range is.Takes {
		res.Lots = append(res.Lots, takenLot{t.Lot, t.Quantity, cur.Line(t.Value), t.Expired})
		name := fmt.Sprintf("lot %d", t.Lot)
		if t.Lot == 0 {
			name = "what a stock-take found"
		}
		from = append(from, fmt.Sprintf("%s from %s", t.Quantity, name))
		if t.Expired && u.Kind == jobs.UseIssue {
			b.Warn("%s lot %d is past its date: mark the joint; supply lot %d lists who used it", s.Name, t.Lot, t.Lot)
		}
	}
	if is.Short.Sign() > 0 {
		b.Warn("%s: %s %s beyond the stock; counted at the last known price (%s) and settled by the next lot", s.Name, is.Short, s.Unit, cur.Print(is.ShortValue))
		from = append(from, fmt.Sprintf("%s beyond the stock", is.Short))
	}
	res.Warnings = b.warns
	b.Data = res
	tail := fmt.Sprintf("%s %s on hand, worth %s", ledger.OnHand, s.Unit, cur.Print(ledger.Value))
	switch {
	case u.Kind == jobs.UseCount && is.Quantity.Sign() == 0:
		b.Say("count %d: %s %s of %s, as expected", u.ID, u.Quantity, s.Unit, s.Name)
	case u.Kind == jobs.UseCount && is.Quantity.Sign() < 0:
		b.Say("count %d: %s %s of %s more than expected, %s credited to overhead; %s", u.ID, is.Quantity.Neg(), s.Unit, s.Name, cur.Print(is.Value.Neg()), tail)
	case u.Kind == jobs.UseCount:
		b.Say("count %d: %s %s of %s missing, %s to overhead; %s", u.ID, is.Quantity, s.Unit, s.Name, cur.Print(is.Value), tail)
	default:
		b.Say("use %d: %s %s of %s, %s (%s); %s", u.ID, u.Quantity, s.Unit, s.Name, cur.Print(is.Value), strings.Join(from, ", "), tail)
	}
	return nil
}
