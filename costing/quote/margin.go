package quote

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// percentDigits keeps converted percentages exact enough for any price.
const percentDigits = 12

// MarginOf gives the margin (percent of the price) of a markup (percent of the
// cost): markup/(1 + markup). At a markup of -100 there is no price and so no
// margin: it gives zero.
func MarginOf(markup decimal.Decimal) decimal.Decimal {
	if !markup.GreaterThan(hundred.Neg()) {
		return decimal.Zero
	}
	return markup.Mul(hundred).DivRound(hundred.Add(markup), percentDigits)
}

// MarkupOf gives the markup of a margin: margin/(1 - margin). A margin of 100
// or more has none (*jobs.FieldError).
func MarkupOf(margin decimal.Decimal) (decimal.Decimal, error) {
	if err := checkMargin(margin); err != nil {
		return decimal.Zero, err
	}
	return margin.Mul(hundred).DivRound(hundred.Sub(margin), percentDigits), nil
}

// AtMargin gives the price that leaves a margin: cost/(1 - margin), not
// rounded. A margin of 100 or more has no price (*jobs.FieldError).
func AtMargin(cost money.Amount, margin decimal.Decimal) (money.Amount, error) {
	if err := checkMargin(margin); err != nil {
		return money.Zero, err
	}
	return cost.Mul(hundred).Div(hundred.Sub(margin)), nil
}

// AtMarkup gives the price of a markup: cost x (1 + markup).
func AtMarkup(cost money.Amount, markup decimal.Decimal) money.Amount {
	return cost.Mul(hundred.Add(markup)).Div(hundred)
}

func checkMargin(margin decimal.Decimal) error {
	if margin.LessThan(hundred) && margin.GreaterThan(hundred.Neg()) {
		return nil
	}
	return &jobs.FieldError{Field: "margin", Value: fmt.Sprint(margin), Want: "a percentage of the price below 100"}
}
