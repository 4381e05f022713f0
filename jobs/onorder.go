package jobs

import "bookmatch/costing/money"

// OnOrder is what was ordered and has not come. Quantity is in the unit of what
// was ordered, Arrives the day it is expected, empty where nobody said.
type OnOrder struct {
	On       Day       `json:"on"`
	Quantity money.Qty `json:"quantity,omitzero"`
	Arrives  Day       `json:"arrives,omitempty"`
}

// Came takes a delivery off an order. What is left is nil once all of it came.
func (o *OnOrder) Came(q money.Qty) *OnOrder {
	if o == nil || o.Quantity.Cmp(q) <= 0 {
		return nil
	}
	left := *o
	left.Quantity = o.Quantity.Minus(q)
	return &left
}

// OverdueDays is how many days ago it should have come, or 0.
func (o *OnOrder) OverdueDays(today Day) int {
	if o == nil || o.Arrives == "" || o.Arrives >= today {
		return 0
	}
	return o.Arrives.DaysTo(today)
}
