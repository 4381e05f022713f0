package reports

import (
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// countryForm is how papers for people write amounts and dates: by the habits of the
// shop's country (Unicode CLDR). A country that is not in the table has no groups.
type countryForm struct {
	currency     money.Currency
	group, point string
	monthFirst   bool
}

const (
	noBreak = "\u00a0"
	minus   = "\u2212"
)

// numberForms are groups and decimal mark of a country's own language.
var numberForms = map[string][2]string{
	"IE": {",", "."}, "GB": {",", "."}, "US": {",", "."}, "CA": {",", "."}, "AU": {",", "."}, "NZ": {",", "."},
	"DE": {".", ","}, "AT": {".", ","}, "NL": {".", ","}, "IT": {".", ","}, "DK": {".", ","},
	"FR": {noBreak, ","}, "SE": {noBreak, ","}, "FI": {noBreak, ","}, "CZ": {noBreak, ","}, "CH": {"\u2019", "."},
}

func formOf(r workshop.Result) countryForm {
	m := workshop.MetaOf(r)
	f := countryForm{currency: money.Currency(m.Currency), point: ".", monthFirst: m.Country == "US"}
	if n, ok := numberForms[m.Country]; ok {
		f.group, f.point = n[0], n[1]
	}
	return f
}

// money writes an amount without its currency.
func (f countryForm) money(a money.Amount) string { return f.number(f.currency.Print(a)) }

// number writes plain digits such as -1551.09.
func (f countryForm) number(plain string) string {
	sign, digits := "", plain
	if strings.HasPrefix(plain, "-") {
		sign, digits = minus, plain[1:]
	}
	whole, part, broken := strings.Cut(digits, ".")
	for i := len(whole) - 3; i > 0 && f.group != ""; i -= 3 {
		whole = whole[:i] + f.group + whole[i:]
	}
	if broken {
		whole += f.point + part
	}
	return sign + whole
}

// day writes a date in full.
func (f countryForm) day(d jobs.Day) string {
	switch {
	case d == "":
		return ""
	case f.monthFirst:
		return d.Noon().Format("January 2, 2006")
	}
	return d.Noon().Format("2 January 2006")
}
