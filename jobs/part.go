package jobs

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Part is a bought-in part of one neck: tuners, a truss rod, inlay cut by
// someone else.
type Part struct {
	ID       uint64       `json:"id"`
	Neck     string       `json:"neck"`
	Name     string       `json:"name"`
	Quantity int          `json:"quantity"`
	Price    money.Amount `json:"price"`            // of all of them, without tax
	Freight  money.Amount `json:"freight,omitzero"` // this part's share
	Delivery string       `json:"delivery,omitempty"`
	// Supplier is where it is bought, DeliveryDays how long it takes to come.
	Supplier     string `json:"supplier,omitempty"`
	DeliveryDays int    `json:"delivery_days,omitempty"`
	// Tax paid on price and freight. It is a cost unless it comes back.
	Tax         money.Amount `json:"tax,omitzero"`
	Reclaimable bool         `json:"reclaimable,omitempty"`
	Ordered     Day          `json:"ordered,omitempty"`
	// Arrives is expected until Arrived is set.
	Arrives         Day    `json:"arrives,omitempty"`
	Arrived         Day    `json:"arrived,omitempty"`
	ReturnableUntil Day    `json:"returnable_until,omitempty"`
	Returned        Day    `json:"returned,omitempty"` // sent back: no longer a cost
	Note            string `json:"note,omitempty"`
}

// Cost is what the part costs the shop: price, freight, and the tax that does
// not come back; nothing once it was returned, save the freight.
func (p Part) Cost() money.Amount {
	if p.Returned != "" {
		return p.Freight
	}
	cost := p.Price.Add(p.Freight)
	if !p.Reclaimable {
		cost = cost.Add(p.Tax)
	}
	return cost
}

// Returnable says whether the part can still be sent back on day.
func (p Part) Returnable(on Day) bool {
	return p.Returned == "" && p.ReturnableUntil != "" && on <= p.ReturnableUntil
}

// PartState is where a part is.
type PartState string

// The states of a part. A part that nobody ordered is not in the shop.
const (
	PartToOrder  PartState = "to order"
	PartOrdered  PartState = "ordered"
	PartOverdue  PartState = "overdue" // the day it was expected is past
	PartHere     PartState = "here"
	PartReturned PartState = "sent back"
)

// State gives where the part is on a day.
func (p Part) State(on Day) PartState {
	switch {
	case p.Returned != "":
		return PartReturned
	case p.Arrived != "" && p.Arrived <= on:
		return PartHere
	case p.Arrived == "" && p.Arrives != "" && p.Arrives < on:
		return PartOverdue
	case p.Arrived != "" || p.Arrives != "" || p.Ordered != "":
		return PartOrdered
	}
	return PartToOrder
}

// Where gives the state in words: "overdue 7 days", never a date that is past.
func (p Part) Where(on Day) string {
	switch s := p.State(on); s {
	case PartOverdue:
		return "overdue " + CountText(p.Arrives.DaysTo(on), "day")
	case PartOrdered:
		if due := max(p.Arrives, p.Arrived); due != "" {
			return "expected " + string(due)
		}
		return string(s)
	default:
		return string(s)
	}
}

// Missing says that the part is not in the shop on a day, and should be.
func (p Part) Missing(on Day) bool {
	s := p.State(on)
	return s != PartHere && s != PartReturned
}

// Validate finds every field that cannot be used; each is a *FieldError.
func (p Part) Validate() error {
	var errs []error
	if p.Name == "" || len(p.Name) > 200 {
		errs = append(errs, &FieldError{"part", p.Name, "some words"})
	}
	if p.Quantity < 1 || p.Quantity > 10000 {
		errs = append(errs, &FieldError{"quantity", strconv.Itoa(p.Quantity), "a whole number from 1 to 10000"})
	}
	for _, a := range []struct {
		field string
		v     money.Amount
	}{{"price", p.Price}, {"freight", p.Freight}, {"tax", p.Tax}} {
		if a.v.Sign() < 0 {
			errs = append(errs, &FieldError{a.field, a.v.String(), "an amount of zero or more"})
		}
	}
	errs = append(errs, wholeDays("delivery-days", p.DeliveryDays))
	return errors.Join(errs...)
}

// ShareFreight splits the freight of one delivery over its parts by price,
// coin by coin, so that the shares add to the bill; by equal parts when no
// price is known. It returns the shares in the order of parts.
func ShareFreight(freight money.Amount, parts []Part, scale int32) []money.Amount {
	weights := make([]decimal.Decimal, len(parts))
	for i, p := range parts {
		weights[i] = p.Price.Decimal()
	}
	return money.Split(freight, weights, scale)
}

// DueBack lists the parts that must go back by the day, soonest first, for
// those that are not needed after all.
func DueBack(parts []Part, on Day, within int) []Part {
	var due []Part
	for _, p := range parts {
		if p.Returnable(on) && on.DaysTo(p.ReturnableUntil) <= within {
			due = append(due, p)
		}
	}
	slices.SortStableFunc(due, func(a, b Part) int { return strings.Compare(string(a.ReturnableUntil), string(b.ReturnableUntil)) })
	return due
}

// How long parts take, in days, where nobody said (our guess): from an order, and of
// a delivery that is overdue. A date that was given slips by a quarter in one case
// of five, three days at least (our guess).
const (
	orderDays   = 14
	overdueDays = 3
	slipDays    = 3
)

// Expected gives when the last of the missing parts comes, nil when none is
// missing. A part to order comes when it is ordered today.
func Expected(parts []Part, on Day) *Arrival {
	var last *Arrival
	for _, p := range parts {
		var a Arrival
		switch p.State(on) {
		case PartHere, PartReturned:
			continue
		case PartOverdue:
			a = Arrival{on.Add(overdueDays), on.Add(overdueDays + orderDays/2)}
		default:
			due := max(p.Arrives, p.Arrived)
			if due == "" {
				due = max(on, p.Ordered).Add(orderDays)
			}
			a = Arrival{due, due.Add(max(on.DaysTo(due)/4, slipDays))}
		}
		if last == nil || a.Safe > last.Safe {
			last = &a
		}
	}
	return last
}
