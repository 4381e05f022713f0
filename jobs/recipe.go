package jobs

import (
	"errors"

	"bookmatch/costing/money"
)

// Validate finds every field of a recipe line that cannot be used; each is a
// *FieldError.
func (r RecipeLine) Validate() error {
	errs := []error{ValidName("supply", r.Supply), notNegative("per-unit", r.PerUnit), notNegative("waste", r.Waste)}
	if r.PerUnit.IsZero() && r.Waste.IsZero() {
		errs = append(errs, &FieldError{"recipe", r.Supply, "a quantity per unit or a waste per mix"})
	}
	return errors.Join(errs...)
}

// Quantity is what one mix for that many units takes: PerUnit x quantity
// + Waste. A two-part glue that cannot be mixed in less has that as its Waste:
// what is left of a mix belongs to the job.
func (r RecipeLine) Quantity(quantity money.Qty) money.Qty {
	return money.Qty{Decimal: r.PerUnit.Mul(quantity.Decimal)}.Plus(r.Waste)
}

// Shares splits one mix over several necks in the proportion of their quantity
// counts, to a thousandth of the unit; the parts add to the whole exactly.
func (r RecipeLine) Shares(quantities []money.Qty) []money.Qty {
	whole := money.Qty{}
	for _, d := range quantities {
		whole = whole.Plus(d)
	}
	return money.SplitQty(r.Quantity(whole), quantities, 3)
}
