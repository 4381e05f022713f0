package money

import (
	"fmt"
	"strings"

	iso "github.com/govalues/money"
)

// Currency is an ISO 4217 alphabetic code, such as EUR. The zero value is no
// currency.
type Currency string

// ParseCurrency accepts a code that ISO 4217 lists, in any case.
func ParseCurrency(s string) (Currency, error) {
	code := strings.ToUpper(strings.TrimSpace(s))
	c, err := iso.ParseCurr(code)
	if err != nil || len(code) != 3 || c.Code() == "XXX" || c.Code() == "XTS" {
		return "", fmt.Errorf("currency %q is not in ISO 4217", s)
	}
	return Currency(c.Code()), nil
}

// Scale is the number of digits after the point that ISO 4217 gives: 2 for
// EUR, 0 for JPY, 3 for KWD; 2 for an unknown code.
func (c Currency) Scale() int32 {
	x, err := iso.ParseCurr(string(c))
	if err != nil {
		return 2
	}
	return int32(x.Scale())
}

// Print gives a rounded to the currency's scale, without the code.
func (c Currency) Print(a Amount) string { return a.Fixed(c.Scale()) }

// Line gives a rounded to the currency's scale: the value of a printed line.
func (c Currency) Line(a Amount) Amount { return a.Round(c.Scale()) }
