package jobs

import (
	"errors"
	"slices"
	"strings"

	"bookmatch/costing/money"
)

// ChangeRecipe reads "glue=0.02+2" (for each unit, and once a mix) and "glue=-"
// (takes the line out) and gives the recipe with that change.
func ChangeRecipe(recipe []RecipeLine, typed string) ([]RecipeLine, error) {
	name, amount, ok := strings.Cut(typed, "=")
	name = strings.TrimSpace(name)
	rest := slices.DeleteFunc(slices.Clone(recipe), func(l RecipeLine) bool { return l.Supply == name })
	if ok && strings.TrimSpace(amount) == "-" {
		if len(rest) == len(recipe) {
			return nil, &NotFoundError{Noun: "recipe line", Value: name}
		}
		return rest, nil
	}
	per, waste, mixed := strings.Cut(amount, "+")
	line := RecipeLine{Supply: name}
	var err error
	if ok {
		line.PerUnit, err = money.ParseQty(strings.TrimSpace(per))
	}
	if err == nil && mixed {
		line.Waste, err = money.ParseQty(strings.TrimSpace(waste))
	}
	if !ok || err != nil {
		return nil, &FieldError{"recipe", typed, "SUPPLY=PER or SUPPLY=PER+WASTE such as glue=0.02+2"}
	}
	return append(rest, line), line.Validate()
}

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
