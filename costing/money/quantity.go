package money

import (
	"encoding/json"
	"fmt"

	"github.com/shopspring/decimal"
)

// Qty is an exact quantity of a supply in its own unit (g, ml, cm2, pc ...).
// It marshals to a JSON number.
type Qty struct{ decimal.Decimal }

// ParseQty reads a quantity under the rules of Parse.
func ParseQty(s string) (Qty, error) {
	d, err := ParseDecimal(s)
	return Qty{d}, err
}

// QtyOf gives a whole quantity.
func QtyOf(n int64) Qty { return Qty{decimal.NewFromInt(n)} }

// QtyFromFloat rounds a computed quantity (area, length) to six decimals.
func QtyFromFloat(f float64) Qty { return Qty{decimal.NewFromFloat(f).Round(6)} }

// Plus gives q + r.
func (q Qty) Plus(r Qty) Qty { return Qty{q.Decimal.Add(r.Decimal)} }

// Minus gives q - r.
func (q Qty) Minus(r Qty) Qty { return Qty{q.Decimal.Sub(r.Decimal)} }

// Cmp is -1, 0 or 1 as q is below, equal to or above r.
func (q Qty) Cmp(r Qty) int { return q.Decimal.Cmp(r.Decimal) }

// Least gives the smaller of two quantities.
func Least(q, r Qty) Qty {
	if q.Cmp(r) <= 0 {
		return q
	}
	return r
}

// SplitQty divides whole by weights to the given number of decimals; what is
// finer than that goes to the first part, so that the parts add to whole
// exactly.
func SplitQty(whole Qty, weights []Qty, scale int32) []Qty {
	w := make([]decimal.Decimal, len(weights))
	for i := range weights {
		w[i] = weights[i].Decimal
	}
	coarse := whole.Truncate(scale)
	parts := make([]Qty, len(w))
	for i, a := range Split(Amount{coarse}, w, scale) {
		parts[i] = Qty{a.d}
	}
	if len(parts) > 0 {
		parts[0] = parts[0].Plus(Qty{whole.Decimal.Sub(coarse)})
	}
	return parts
}

// MarshalJSON writes a plain number.
func (q Qty) MarshalJSON() ([]byte, error) { return []byte(q.Decimal.String()), nil }

// UnmarshalJSON reads a number, or the string form of one.
func (q *Qty) UnmarshalJSON(b []byte) error {
	s := string(b)
	if len(b) > 0 && b[0] == '"' {
		if err := json.Unmarshal(b, &s); err != nil {
			return err
		}
	}
	d, err := decimal.NewFromString(s)
	if err != nil {
		return fmt.Errorf("quantity %s is no number", b)
	}
	q.Decimal = d
	return nil
}
