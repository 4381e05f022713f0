package reports

import (
	"fmt"
	"math"
	"time"
	"unicode"
	"unicode/utf8"

	"bookmatch/costing/money"
	"bookmatch/reports/plain"

	"github.com/shopspring/decimal"
)

// notRecorded is how a missing fact reads, in every output for people.
const notRecorded = "not recorded"

// Format prints cells as a report's currency and zone ask.
type Format struct {
	Currency money.Currency
	Zone     *time.Location
}

// Format gives the format of the report's cells.
func (r Report) Format() Format { return Format{r.Currency, r.Location()} }

// Show prints a cell for a person.
func (f Format) Show(c Cell, col Column) string {
	switch {
	case c.missing:
		return notRecorded
	case !c.has:
		return ""
	}
	switch c.kind {
	case KindText:
		return plain.Clean(c.text)
	case KindFlag:
		if c.flag {
			return "yes"
		}
		return "no"
	case KindDate:
		return c.at.Format(time.DateOnly)
	case KindInstant:
		return c.at.In(f.Zone).Format("2006-01-02 15:04")
	case KindClock:
		return c.at.In(f.Zone).Format("15:04")
	case KindMoney:
		return c.dec.StringFixed(int32(f.Places(c, col)))
	case KindChance:
		return chance(c.dec)
	case KindShare:
		return share(c.dec)
	case KindQuantity:
		return trimmed(c.dec, f.Places(c, col))
	}
	return c.dec.StringFixed(int32(f.Places(c, col)))
}

// Places is the number of digits after the point of a number cell; a cell of
// another kind than its column keeps the digits of its own kind.
func (f Format) Places(c Cell, col Column) int {
	switch {
	case c.kind == KindMoney:
		return moneyPlaces(col, f.Currency)
	case c.kind != col.Kind:
		return defaultDigits[c.kind]
	}
	return col.places("")
}

var (
	hundred  = decimal.NewFromInt(100)
	one      = decimal.NewFromInt(1)
	percent1 = decimal.New(1, -2)
)

// chance prints a probability in whole percents. Small chances are "under
// 1 %" and near certainty "over 99 %": the figures are never that good.
func chance(p decimal.Decimal) string {
	switch {
	case p.LessThan(percent1):
		return "under 1 %"
	case p.GreaterThan(one.Sub(percent1)):
		return "over 99 %"
	}
	return p.Mul(hundred).StringFixed(0) + " %"
}

// share prints a part of a whole in whole percents.
func share(f decimal.Decimal) string {
	switch {
	case f.IsZero():
		return "none"
	case f.Abs().LessThan(percent1):
		return "under 1 %"
	}
	return f.Mul(hundred).StringFixed(0) + " %"
}

// ChanceText prints a probability as every table does, for sentences.
func ChanceText(p float64) string { return chance(decimal.NewFromFloat(p)) }

// trimmed rounds to n digits and drops zeros at the end: 12.5, not 12.50.
func trimmed(d decimal.Decimal, n int) string { return d.Round(int32(n)).String() }

// SpanText prints a span for sentences: "45 min", "2 h 05 min".
func SpanText(d time.Duration) string {
	min := int64(d.Round(time.Minute) / time.Minute)
	if min < 60 && min > -60 {
		return fmt.Sprintf("%d min", min)
	}
	sign := ""
	if min < 0 {
		sign, min = "-", -min
	}
	return fmt.Sprintf("%s%d h %02d min", sign, min/60, min%60)
}

// ShareText prints a part of a whole for sentences.
func ShareText(f float64) string { return share(Share(f).dec) }

// figure prints a number with one decimal below a hundred.
func figure(v float64) string {
	if math.Abs(v) >= 100 || v == math.Trunc(v) {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

// some is a quantity of a supply for a sentence, as a table shows it: at most two
// decimals.
func some(q money.Qty) string { return q.Round(2).String() }

// upper is text with a capital to begin a sentence.
func upper(text string) string {
	if text == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(r)) + text[n:]
}
