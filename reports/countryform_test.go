package reports

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	cldr "golang.org/x/text/number"
)

// Amounts are written as a reference library writes them by Unicode CLDR 32
// (golang.org/x/text). Blanks of different widths count as one. Austria writes
// amounts of money with a point (CLDR currencyGroup), other numbers with a blank, so
// it is left out here.
func TestAmountsByCLDR(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for country, tag := range map[string]string{"IE": "en-IE", "GB": "en-GB", "US": "en-US", "DE": "de-DE", "NL": "nl-NL", "IT": "it-IT", "FR": "fr-FR", "SE": "sv-SE", "CH": "de-CH", "DK": "da-DK", "CZ": "cs-CZ", "FI": "fi-FI"} {
		f := countryForm{currency: "EUR", group: numberForms[country][0], point: numberForms[country][1]}
		p := message.NewPrinter(language.MustParse(tag))
		for range 200 {
			cents := rng.Int64N([]int64{100, 1e5, 1e8, 1e11}[rng.IntN(4)])
			plain := fmt.Sprintf("%d.%02d", cents/100, cents%100)
			want := p.Sprint(cldr.Decimal(float64(cents)/100, cldr.MinFractionDigits(2), cldr.MaxFractionDigits(2)))
			blanks := strings.NewReplacer("\u00a0", " ", "\u202f", " ")
			if got := f.number(plain); blanks.Replace(got) != blanks.Replace(want) {
				t.Fatalf("%s: %s is written %q, CLDR writes %q", country, plain, got, want)
			}
		}
	}
	if got := (countryForm{point: "."}).number("-1234567.80"); got != "\u22121234567.80" {
		t.Errorf("without a country: %q", got)
	}
}

// Long dates have the month in words: the day first, but for the United States (CLDR
// 32, long dates of en-GB and en-US; two values, typed here).
func TestDatesOnLetters(t *testing.T) {
	for _, c := range []struct {
		f    countryForm
		want string
	}{{countryForm{}, "17 June 2027"}, {countryForm{monthFirst: true}, "June 17, 2027"}} {
		if got := c.f.day("2027-06-17"); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
