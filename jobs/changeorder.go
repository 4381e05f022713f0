package jobs

import (
	"bookmatch/costing/money"
)

// OrderStatus is whether a change order is accepted. Work on one that is not
// is charged to the shop.
type OrderStatus string

// The states of a change order.
const (
	OrderOpen     OrderStatus = "open"
	OrderAccepted OrderStatus = "accepted"
	OrderDeclined OrderStatus = "declined"
)

// ChangeOrder is a change to an accepted quote: what it adds in hours, price
// and days, and what has to be undone for it.
type ChangeOrder struct {
	No      int         `json:"change"`
	What    string      `json:"what" own:"words"`
	AskedBy string      `json:"asked_by"`
	Asked   Day         `json:"asked"`
	Status  OrderStatus `json:"status"`
	Decided Day         `json:"decided,omitempty"`
	ChangeAsk
	Lines []QuoteLine  `json:"lines"`
	Hours float64      `json:"hours"`     // average, of new and repeated work
	Undo  money.Amount `json:"undo_cost"` // of Cost: what is undone and done again
	Cost  money.Amount `json:"cost"`
	Net   money.Amount `json:"net"` // at the margin of the quote; below zero gives money back
	Tax   money.Amount `json:"tax"`
	Gross money.Amount `json:"gross"`
	Days  int          `json:"days"` // later by about
	Notes []string     `json:"notes,omitempty"`
}

// ChangeAsk is what a change consists of.
type ChangeAsk struct {
	Quantities map[string]float64 `json:"quantities,omitempty"` // new quantities
	Redo       []string           `json:"redo,omitempty"`       // operations to be done again in full
	UndoMin    float64            `json:"undo_min,omitempty"`
	Parts      []QuotePart        `json:"parts,omitempty"`
}
