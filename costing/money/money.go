// Package money holds exact amounts, quantities and rates.
//
// Vocabulary: an Amount is a decimal number of units of the file's one
// currency; a Currency is an ISO 4217 code with its scale (digits after the
// point). Amounts are carried exactly and rounded once, half away from zero,
// where a line is printed; totals add the printed lines. No binary float ever
// touches an amount.
//
// The package is a leaf: it imports nothing of this module.
package money

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// Amount is an exact sum of money in the file's currency. The zero value is
// nothing owed. It marshals to a JSON string ("123.45").
type Amount struct{ d decimal.Decimal }

// Zero is no money.
var Zero = Amount{}

// workScale is the number of digits kept by divisions: far below any coin,
// so that rounding happens where a line is printed and nowhere else.
const workScale = 18

// New gives value x 10^exp, so New(1234, -2) is 12.34.
func New(value int64, exp int32) Amount { return Amount{decimal.New(value, exp)} }

// FromDecimal wraps an exact decimal.
func FromDecimal(d decimal.Decimal) Amount { return Amount{d} }

// Parse reads "12.34". It takes a decimal comma only where it cannot be a
// thousands mark: "12,5" and "12,34" are read, "1,250" is refused because two
// readings differ a thousandfold. Signs are allowed, exponents are not.
func Parse(s string) (Amount, error) {
	d, err := ParseDecimal(s)
	return Amount{d}, err
}

// MustParse is Parse for constants in tables and tests; it panics on bad text.
func MustParse(s string) Amount {
	a, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return a
}

// Longest numbers in characters, without sign and zeros in front: what is typed,
// and what a computation may have left in a record (a product of two quotients
// has 36 decimals), so that whatever was written can be read.
const (
	mostTyped  = 40
	mostStored = 200
)

// ParseDecimal reads a plain decimal number under the rules of Parse.
func ParseDecimal(s string) (decimal.Decimal, error) { return parseDecimal(s, mostTyped) }

func parseDecimal(s string, most int) (decimal.Decimal, error) {
	t := strings.TrimSpace(s)
	bad := func(why string) (decimal.Decimal, error) {
		return decimal.Zero, fmt.Errorf("%q is not a number: %s", s, why)
	}
	if t == "" || len(t) > 2*most || len(strings.TrimLeft(t, "+-0")) > most {
		return bad("want digits such as 12.50")
	}
	if i := strings.IndexByte(t, ','); i >= 0 {
		frac := t[i+1:]
		switch {
		case strings.ContainsAny(frac, ",.") || strings.Contains(t[:i], "."):
			return bad("use one point and no thousands marks")
		case len(frac) == 3 && strings.Trim(t[:i], "+-0") != "":
			return bad(fmt.Sprintf("write %s%s or %s.%s, a comma before three digits reads both ways", t[:i], frac, t[:i], frac))
		}
		t = t[:i] + "." + frac
	}
	digits := strings.TrimLeft(t, "+-")
	if len(t)-len(digits) > 1 || strings.Trim(digits, "0123456789.") != "" || strings.Count(digits, ".") > 1 || strings.Trim(digits, ".") == "" {
		return bad("want digits such as 12.50")
	}
	d, err := decimal.NewFromString(t)
	if err != nil {
		return bad("want digits such as 12.50")
	}
	return d, nil
}

// Decimal gives the exact number.
func (a Amount) Decimal() decimal.Decimal { return a.d }

// Add gives a + b.
func (a Amount) Add(b Amount) Amount { return Amount{a.d.Add(b.d)} }

// Sub gives a - b.
func (a Amount) Sub(b Amount) Amount { return Amount{a.d.Sub(b.d)} }

// Neg gives -a.
func (a Amount) Neg() Amount { return Amount{a.d.Neg()} }

// Mul gives a x f.
func (a Amount) Mul(f decimal.Decimal) Amount { return Amount{a.d.Mul(f)} }

// MulInt gives a x n.
func (a Amount) MulInt(n int64) Amount { return Amount{a.d.Mul(decimal.NewFromInt(n))} }

// Div gives a / f to 18 decimals. It panics when f is zero: callers decide
// what a missing divisor means.
func (a Amount) Div(f decimal.Decimal) Amount { return Amount{a.d.DivRound(f, workScale)} }

// Times gives the exact cost of a span at a as an hourly rate: whole seconds,
// divided by 3600 once.
func (a Amount) Times(span time.Duration) Amount {
	return Amount{a.d.Mul(decimal.NewFromInt(int64(span/time.Second))).DivRound(decimal.NewFromInt(3600), workScale)}
}

// Cmp is -1, 0 or 1 as a is below, equal to or above b.
func (a Amount) Cmp(b Amount) int { return a.d.Cmp(b.d) }

// Sign is -1, 0 or 1.
func (a Amount) Sign() int { return a.d.Sign() }

