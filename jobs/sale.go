package jobs

import (
	"errors"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Delivery says how a finished neck left the bench.
type Delivery string

// The ways a neck leaves the bench.
const (
	Sold Delivery = "sold"
	Gift Delivery = "gift"
	Kept Delivery = "kept"
)

// Sale is how a finished neck left the bench, and for how much. Price is what the
// buyer pays, tax included. TaxPercent is the rate in force on the day.
type Sale struct {
	How        Delivery        `json:"how"`
	On         Day             `json:"on"`
	Price      money.Amount    `json:"price,omitzero"`
	TaxPercent decimal.Decimal `json:"tax_percent,omitzero"`
}

// Payment is money that came in for a neck.
type Payment struct {
	On     Day          `json:"on"`
	Amount money.Amount `json:"amount"`
	Note   string       `json:"note,omitempty"`
}

// Net is the price without its tax, rounded once to the coin of a currency.
func (s Sale) Net(cur money.Currency) money.Amount {
	hundred := decimal.NewFromInt(100)
	return cur.Line(s.Price.Mul(hundred).Div(hundred.Add(s.TaxPercent)))
}

// Paid adds up payments.
func Paid(list []Payment) money.Amount {
	sum := money.Zero
	for _, p := range list {
		sum = sum.Add(p.Amount)
	}
	return sum
}

// Validate finds what cannot be used. Each is a *FieldError.
func (s Sale) Validate() error {
	switch s.How {
	case Sold:
		if s.Price.Sign() <= 0 {
			return &FieldError{"price", s.Price.String(), "an amount above zero such as 640.00"}
		}
	case Gift, Kept:
		if !s.Price.IsZero() {
			return &FieldError{"price", s.Price.String(), "no price for a neck that is given or kept"}
		}
	default:
		return &FieldError{"sale", string(s.How), "sold, gift or kept"}
	}
	return nil
}

// Validate finds what cannot be used. Each is a *FieldError.
func (p Payment) Validate() error {
	var errs []error
	if p.Amount.IsZero() {
		errs = append(errs, &FieldError{"amount", p.Amount.String(), "an amount such as 200.00"})
	}
	if len([]rune(p.Note)) > MaxNote {
		errs = append(errs, &FieldError{"note", p.Note, "at most 500 characters"})
	}
	return errors.Join(errs...)
}
