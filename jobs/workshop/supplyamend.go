package workshop

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// SupplyAmendAsk corrects a use or a lot. Nil leaves a field as it is.
type SupplyAmendAsk struct {
	Asked
	What     string        `json:"what" word:"use|lot"`
	ID       uint64        `json:"id" word:"N"`
	Quantity *string       `json:"quantity,omitempty" flag:"quantity" arg:"QUANTITY" help:"QUANTITY as it really was"`
	Price    *money.Amount `json:"price,omitempty" flag:"price" arg:"PRICE" help:"PRICE of the whole lot"`
	LateAsk
	Neck    *string   `json:"neck,omitempty" flag:"neck" arg:"NECK" help:"NECK that is charged, or none"`
	Expires *jobs.Day `json:"expires,omitempty" read:"coming" flag:"expires" arg:"DATE" help:"printed DATE of the lot"`
	Lot     *uint64   `json:"lot,omitempty" flag:"lot" arg:"N" help:"from lot N; 0 for first in, first out"`
	Why     *string   `json:"why,omitempty" flag:"why" help:"why, where it is out of the ordinary"`
	Note    *string   `json:"note,omitempty" flag:"note" help:"a remark"`
}

func (x *SupplyAmendAsk) why() string {
	if x.Why == nil {
		return ""
	}
	return *x.Why
}

// SupplyDropAsk removes a use or a lot.
type SupplyDropAsk struct {
	Asked
	What string `json:"what" word:"use|lot"`
	ID   uint64 `json:"id" word:"N"`
}

// SupplyAmend corrects a use or a lot, SupplyDrop removes one.
var (
	SupplyAmend = Define("supply amend", "NOT CHANGED", Writes, (*Book).supplyAmend)
	SupplyDrop  = Define("supply drop", "NOT CHANGED", Writes, (*Book).supplyDrop)
)

// useOrLot says whether a record is named as "use" or "lot".
func useOrLot(command, what string, id uint64) (lot bool, err error) {
	if what != "use" && what != "lot" {
		return false, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: fmt.Sprintf("%d can be a use or a lot, and %q is neither", id, what),
			Type: []string{fmt.Sprintf("%s use %d", command, id), fmt.Sprintf("%s lot %d", command, id)}}
	}
	return what == "lot", nil
}

// useByID gives a use by its number.
func (b *Book) useByID(id uint64) (jobs.SupplyUse, error) {
	u, ok, err := store.GetID(b.Tx, store.Uses, id)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "use", Value: fmt.Sprint(id)}
	}
	return u, err
}

func (b *Book) supplyAmend(ask *SupplyAmendAsk, res *StockChanged) error {
	lot, err := useOrLot("supply amend", ask.What, ask.ID)
	if err != nil {
		return err
	}
	if lot {
		return b.amendLot(ask, res)
	}
	u, err := b.useByID(ask.ID)
	if err != nil {
		return err
	}
	s, err := b.FindSupply(u.Supply)
	if err != nil {
		return err
	}
	if ask.Quantity != nil {
		if u.Quantity, err = jobs.ReadQuantity("quantity", *ask.Quantity, s.Unit); err != nil {
			return err
		}
	}
	if ask.On != "" {
		if u.On, err = b.stamp(ask.On, true); err != nil {
			return err
		}
	}
	if ask.Lot != nil {
		u.Lot = *ask.Lot
	}
	if ask.Neck != nil {
		u.Neck, u.Step, u.Entry = "", 0, 0
		if name := strings.TrimSpace(*ask.Neck); name != "none" && name != "" {
			n, err := b.FindNeck(name)
			if err != nil {
				return err
			}
			u.Neck = n.Code
		}
	}
	if ask.Why != nil {
		u.Reason = *ask.Why
	}
	if ask.Note != nil {
		u.Note = *ask.Note
	}
	if u.Kind == jobs.UseCount {
		res.Counted = &u.Quantity
	}
	return b.recordUse(res, s, u)
}

func (b *Book) amendLot(ask *SupplyAmendAsk, res *StockChanged) error {
	l, err := b.LotOf("", ask.ID)
	if err != nil {
		return err
	}
	s, err := b.FindSupply(l.Supply)
	if err != nil {
		return err
	}
	if ask.Quantity != nil {
		if l.Quantity, err = jobs.ReadQuantity("quantity", *ask.Quantity, s.Unit); err != nil {
			return err
		}
	}
	if ask.Price != nil {
		l.Price = *ask.Price
	}
	if ask.On != "" {
		if l.Received, err = b.stamp(ask.On, l.Source.Returns()); err != nil {
			return err
		}
	}
	if ask.Expires != nil {
		l.LabelExpires = *ask.Expires
	}
	if ask.Note != nil {
		l.Note = *ask.Note
	}
	if err := l.Validate(); err != nil {
		return err
	}
	before, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if err := store.Put(b.Tx, store.Lots, l); err != nil {
		return err
	}
	return b.lotWritten(res, s, before, l)
}

func (b *Book) supplyDrop(ask *SupplyDropAsk, res *StockChanged) error {
	lot, err := useOrLot("supply drop", ask.What, ask.ID)
	if err != nil {
		return err
	}
	var name string
	var remove func() error
	if lot {
		l, err := b.LotOf("", ask.ID)
		if err != nil {
			return err
		}
		if err := b.unnamed(l); err != nil {
			return err
		}
		name, res.Quantity, res.Value = l.Supply, l.Quantity, b.Shop.Currency.Line(l.Price)
		remove = func() error { return store.Delete(b.Tx, store.Lots, l) }
	} else {
		u, err := b.useByID(ask.ID)
		if err != nil {
			return err
		}
		name, res.Quantity = u.Supply, u.Quantity
		remove = func() error { return store.Delete(b.Tx, store.Uses, u) }
	}
	s, err := b.FindSupply(name)
	if err != nil {
		return err
	}
	before, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if err := remove(); err != nil {
		return err
	}
	after, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	res.What, res.ID, res.Repriced = ask.What, ask.ID, repriced(before, after, b.Shop.Currency)
	b.stockNow(res, after)
	return nil
}

// unnamed refuses to remove a lot that a use names.
func (b *Book) unnamed(l jobs.Lot) error {
	uses, err := store.By(b.Tx, store.Uses, store.UsesBySupply, l.Supply)
	if err != nil {
		return err
	}
	for _, u := range uses {
		if u.Lot == l.ID {
			return jobs.Refuse("named", fmt.Sprintf("use %d was taken from lot %d by name", u.ID, l.ID), fmt.Sprintf("supply amend use %d --lot 0", u.ID))
		}
	}
	return nil
}
