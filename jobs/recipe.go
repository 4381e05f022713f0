package jobs

import (
	"errors"

	"bookmatch/costing/money"
)

// Validate finds every field of a recipe line that cannot be used; each is a
// *FieldError.
func (r RecipeLine) Validate() error {
	errs := []error{ValidName("supply", r.Supply), notNegative("per-driver", r.PerDriver), notNegative("waste", r.Waste)}
	if r.PerDriver.IsZero() && r.Waste.IsZero() {
		errs = append(errs, &FieldError{"recipe", r.Supply, "a quantity per driver unit or a waste per mix"})
	}
	return errors.Join(errs...)
}

// Quantity is what one mix for that many driver units takes: PerDriver x driver
// + Waste. A two-part glue that cannot be mixed in less has that as its Waste:
// what is left of a mix belongs to the job.
func (r RecipeLine) Quantity(driver money.Qty) money.Qty {
	return money.Qty{Decimal: r.PerDriver.Mul(driver.Decimal)}.Plus(r.Waste)
}

// Shares splits one mix over several necks in the proportion of their driver
// counts, to a thousandth of the unit; the parts add to the whole exactly.
func (r RecipeLine) Shares(drivers []money.Qty) []money.Qty {
	whole := money.Qty{}
	for _, d := range drivers {
		whole = whole.Plus(d)
	}
	return money.SplitQty(r.Quantity(whole), drivers, 3)
}
