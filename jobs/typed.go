package jobs

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// DateOrder is which number comes first in a date of numbers: "dmy" or "mdy".
// Empty is not known.
type DateOrder string

// The countries whose short dates do not begin with the day, by CLDR
// (dates/calendars/gregorian/dateFormats short, in the first official language). Where
// the year comes first, 3/4/2027 is in no order of the country, and it is asked about.
var (
	monthFirst = strings.Fields("AS GU MH MP PA PH PR UM US VI")
	yearFirst  = strings.Fields("AF AX BT CA CN GL HU IR JP KP KR LK LT MG MN NP RW SE TW ZA ZW")
)

// OrderOf gives the order of a country. Empty for none and where the year comes first.
func OrderOf(country string) DateOrder {
	c := strings.ToUpper(country)
	switch {
	case c == "", slices.Contains(yearFirst, c):
		return ""
	case slices.Contains(monthFirst, c):
		return "mdy"
	}
	return "dmy"
}

// DateOrder is what the shop says of dates of numbers, else the order of its country.
func (s Shop) DateOrder() DateOrder {
	if s.Dates != "" {
		return s.Dates
	}
	return OrderOf(s.Country)
}

var (
	numericDay = regexp.MustCompile(`^(\d{1,2})([./-])(\d{1,2})[./-](\d{4}|\d{2})$`)
)

