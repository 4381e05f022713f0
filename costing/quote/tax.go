package quote

import (
	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

var hundred = decimal.NewFromInt(100)

// TaxLine is one printed line of a paper: a net amount already rounded to the
// currency, and its rate in percent.
type TaxLine struct {
	Net     money.Amount    `json:"net"`
	Percent decimal.Decimal `json:"percent"`
}

// TaxResult says what the tax is and where it was rounded. Per is the tax of
// each line under the rule per-line; under per-total it is empty.
type TaxResult struct {
	Rule  jobs.TaxRule   `json:"rule"`
	Net   money.Amount   `json:"net"`
	Tax   money.Amount   `json:"tax"`
	Gross money.Amount   `json:"gross"`
	Per   []money.Amount `json:"per_line,omitempty"`
}

// Tax adds tax to printed lines. Under per-line every line is rounded and the
// rounded taxes added; under per-total the nets of each rate are added, and
// the tax of each rate is rounded once. The two differ by cents: which one is
// right is for local rules to say (the Court of Justice of the EU leaves it to
// the member states, C-484/06), so the rule is stored and printed. Halves are
// rounded away from zero.
func Tax(lines []TaxLine, rule jobs.TaxRule, cur money.Currency) TaxResult {
	out := TaxResult{Rule: rule, Net: cur.Line(money.Zero), Tax: cur.Line(money.Zero)}
	type perRate struct {
		percent decimal.Decimal
		net     money.Amount
	}
	var rates []perRate
next:
	for _, l := range lines {
		net := cur.Line(l.Net)
		out.Net = out.Net.Add(net)
		if rule == jobs.TaxPerLine {
			t := cur.Line(TaxOn(net, l.Percent))
			out.Per = append(out.Per, t)
			out.Tax = out.Tax.Add(t)
			continue
		}
		for i := range rates {
			if rates[i].percent.Equal(l.Percent) {
				rates[i].net = rates[i].net.Add(net)
				continue next
			}
		}
		rates = append(rates, perRate{l.Percent, net})
	}
	for _, r := range rates {
		out.Tax = out.Tax.Add(cur.Line(TaxOn(r.net, r.percent)))
	}
	out.Gross = out.Net.Add(out.Tax)
	return out
}

// TaxOn is the exact tax on a net amount.
func TaxOn(net money.Amount, percent decimal.Decimal) money.Amount {
	return net.Mul(percent).Div(hundred)
}
