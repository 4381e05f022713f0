package quote

import (
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

func pct(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// Net lines 10.13, 20.17, 5.99 = 36.29. Own arithmetic with exact decimals,
// halves away from zero; that the two rules are both in use is in HMRC's VAT
// Notice 700 par. 17.5 and in the judgment C-484/06 of the Court of Justice of
// the EU (member states set the rule).
func TestTaxPerLineAgainstPerTotal(t *testing.T) {
	nets := []string{"10.13", "20.17", "5.99"}
	for _, c := range []struct{ percent, perLine, perTotal string }{
		{"19", "6.89", "6.90"}, {"20", "7.26", "7.26"}, {"21", "7.63", "7.62"}, {"5", "1.82", "1.81"}, {"0", "0.00", "0.00"},
	} {
		var lines []TaxLine
		for _, n := range nets {
			lines = append(lines, TaxLine{money.MustParse(n), pct(c.percent)})
		}
		a, b := Tax(lines, jobs.TaxPerLine, "EUR"), Tax(lines, jobs.TaxPerTotal, "EUR")
		eq(t, c.percent+" % per line", a.Tax, c.perLine)
		eq(t, c.percent+" % per total", b.Tax, c.perTotal)
		eq(t, "net", a.Net, "36.29")
		eq(t, "gross", b.Gross, b.Net.Add(b.Tax).String())
		eq(t, "lines add to the tax", money.Sum(a.Per...), c.perLine)
		if a.Rule != jobs.TaxPerLine || b.Rule != jobs.TaxPerTotal || len(b.Per) != 0 {
			t.Errorf("rules %s, %s", a.Rule, b.Rule)
		}
	}
	// 2.50 at 5 % is 0.125: half up .13 (half even would be .12).
	eq(t, "a half", Tax([]TaxLine{{money.MustParse("2.50"), pct("5")}}, jobs.TaxPerLine, "EUR").Tax, "0.13")
	// Two rates on one paper are rounded once each under per-total.
	mixed := []TaxLine{{money.MustParse("10.13"), pct("21")}, {money.MustParse("5.99"), pct("9")}, {money.MustParse("20.17"), pct("21")}}
	eq(t, "two rates", Tax(mixed, jobs.TaxPerTotal, "EUR").Tax, "6.90") // 6.363 -> 6.36, 0.5391 -> 0.54
	eq(t, "yen", Tax([]TaxLine{{money.MustParse("1005"), pct("10")}}, jobs.TaxPerTotal, "JPY").Tax, "101")
}

// Identity margin = markup/(1 + markup), and the pairs every price table has.
// 736/0.70 = 1,051.43 is a worked example of an ACCA study text (printed
// $1,051; taking 30 % on the cost instead, 956.80, is the mistake it warns of).
func TestMarginAndMarkup(t *testing.T) {
	for _, c := range [][2]string{{"25", "20"}, {"33.333333333333", "25"}, {"42.857142857143", "30"}, {"50", "33.333333333333"}, {"100", "50"}, {"0", "0"}} {
		if got := MarginOf(pct(c[0])).Round(9); !got.Equal(pct(c[1]).Round(9)) {
			t.Errorf("markup %s %% is margin %s, want %s", c[0], got, c[1])
		}
		if got, err := MarkupOf(pct(c[1])); err != nil || !got.Round(9).Equal(pct(c[0]).Round(9)) {
			t.Errorf("margin %s %% is markup %s, %v, want %s", c[1], got, err, c[0])
		}
	}
	price, err := AtMargin(money.MustParse("736"), pct("30"))
	if err != nil {
		t.Fatal(err)
	}
	eq(t, "736 at 30 % of the price", price.Round(2), "1051.43")
	eq(t, "736 at 30 % of the cost", AtMarkup(money.MustParse("736"), pct("30")), "956.80")
	price, _ = AtMargin(money.MustParse("2223"), pct("25"))
	eq(t, "2223 at a margin of 25 %", price, "2964")
	eq(t, "2223 at a markup of 25 %", AtMarkup(money.MustParse("2223"), pct("25")).Round(2), "2778.75")
	for _, m := range []string{"100", "120", "-100"} {
		if _, err := AtMargin(money.MustParse("1"), pct(m)); err == nil {
			t.Errorf("a margin of %s %% has a price", m)
		}
	}
}
