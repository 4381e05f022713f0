package money

import (
	"fmt"
	"strings"
)

// Currency is an ISO 4217 alphabetic code, such as EUR. The zero value is no
// currency.
type Currency string

// listed are the codes of ISO 4217 by the number of digits after the point, as
// the reference library of the test has them, and as amended since (from memory
// of the amendments; the list itself was not at hand). A table of text costs a
// bench word nothing to start with; the library took a tenth of its time.
var listed = []struct {
	scale int32
	codes string
}{
	{2, "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP " +
		"CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS " +
		"INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN " +
		"MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE " +
		"SOS SRD SSP STN SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW " +
		"ZWG"},
	{0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"},
	{3, "BHD IQD JOD KWD LYD OMR TND"},
	{4, "CLF UYW"},
}

func scaleOf(code string) (scale int32, ok bool) {
	if len(code) != 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return 0, false
	}
	for _, l := range listed {
		if strings.Contains(l.codes, code) {
			return l.scale, true
		}
	}
	return 0, false
}

// ParseCurrency accepts an alphabetic code that ISO 4217 lists, in any case.
// Codes for testing, for no currency, and withdrawn ones are refused.
func ParseCurrency(s string) (Currency, error) {
	code := strings.ToUpper(strings.TrimSpace(s))
	if _, ok := scaleOf(code); !ok {
		return "", fmt.Errorf("currency %q is not in ISO 4217", s)
	}
	return Currency(code), nil
}

// Scale is the number of digits after the point that ISO 4217 gives: 2 for
// EUR, 0 for JPY, 3 for KWD; 2 for an unknown code.
func (c Currency) Scale() int32 {
	if scale, ok := scaleOf(string(c)); ok {
		return scale
	}
	return 2
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