// IsZero says that no money is left.
func (a Amount) IsZero() bool { return a.d.IsZero() }

// Round gives a to scale digits, halves away from zero.
func (a Amount) Round(scale int32) Amount { return Amount{a.d.Round(scale)} }

// RoundTo gives the multiple of step nearest to a, halves away from zero; a
// step of zero or less leaves a as it is.
func (a Amount) RoundTo(step Amount) Amount {
	if step.Sign() <= 0 {
		return a
	}
	return Amount{a.d.DivRound(step.d, workScale).Round(0).Mul(step.d)}
}

// Float is for drawing and for simulation only; no amount is computed from it.
func (a Amount) Float() float64 { f, _ := a.d.Float64(); return f }

// String prints the number without zeros at its end.
func (a Amount) String() string { return a.d.String() }

// atLeast prints at least scale digits after the point and no more zeros at
// the end than that asks for.
func (a Amount) atLeast(scale int32) string {
	s := a.d.String()
	if _, frac, _ := strings.Cut(s, "."); len(frac) < int(scale) {
		return a.d.StringFixed(scale)
	}
	return s
}

// Fixed prints exactly scale digits, rounding half away from zero.
func (a Amount) Fixed(scale int32) string { return a.d.StringFixed(scale) }

// MarshalJSON writes a string, so that no reader turns it into a float, with
// every digit that is held: an amount rounded to 2 is "23.50", one typed as
// 18.00 stays "18.00".
func (a Amount) MarshalJSON() ([]byte, error) {
	return json.Marshal(a.atLeast(max(0, -a.d.Exponent())))
}

// UnmarshalJSON reads the string form.
func (a *Amount) UnmarshalJSON(b []byte) error {
	var s string
	if err := json.Unmarshal(b, &s); err != nil {
		return fmt.Errorf("amount %s is no text: type a text such as \"12.50\"", b)
	}
	d, err := parseDecimal(s, mostStored)
	if err != nil {
		return err
	}
	*a = Amount{d}
	return nil
}

// Sum adds amounts.
func Sum(amounts ...Amount) Amount {
	total := Zero
	for _, a := range amounts {
		total = total.Add(a)
	}
	return total
}

// Split divides whole (already rounded to scale) in the proportion of weights
// and hands the remainders, coin by coin, to the largest fractions (earlier
// first on ties), so that the parts add to whole exactly. Weights below zero
// count as zero; if none is above zero the parts are equal.
func Split(whole Amount, weights []decimal.Decimal, scale int32) []Amount {
	coin := decimal.New(1, -scale)
	units := whole.d.DivRound(coin, 0).IntPart()
	shares := SplitInt(units, weights)
	parts := make([]Amount, len(shares))
	for i, n := range shares {
		parts[i] = Amount{coin.Mul(decimal.NewFromInt(n))}
	}
	return parts
}

// SplitInt divides n units by weights under the rule of Split; it also splits
// seconds and pieces.
func SplitInt(n int64, weights []decimal.Decimal) []int64 {
	out := make([]int64, len(weights))
	if len(weights) == 0 {
		return out
	}
	w := make([]decimal.Decimal, len(weights))
	sum := decimal.Zero
	for i, x := range weights {
		if x.Sign() > 0 {
			w[i] = x
			sum = sum.Add(x)
		}
	}
	if sum.IsZero() {
		for i := range w {
			w[i] = decimal.NewFromInt(1)
		}
		sum = decimal.NewFromInt(int64(len(w)))
	}
	sign := int64(1)
	if n < 0 {
		sign, n = -1, -n
	}
	rest := n
	frac := make([]decimal.Decimal, len(w))
	for i := range w {
		q, r := w[i].Mul(decimal.NewFromInt(n)).QuoRem(sum, 0)
		out[i] = q.IntPart()
		frac[i] = r
		rest -= out[i]
	}
	for ; rest > 0; rest-- {
		best := 0
		for i := range frac {
			if frac[i].GreaterThan(frac[best]) {
				best = i
			}
		}
		out[best]++
		frac[best] = decimal.NewFromInt(-1)
	}
	for i := range out {
		out[i] *= sign
	}
	return out
}

// AddUp rounds the parts of an account so that the printed lines add to the
// printed total. total is rounded to scale already. What rounding leaves over goes
// to the largest part in size, the earlier on ties, whose index is plugged. It is
// -1 where nothing was left over.
func AddUp(total Amount, parts []Amount, scale int32) (lines []Amount, plugged int) {
	lines, plugged = make([]Amount, len(parts)), -1
	largest := 0
	for i, p := range parts {
		lines[i] = p.Round(scale)
		if p.d.Abs().GreaterThan(parts[largest].d.Abs()) {
			largest = i
		}
	}
	if rest := total.Sub(Sum(lines...)); len(parts) > 0 && !rest.IsZero() {
		lines[largest], plugged = lines[largest].Add(rest), largest
	}
	return lines, plugged
}
