package money

import (
	"testing"

	iso "github.com/govalues/money"
)

// Codes and minor units: ISO 4217 list one, as known from memory for the codes
// below; the scales 0, 2, 3 and 4 are all that the list uses.
func TestCurrencyScales(t *testing.T) {
	for code, scale := range map[string]int32{
		"EUR": 2, "USD": 2, "GBP": 2, "CHF": 2, "SEK": 2, "PLN": 2, "CZK": 2, "HUF": 2, "MGA": 2, "MRU": 2, "XCG": 2, "SLE": 2,
		"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0, "XAF": 0, "XPF": 0, "PYG": 0, "UGX": 0,
		"KWD": 3, "BHD": 3, "IQD": 3, "JOD": 3, "LYD": 3, "OMR": 3, "TND": 3,
		"CLF": 4, "UYW": 4,
	} {
		c, err := ParseCurrency(code)
		if err != nil || string(c) != code || c.Scale() != scale {
			t.Errorf("ParseCurrency(%s) = %q, scale %d, %v, want scale %d", code, c, c.Scale(), err, scale)
		}
	}
	if c, err := ParseCurrency(" eur "); err != nil || c != "EUR" {
		t.Errorf("lower case: got %q, %v", c, err)
	}
}

func TestCurrencyRefused(t *testing.T) {
	for _, s := range []string{"", "E", "EU", "EURO", "€", "ABC", "QQQ", "978", "XXX", "XTS", "HRK", "BGN", "DEM", "EUR ", "ΕUR"} {
		if s == "EUR " {
			continue // blanks around a code are cut
		}
		if c, err := ParseCurrency(s); err == nil {
			t.Errorf("ParseCurrency(%q) = %q, want an error", s, c)
		}
	}
}

// One amount as the printed line of currencies of scale 0, 2 and 3.
func TestCurrencyLine(t *testing.T) {
	for _, c := range []struct {
		code, in, print, json string
	}{
		{"JPY", "1234.5", "1235", `"1235"`},
		{"EUR", "1234.5", "1234.50", `"1234.50"`},
		{"KWD", "1234.5", "1234.500", `"1234.500"`},
		{"JPY", "-0.5", "-1", `"-1"`},
		{"EUR", "0.125", "0.13", `"0.13"`},
		{"KWD", "0.125", "0.125", `"0.125"`},
		{"EUR", "0", "0.00", `"0.00"`},
	} {
		cur, a := Currency(c.code), MustParse(c.in)
		if got := cur.Print(a); got != c.print {
			t.Errorf("%s.Print(%s) = %s, want %s", c.code, c.in, got, c.print)
		}
		if got, _ := cur.Line(a).MarshalJSON(); string(got) != c.json {
			t.Errorf("%s.Line(%s) as JSON = %s, want %s", c.code, c.in, got, c.json)
		}
	}
	if got, _ := Currency("EUR").Line(Zero).MarshalJSON(); string(got) != `"0.00"` {
		t.Errorf("zero value as a line = %s", got)
	}
}

func TestUnitPrice(t *testing.T) {
	for in, want := range map[string]string{"0.09": "0.09", "0.1": "0.10", "0": "0.00", "12": "12.00", "0.0875": "0.0875", "0.33333333333": "0.333333", "0.110000": "0.11"} {
		if got := Currency("EUR").UnitPrice(MustParse(in)); got != want {
			t.Errorf("UnitPrice(%s) = %s, want %s", in, got, want)
		}
	}
}

// Reference library: the table of ISO 4217 of github.com/govalues/money, over
// every word of three letters. Where it is behind, the amendments (from memory):
// Sierra Leone's and Venezuela's redenominations, the Caribbean and the Zimbabwe
// gold units, and what came into the euro.
func TestCurrenciesAgainstReferenceTable(t *testing.T) {
	since := map[string]int32{"ISK": 0, "SLE": 2, "VED": 2, "XCG": 2, "ZWG": 2, "CLF": 4, "UYW": 4}
	gone := map[string]bool{"ANG": true, "BGN": true, "GWP": true, "HRK": true, "SLL": true, "ZWL": true, "XXX": true, "XTS": true}
	for n := range 26 * 26 * 26 {
		code := string([]byte{byte('A' + n/676), byte('A' + n/26%26), byte('A' + n%26)})
		ref, err := iso.ParseCurr(code)
		want, there := since[code]
		if !there && err == nil && !gone[code] {
			want, there = int32(ref.Scale()), true
		}
		got, err := ParseCurrency(code)
		if (err == nil) != there || there && (string(got) != code || got.Scale() != want) {
			t.Errorf("%s: %q, scale %d, %v; the table says %v, %d", code, got, got.Scale(), err, there, want)
		}
	}
}
