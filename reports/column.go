package reports

import "bookmatch/costing/money"

// Kind is what the cells of a column hold. It settles alignment, the number
// format in a workbook and the form in CSV and JSON.
type Kind int

// The kinds of column.
const (
	KindText     Kind = iota
	KindMoney         // exact amount, currency of the report; JSON string
	KindMinutes       // span in minutes
	KindHours         // span in hours
	KindMM            // length in millimetres
	KindCount         // whole number
	KindQuantity      // exact quantity in the unit of the row or the column
	KindNumber        // any other number, Digits after the point
	KindDate          // civil date
	KindInstant       // date and time in the zone of the report
	KindClock         // the same, shown as time of day only
	KindChance        // fraction 0 to 1, whole percents; never shown as "0 %"
	KindShare         // part of a whole as a fraction; zero shows as "none"
	KindFlag          // yes or no
)

// digits after the point where a column does not say.
var defaultDigits = map[Kind]int{KindHours: 1, KindMM: 2, KindNumber: 1, KindQuantity: 2}

// NoDigits asks for whole numbers in a column whose kind would show decimals.
const NoDigits = -1

// Column describes one column. Key is the snake_case name in JSON and CSV and
// ends in its unit where it has one ("likely_min", "edge_mm"); Header is for
// people and Unit is printed after it in brackets.
type Column struct {
	Key    string
	Header string
	Unit   string
	Kind   Kind
	Digits int // after the point; 0 means the kind's usual, NoDigits none

	// At is where the column belongs; zero is everywhere.
	At Depth
	// SheetOnly columns are in workbooks, CSV and JSON but not on the terminal.
	SheetOnly bool
	// Hand columns are empty, to be written in by hand. Paper has them although a
	// screen has not.
	Hand bool
	// Spare columns are left out of a screen that is too narrow for one line a row.
	Spare bool
	// Sum adds the column up in the total row, live in a workbook.
	Sum bool
	// Max is the widest the column may become on the terminal, in character
	// cells; longer text wraps. 0 leaves it to the space there is.
	Max int
	// Width is the width in a workbook, in characters; 0 computes it.
	Width float64
}

// Head is the header with its unit: "likely (min)".
func (c Column) Head() string {
	if c.Unit == "" {
		return c.Header
	}
	return c.Header + " (" + c.Unit + ")"
}

// Numeric says that the column's cells align to the right.
func (c Column) Numeric() bool {
	switch c.Kind {
	case KindText, KindFlag, KindDate, KindInstant, KindClock:
		return false
	}
	return true
}

// places is the number of digits to print; currency is the file's.
func (c Column) places(currency money.Currency) int {
	switch {
	case c.Digits == NoDigits:
		return 0
	case c.Digits > 0:
		return c.Digits
	case c.Kind == KindMoney:
		return int(currency.Scale())
	}
	return defaultDigits[c.Kind]
}
