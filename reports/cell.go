package reports

import (
	"math"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Cell is one typed value. The zero value is empty. A cell may carry a live
// formula for workbooks; its value is then what the formula gives today.
type Cell struct {
	has     bool
	missing bool
	kind    Kind
	text    string
	dec     decimal.Decimal // every number, exact where it was exact
	at      time.Time
	flag    bool
	formula string
	tone    Tone
}

// Tone marks a cell for the eye; the words in the cell must say the same.
type Tone int

// The tones.
const (
	Calm Tone = iota
	Good
	Careful
	Bad
)

// Empty is a cell with nothing to say, such as a sum that makes no sense here.
func Empty() Cell { return Cell{} }

// NotRecorded is a fact that nobody wrote down. It is never zero.
func NotRecorded() Cell { return Cell{missing: true} }

// Text is a string; it never becomes a formula, whatever it begins with.
func Text(s string) Cell { return Cell{has: s != "", kind: KindText, text: s} }

// Money is an amount; it is rounded where it is printed.
func Money(a money.Amount) Cell { return number(KindMoney, a.Decimal()) }

// Minutes is a span shown in minutes.
func Minutes(d time.Duration) Cell { return number(KindMinutes, seconds(d, 60)) }

// MinutesOf is a computed number of minutes, such as an estimate.
func MinutesOf(min float64) Cell { return float(KindMinutes, min, 4) }

// HoursOf is a computed number of hours, such as an estimate.
func HoursOf(h float64) Cell { return float(KindHours, h, 6) }

// MM is a length in millimetres.
func MM(v float64) Cell { return float(KindMM, v, 6) }

// Count is a whole number.
func Count(n int) Cell { return number(KindCount, decimal.NewFromInt(int64(n))) }

// Quantity is an exact quantity of a supply.
func Quantity(q money.Qty) Cell { return number(KindQuantity, q.Decimal) }

// Number is any other number.
func Number(v float64) Cell { return float(KindNumber, v, 9) }

// Chance is a probability from 0 to 1.
func Chance(p float64) Cell { return float(KindChance, p, 6) }

// Share is a part of a whole, 1 being all of it.
func Share(f float64) Cell { return float(KindShare, f, 6) }

// Flag is yes or no.
func Flag(b bool) Cell { return Cell{has: true, kind: KindFlag, flag: b} }

// Date is the civil date of t in t's own zone; the zero time is not recorded.
func Date(t time.Time) Cell {
	if t.IsZero() {
		return NotRecorded()
	}
	y, m, d := t.Date()
	return Cell{has: true, kind: KindDate, at: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
}

// Day is a civil date written 2006-01-02; other text stays text.
func Day(s string) Cell {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Text(s)
	}
	return Date(t)
}

// Instant is a moment, shown with its date in the report's zone.
func Instant(t time.Time) Cell { return moment(KindInstant, t) }

// Clock is a moment, shown as the time of day in the report's zone.
func Clock(t time.Time) Cell { return moment(KindClock, t) }

// Live gives the cell a formula. In it {key} is this row's cell in that
// column, {key@row} the cell of the row with that name, {key:} the data cells
// of the whole column, and {table/key:} or {table/key@row} the same in another
// table; the names of the report's inputs mean themselves.
func (c Cell) Live(formula string) Cell { c.formula = formula; return c }

// In sets the tone.
func (c Cell) In(t Tone) Cell { c.tone = t; return c }

// When sets the tone where yes holds.
func (c Cell) When(yes bool, t Tone) Cell {
	if yes {
		c.tone = t
	}
	return c
}

// The accessors below are what an output reads of a cell.

// Kind is what the cell holds, which may differ from its column.
func (c Cell) Kind() Kind { return c.kind }

// IsMissing says that the fact was not recorded.
func (c Cell) IsMissing() bool { return c.missing }

// Words is the text of a text cell, as it was given.
func (c Cell) Words() string { return c.text }

// Decimal is the value of a number cell, exact where it was exact.
func (c Cell) Decimal() decimal.Decimal { return c.dec }

// Moment is the time of a date, instant or clock cell.
func (c Cell) Moment() time.Time { return c.at }

// Yes is the value of a flag cell.
func (c Cell) Yes() bool { return c.flag }

// Formula is the live formula, "" for none.
func (c Cell) Formula() string { return c.formula }

// Tone is the mark for the eye.
func (c Cell) Tone() Tone { return c.tone }

// IsEmpty says that there is no value: empty or not recorded.
func (c Cell) IsEmpty() bool { return !c.has }

func number(k Kind, d decimal.Decimal) Cell { return Cell{has: true, kind: k, dec: d} }

// float keeps digits after the point, so that every output shows one figure; a
// number that is none (NaN, infinite) is not recorded.
func float(k Kind, v float64, digits int32) Cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return NotRecorded()
	}
	return number(k, decimal.NewFromFloat(v).Round(digits))
}

func seconds(d time.Duration, per int64) decimal.Decimal {
	return decimal.NewFromInt(int64(d/time.Second)).DivRound(decimal.NewFromInt(per), 6)
}

func moment(k Kind, t time.Time) Cell {
	if t.IsZero() {
		return NotRecorded()
	}
	return Cell{has: true, kind: k, at: t}
}

// IsNumber says that the cell holds a number, which Decimal gives.
func (c Cell) IsNumber() bool {
	switch c.kind {
	case KindText, KindFlag, KindDate, KindInstant, KindClock:
		return false
	}
	return c.has
}

// Figure gives the value that every output shows: amounts rounded to the
// printed line, other numbers as they are held. has is false where there is none.
func (c Cell) Figure(col Column, currency money.Currency) (figure decimal.Decimal, has bool) {
	if !c.IsNumber() {
		return decimal.Zero, false
	}
	if c.kind == KindMoney {
		return c.dec.Round(int32(moneyPlaces(col, currency))), true
	}
	return c.dec, true
}

// moneyPlaces is the rounding of an amount that is in col, which may be of
// another kind (a mixed column of figures).
func moneyPlaces(col Column, currency money.Currency) int {
	if col.Kind == KindMoney {
		return col.places(currency)
	}
	return int(currency.Scale())
}
