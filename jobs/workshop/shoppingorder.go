package workshop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// ShoppingOrderAsk ticks off an item of the list: it is ordered. What is the name
// of a supply, "part 3" or "bit S10-1".
type ShoppingOrderAsk struct {
	Asked
	What     string    `json:"what" word:"WHAT..."`
	Quantity *string   `json:"quantity,omitempty" flag:"quantity" arg:"QUANTITY" help:"QUANTITY of a supply; else what the list says"`
	Arrives  *jobs.Day `json:"arrives,omitempty" read:"coming" flag:"arrives" arg:"DATE" help:"DATE it is expected; else by its delivery days"`
}

// ShoppingOrdered is an item that was ordered.
type ShoppingOrdered struct {
	Meta
	stock.Item
}

// ShoppingOrder ticks off an item: it is ordered.
var ShoppingOrder = Define("shopping order", "NOT CHANGED", Writes, (*Book).shoppingOrder)

func (b *Book) shoppingOrder(ask *ShoppingOrderAsk, res *ShoppingOrdered) error {
	what, err := b.onTheList(strings.TrimSpace(ask.What))
	if err != nil {
		return err
	}
	kind, rest, _ := strings.Cut(what, " ")
	switch {
	case kind == "part" && rest != "":
		res.Item, err = b.orderPart(ask, rest)
	case kind == "bit" && rest != "":
		res.Item, err = b.orderBit(ask, rest)
	default:
		res.Item, err = b.orderSupply(ask, what)
	}
	if err != nil {
		return err
	}
	list := ShoppingResult{}
	if err := b.shopping(&ShoppingAsk{}, &list); err != nil {
		return err
	}
	if i := slices.IndexFunc(list.Items, func(x stock.Item) bool { return x.Code == res.Code }); i >= 0 {
		res.Item = list.Items[i]
	}
	return nil
}

// onTheList gives the code of what is to order, as "part 1", by the word that the list
// has for it, as "tuners".
func (b *Book) onTheList(word string) (string, error) {
	list := ShoppingResult{}
	if err := b.shopping(&ShoppingAsk{}, &list); err != nil {
		return "", err
	}
	var codes []string
	for _, x := range list.Items {
		switch {
		case strings.EqualFold(x.Code, word):
			return word, nil
		case strings.EqualFold(x.What, word) && x.Ordered == "":
			codes = append(codes, x.Code)
		}
	}
	switch len(codes) {
	case 0:
		return word, nil
	case 1:
		return codes[0], nil
	}
	r := &jobs.Refusal{Code: "which", Class: jobs.Conflict, Why: fmt.Sprintf("%d things on the list are %s", len(codes), word)}
	for _, c := range codes {
		r.Type = append(r.Type, "shopping order "+c)
	}
	return "", r
}

func (b *Book) orderPart(ask *ShoppingOrderAsk, number string) (x stock.Item, err error) {
	id, err := strconv.ParseUint(number, 10, 63)
	if err != nil {
		return x, &jobs.FieldError{Field: "part", Value: number, Want: "the number of a part, such as 3"}
	}
	p, ok, err := store.GetID(b.Tx, store.Parts, id)
	switch {
	case err != nil:
		return x, err
	case !ok:
		return x, &jobs.NotFoundError{Noun: "part", Value: number}
	case p.Arrived != "":
		return x, jobs.Refuse("here", fmt.Sprintf("part %d came on %s", id, p.Arrived), "part list")
	}
	p.Ordered, p.Arrives = b.Tonight(), b.comes(ask, p.DeliveryDays)
	x = stock.Item{Code: fmt.Sprintf("part %d", id), What: p.Name, For: b.NameOf(p.Neck), Quantity: money.QtyOf(int64(p.Quantity)), Unit: string(jobs.UnitPiece), Ordered: p.Ordered, Arrives: p.Arrives}
	return x, store.Put(b.Tx, store.Parts, p)
}

func (b *Book) orderBit(ask *ShoppingOrderAsk, code string) (x stock.Item, err error) {
	bit, err := b.FindBit(code)
	if err != nil {
		return x, err
	}
	bit.OnOrder = &jobs.OnOrder{On: b.Tonight(), Quantity: money.QtyOf(1), Arrives: b.comes(ask, bit.DeliveryDays)}
	x = stock.Item{Code: "bit " + bit.Code, What: bit.Class().String(), Quantity: bit.OnOrder.Quantity, Unit: string(jobs.UnitPiece), Ordered: bit.OnOrder.On, Arrives: bit.OnOrder.Arrives}
	return x, store.Put(b.Tx, store.Bits, bit)
}

func (b *Book) orderSupply(ask *ShoppingOrderAsk, name string) (x stock.Item, err error) {
	s, err := b.FindSupply(name)
	if err != nil {
		return x, err
	}
	q, err := b.orderQuantity(ask, s)
	if err != nil {
		return x, err
	}
	s.OnOrder = &jobs.OnOrder{On: b.Tonight(), Quantity: q, Arrives: b.comes(ask, s.DeliveryDays)}
	return stock.Item{Code: s.Name}, store.Put(b.Tx, store.Supplies, s)
}

// orderQuantity is how much of a supply is ordered: as typed, else as the list has
// it, else the usual pack.
func (b *Book) orderQuantity(ask *ShoppingOrderAsk, s jobs.Supply) (money.Qty, error) {
	if ask.Quantity != nil {
		q, err := jobs.ReadQuantity("quantity", *ask.Quantity, s.Unit)
		if err == nil && q.Sign() == 0 {
			err = &jobs.FieldError{Field: "quantity", Value: *ask.Quantity, Want: "more than zero, such as 250"}
		}
		return q, err
	}
	s.OnOrder = nil
	l, err := b.SupplyLedger(s)
	if err != nil {
		return money.Qty{}, err
	}
	planned, err := b.PlannedUses()
	if err != nil {
		return money.Qty{}, err
	}
	if q := stock.PlanReorder(l, planned[s.Name], b.Tonight()).Quantity; q.Sign() > 0 {
		return q, nil
	}
	if s.Pack.Sign() > 0 {
		return s.Pack, nil
	}
	return money.Qty{}, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "how much to order is not known", Type: []string{"shopping order " + s.Name + " --quantity 250"}}
}

// comes is the day on which an order is expected: as typed, else by the delivery
// days, else not known.
func (b *Book) comes(ask *ShoppingOrderAsk, days int) jobs.Day {
	switch {
	case ask.Arrives != nil:
		return *ask.Arrives
	case days > 0:
		return b.Tonight().Add(days)
	}
	return ""
}
