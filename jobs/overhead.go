package jobs

import (
	"errors"
	"strconv"

	"bookmatch/costing/money"
)

// OverheadItem is one yearly cost of the shop: a sum a year, or a machine that
// wears out over its life.
type OverheadItem struct {
	Name   string       `json:"name"`
	Yearly money.Amount `json:"yearly,omitzero"`
	// Price less Residual spread evenly over LifeYears is the yearly wear of a
	// machine (straight line).
	Price     money.Amount `json:"price,omitzero"`
	Residual  money.Amount `json:"residual,omitzero"`
	LifeYears int          `json:"life_years,omitempty"`
	Note      string       `json:"note,omitempty"`
}

// IsWear says that the item is the wear of a machine.
func (o OverheadItem) IsWear() bool { return o.LifeYears > 0 }

// PerYear is what the item costs a year.
func (o OverheadItem) PerYear() money.Amount {
	if !o.IsWear() {
		return o.Yearly
	}
	return o.Price.Sub(o.Residual).Div(money.QtyOf(int64(o.LifeYears)).Decimal)
}

// Validate finds every field that cannot be used; each is a *FieldError.
func (o OverheadItem) Validate() error {
	errs := []error{ValidName("overhead", o.Name)}
	bad := func(field, value, want string) { errs = append(errs, &FieldError{field, value, want}) }
	if o.Yearly.Sign() < 0 {
		bad("yearly", o.Yearly.String(), "an amount of zero or more")
	}
	if o.LifeYears < 0 || o.LifeYears > 100 {
		bad("life", strconv.Itoa(o.LifeYears), "years from 1 to 100")
	}
	if o.IsWear() && (o.Price.Sign() <= 0 || o.Residual.Sign() < 0 || o.Residual.Cmp(o.Price) > 0) {
		bad("price", o.Price.String(), "a price above zero and a residual value up to it")
	}
	if !o.IsWear() && !o.Price.IsZero() {
		bad("life", "", "the years over which a machine wears out")
	}
	if o.IsWear() && !o.Yearly.IsZero() {
		bad("yearly", o.Yearly.String(), "either a sum a year or a price with a life")
	}
	return errors.Join(errs...)
}