// numericShort is a day and a month in numbers, without a year.
var numericShort = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})$`)

// readShortDay reads "3/20": the next such day, in the order of the shop.
func readShortDay(field, s, a, b string, today Day, order DateOrder) (Day, error) {
	read := func(d, m string) (Day, error) {
		n, _ := strconv.Atoi(m)
		if n < 1 || n > 12 {
			return "", &FieldError{field, s, "a date with its year, such as 2027-02-01"}
		}
		return ReadDay(field, d+" "+time.Month(n).String(), today, order)
	}
	dayFirst, errD := read(a, b)
	monthFirst, errM := read(b, a)
	switch {
	case errM != nil || errD == nil && order == "dmy":
		return dayFirst, errD
	case errD != nil || a == b || order == "mdy":
		return monthFirst, nil
	}
	return "", &Refusal{Code: BothWays, Class: Invalid, Why: fmt.Sprintf("%s %s can be %s or %s", field, s, dayFirst.Noon().Format("2 Jan"), monthFirst.Noon().Format("2 Jan")), Word: s, Swap: []string{string(dayFirst), string(monthFirst)}}
}

// BothWays is the code of a date of numbers that reads in both orders.
const BothWays = "date-order"

// ReadDay reads a date as people write it: 2027-03-20, 20 Mar 2027, "mar 20",
// 20.3.2027, 3/20/2027. Without a year it is the next such day from today on. A
// date of numbers that reads in both orders is a *Refusal with both, unless the order
// is known; dots are day first. Dates are from 1900 to 2200.
func ReadDay(field, s string, today Day, order DateOrder) (Day, error) {
	text := strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(s, ",", " ")), " "))
	example := today
	if example == "" {
		example = "2027-02-01"
	}
	bad := &FieldError{field, s, "a date such as " + string(example)}
	if t, err := time.Parse(time.DateOnly, text); err == nil {
		return day(t.Year(), int(t.Month()), t.Day(), bad)
	}
	switch text {
	case "today":
		if today != "" {
			return today, nil
		}
	case "tomorrow":
		if today != "" {
			return today.Add(1), nil
		}
	}
	if m := numericDay.FindStringSubmatch(text); m != nil {
		if m[2] == "-" && len(m[4]) == 2 { // the year may be the first or the last of the three
			return "", &FieldError{field, s, "a date with all four figures of its year, such as 2027-02-01"}
		}
		a, _ := strconv.Atoi(m[1])
		b, _ := strconv.Atoi(m[3])
		year, _ := strconv.Atoi(m[4])
		if len(m[4]) == 2 {
			year += 2000
		}
		dayFirst, errD := day(year, b, a, bad)
		monthFirst, errM := day(year, a, b, bad)
		switch {
		case m[2] == "." || errM != nil:
			return dayFirst, errD
		case errD != nil || a == b || order == "mdy":
			return monthFirst, nil
		case order == "dmy":
			return dayFirst, nil
		}
		return "", &Refusal{Code: BothWays, Class: Invalid, Why: fmt.Sprintf("%s %s can be %s or %s", field, s, dayFirst.Noon().Format("2 Jan"), monthFirst.Noon().Format("2 Jan")), Word: s, Swap: []string{string(dayFirst), string(monthFirst)}}
	}
	if m := numericShort.FindStringSubmatch(text); m != nil {
		return readShortDay(field, s, m[1], m[2], today, order)
	}
	f := strings.Fields(text)
	if len(f) < 2 || len(f) > 3 {
		return "", bad
	}
	d, name := f[0], f[1]
	if d[0] < '0' || d[0] > '9' {
		d, name = f[1], f[0]
	}
	month := 0
	name = strings.TrimSuffix(name, ".")
	for m := time.January; len(name) >= 3 && m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), name) || name == "sept" && m == time.September {
			month = int(m)
		}
	}
	n, err := strconv.Atoi(strings.TrimRight(d, ".sthndr"))
	if err != nil || month == 0 {
		return "", bad
	}
	if len(f) == 3 {
		year, err := strconv.Atoi(f[2])
		if err != nil {
			return "", bad
		}
		return day(year, month, n, bad)
	}
	if today == "" {
		return "", &FieldError{field, s, "a date with its year, such as 2027-02-01"}
	}
	for year := today.Noon().Year(); year < today.Noon().Year()+9; year++ { // 29 February
		if x, err := day(year, month, n, bad); err == nil && x >= today {
			return x, nil
		}
	}
	return "", bad
}

// ReadPastDay reads the date of what has happened: as ReadDay, but without a year it
// is the last such day up to today, and "yesterday" is one.
func ReadPastDay(field, s string, today Day, order DateOrder) (Day, error) {
	switch text := strings.ToLower(strings.TrimSpace(s)); {
	case today == "":
	case text == "today":
		return today, nil
	case text == "yesterday":
		return today.Add(-1), nil
	case text != "tomorrow":
		if d, err := ReadDay(field, s, today.Add(-364), order); err == nil {
			return d, nil
		}
	}
	return ReadDay(field, s, today, order)
}

func day(year, month, d int, bad error) (Day, error) {
	t := time.Date(year, time.Month(month), d, 0, 0, 0, 0, time.UTC)
	if year < 1900 || year > 2200 || int(t.Month()) != month || t.Day() != d {
		return "", bad
	}
	return DayOf(t), nil
}

var halfDay = regexp.MustCompile(`^(\d{1,2})(?:[:.]?(\d{2}))?\s*([ap])\.?m?\.?$`)

// halfDayClock reads 7pm, 7:30p, 7.30 PM and 12am.
func halfDayClock(s string) (Clock, bool) {
	m := halfDay.FindStringSubmatch(strings.ToLower(strings.TrimSpace(s)))
	if m == nil {
		return 0, false
	}
	h, _ := strconv.Atoi(m[1])
	min := 0
	if m[2] != "" {
		min, _ = strconv.Atoi(m[2])
	}
	if h < 1 || h > 12 || min > 59 {
		return 0, false
	}
	h %= 12
	if m[3] == "p" {
		h += 12
	}
	return Clock(h*60 + min), true
}

// signs are the signs of money that say which currency is meant.
var signs = map[string][]string{"$": {"USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN"}, "€": {"EUR"}, "£": {"GBP"}, "¥": {"JPY", "CNY"}, "kr": {"SEK", "NOK", "DKK", "ISK"}}

// SplitAmount takes the sign or the code of a currency off an amount, and what it
// is for: "$35", "EUR 35.00", "35/h". sign is empty where there is none.
func SplitAmount(s string) (number, sign string) {
	number = strings.TrimSpace(s)
	for _, per := range []string{"/h", " an hour", " per hour"} {
		number = strings.TrimSpace(strings.TrimSuffix(number, per))
	}
	for mark := range signs {
		for _, cut := range []func(string, string) (string, bool){strings.CutPrefix, strings.CutSuffix} {
			if rest, ok := cut(number, mark); ok && strings.ContainsAny(rest, "0123456789") {
				return strings.TrimSpace(rest), mark
			}
		}
	}
	if f := strings.Fields(number); len(f) == 2 {
		for i, w := range f {
			if _, err := money.ParseCurrency(strings.ToUpper(w)); err == nil && strings.ContainsAny(f[1-i], "0123456789") {
				return f[1-i], strings.ToUpper(w)
			}
		}
	}
	return number, ""
}

// SignFits says that a sign or code may mean a currency.
func SignFits(sign string, c money.Currency) bool {
	if sign == "" || sign == string(c) {
		return true
	}
	for _, code := range signs[sign] {
		if code == string(c) {
			return true
		}
	}
	return false
}

// ReadTemperature reads degrees Celsius, or Fahrenheit that says so: 18, 18C, 55F.
// The conversion is exact: C = (F - 32) x 5/9.
func ReadTemperature(field, s string) (float64, error) {
	t := strings.ToLower(strings.NewReplacer("°", "", " ", "").Replace(s))
	f, inF := strings.CutSuffix(t, "f")
	d, err := money.ParseDecimal(strings.TrimSuffix(f, "c"))
	if err != nil {
		return 0, &FieldError{field, s, "degrees such as 18, or 64F"}
	}
	if inF {
		d = d.Sub(decimal.NewFromInt(32)).Mul(decimal.NewFromInt(5)).Div(decimal.NewFromInt(9))
	}
	v, _ := d.Float64()
	return v, nil
}

// measure is a unit that people buy in, in the unit that a supply is kept in.
type measure struct {
	unit   Unit
	factor string
}

// measures are exact by NIST SP 811, appendix B.8 (US liquid measure, avoirdupois).
var measures = map[string]measure{
	"l": {UnitML, "1000"}, "cl": {UnitML, "10"}, "ml": {UnitML, "1"},
	"fl oz": {UnitML, "29.5735295625"}, "floz": {UnitML, "29.5735295625"}, "pt": {UnitML, "473.176473"}, "qt": {UnitML, "946.352946"}, "gal": {UnitML, "3785.411784"},
	"g": {UnitGram, "1"}, "kg": {UnitGram, "1000"}, "oz": {UnitGram, "28.349523125"}, "lb": {UnitGram, "453.59237"},
	"m": {UnitMetre, "1"}, "cm": {UnitMetre, "0.01"}, "ft": {UnitMetre, "0.3048"}, "yd": {UnitMetre, "0.9144"}, "in": {UnitMetre, "0.0254"},
	"cm2": {UnitCM2, "1"}, "m2": {UnitCM2, "10000"}, "in2": {UnitCM2, "6.4516"}, "ft2": {UnitCM2, "929.0304"},
}

// UnitNamed gives the unit in which a supply is kept that people buy in another:
// "oz" is kept in g, "qt" in ml.
func UnitNamed(word string) (Unit, bool) {
	m, ok := measures[strings.ToLower(strings.TrimSpace(word))]
	return m.unit, ok
}

var quantityForm = regexp.MustCompile(`^([\d.,/ -]*\d)\s*([a-z][a-z0-9 ]*)?$`)

// ReadQuantity reads a quantity of a supply in its own unit, or in another of the
// same kind: "250", "100ml", "1 qt", "1/2 lb".
func ReadQuantity(field, s string, unit Unit) (money.Qty, error) {
	bad := &FieldError{field, s, fmt.Sprintf("a quantity in %s such as 12.5", unit)}
	if number, ok := strings.CutSuffix(strings.TrimSpace(s), "oz"); ok && unit == UnitML && IsBare(number) {
		return money.Qty{}, &FieldError{field, s, fmt.Sprintf("fluid ounces (29.57 ml) such as %sfloz", strings.TrimSpace(number))}
	}
	m := quantityForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(s)))
	if m == nil {
		return ParseQuantity(field, s)
	}
	number := strings.TrimSpace(m[1])
	if v, fraction, ok := parseMixed(number); ok && fraction {
		number = decimal.NewFromFloat(v).String()
	}
	q, err := ParseQuantity(field, number)
	word := strings.TrimSpace(m[2])
	if err != nil || word == "" || word == string(unit) {
		return q, err
	}
	x, known := measures[word]
	if !known || x.unit != unit {
		return q, bad
	}
	return money.Qty{Decimal: q.Mul(decimal.RequireFromString(x.factor)).Round(6)}, nil
}

// regions are the parts of the time zone database that hold cities.
var regions = []string{"Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific", "America/Argentina", "America/Indiana", "America/Kentucky"}

// FindZone gives the time zone of a name or of its city: "Chicago", "new york".
func FindZone(s string) (string, bool) {
	name := strings.TrimSpace(s)
	if _, err := time.LoadLocation(name); err == nil && name != "" && name != "Local" && (strings.Contains(name, "/") || name == "UTC") {
		return name, true
	}
	words := strings.Fields(strings.ReplaceAll(name, "_", " "))
	for i, w := range words {
		words[i] = strings.ToUpper(w[:1]) + strings.ToLower(w[1:])
	}
	city := strings.Join(words, "_")
	if city == "" || strings.ContainsAny(city, "./\\") {
		return "", false
	}
	for _, r := range regions {
		if _, err := time.LoadLocation(r + "/" + city); err == nil {
			return r + "/" + city, true
		}
	}
	return "", false
}
