package money

import (
	"fmt"
	"strings"

	iso "github.com/govalues/money"
)

// Currency is an ISO 4217 alphabetic code, such as EUR. The zero value is no
// currency.
type Currency string

// Where the library's table is behind ISO 4217 (from memory of its amendments; the
// list itself was not at hand): codes and scales as amended,
// and the codes it still has that the list has withdrawn.
var (
	amended   = map[string]int32{"ISK": 0, "SLE": 2, "VED": 2, "XCG": 2, "ZWG": 2, "CLF": 4, "UYW": 4}
	withdrawn = map[string]bool{"ANG": true, "BGN": true, "GWP": true, "HRK": true, "SLL": true, "ZWL": true}
)

// ParseCurrency accepts an alphabetic code that ISO 4217 lists, in any case.
// Codes for testing, for no currency, and withdrawn ones are refused.
func ParseCurrency(s string) (Currency, error) {
	code := strings.ToUpper(strings.TrimSpace(s))
	if _, ok := amended[code]; ok {
		return Currency(code), nil
	}
	c, err := iso.ParseCurr(code)
	if err != nil || c.Code() != code || code == "XXX" || code == "XTS" || withdrawn[code] {
		return "", fmt.Errorf("currency %q is not in ISO 4217", s)
	}
	return Currency(code), nil
}

// Scale is the number of digits after the point that ISO 4217 gives: 2 for
// EUR, 0 for JPY, 3 for KWD; 2 for an unknown code.
func (c Currency) Scale() int32 {
	if scale, ok := amended[string(c)]; ok {
		return scale
	}
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

// UnitPrice prints the price of one unit, which is not a printed line: at
// least the currency's digits, up to four more where the price has them.
func (c Currency) UnitPrice(a Amount) string {
	return a.Round(c.Scale() + 4).atLeast(c.Scale())
}
