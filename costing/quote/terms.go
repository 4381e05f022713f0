package quote

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// Terms of a quote that says nothing else (our guess).
var (
	defaultDepositPct = decimal.NewFromInt(30)
	defaultValidDays  = 30
)

// DefaultDepositPct is the part of the price that is asked for with an order where
// a quote says nothing else.
func DefaultDepositPct() decimal.Decimal { return defaultDepositPct }

// terms works out deposit, stages and validity.
func (b *builder) terms(q *Quoted) {
	ask := b.in.Ask
	floor := DepositMinimum{Parts: b.cur.Line(money.Zero), Wood: b.cur.Line(money.Zero), Design: b.cur.Line(money.Zero)}
	for _, p := range ask.Parts {
		amount := b.cur.Line(p.Price.MulInt(int64(max(ask.Necks, 1))))
		if p.Wood {
			floor.Wood = floor.Wood.Add(amount)
		} else {
			floor.Parts = floor.Parts.Add(amount)
		}
	}
	design := map[string]bool{}
	for _, s := range b.in.Steps {
		if s.Decide {
			design[s.Operation] = true
		}
	}
	for _, l := range b.lines {
		if l.Group == LineLabour && design[l.Operation] {
			floor.Design = floor.Design.Add(l.Amount)
		}
	}
	floor.Total = money.Sum(floor.Parts, floor.Wood, floor.Design)
	pct := ask.DepositPct
	if pct.Sign() <= 0 {
		pct = defaultDepositPct
	}
	deposit := b.cur.Line(q.Price.Gross.Mul(pct).Div(hundred))
	if floor.Total.Cmp(deposit) > 0 {
		deposit, floor.Raised = floor.Total, true
	}
	if deposit.Cmp(q.Price.Gross) > 0 {
		deposit = q.Price.Gross
	}
	q.Deposit, q.Price.Deposit = floor, deposit
	q.Stages = stages(q.Price.Gross, deposit, ask.Stages, b.cur)
	q.ValidDays = ask.ValidDays
	if q.ValidDays <= 0 {
		q.ValidDays = defaultValidDays
	}
}

// stages divides the gross price: the deposit at the order, then the stages
// asked for while anything is left, the rest on delivery. They add up exactly.
func stages(gross, deposit money.Amount, asked []jobs.StageAsk, cur money.Currency) []Stage {
	out := []Stage{{"with the order", deposit}}
	left := gross.Sub(deposit)
	for _, s := range asked {
		amount := cur.Line(gross.Mul(s.Percent).Div(hundred))
		if amount.Cmp(left) > 0 {
			amount = left
		}
		if amount.Sign() <= 0 {
			continue
		}
		out = append(out, Stage{s.When, amount})
		left = left.Sub(amount)
	}
	if left.Sign() > 0 {
		out = append(out, Stage{"on delivery", left})
	}
	return out
}

// assumed lists what a reader of the internal sheet has to know was not
// measured.
func (b *builder) assumed() []string {
	in := b.in
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if in.Ask.DepositOn == "" {
		say("the deposit comes in %d days, on %s", AssumedDepositDays, jobs.DayOf(in.At).Add(AssumedDepositDays))
	}
	if in.Unlogged.Evenings == 0 {
		say("evenings are %.2f times their logged work", in.Unlogged.Factor)
	}
	if in.Ask.UnloggedInOverhead {
		say("unlogged time is carried by the overhead rate, not by the hours")
	} else {
		say("unlogged time is charged with the hours (%.2f times), the overhead does not carry it", b.unlogged)
	}
	none := 0
	for _, s := range in.Steps {
		if s.Estimate.N == 0 {
			none++
		}
	}
	if none > 0 {
		say("%d of %d steps have no past jobs: their times are standards, not measurements", none, len(in.Steps))
	}
	if len(b.beyond) > 0 {
		say("bigger than any you have done: %s", strings.Join(b.beyond, ", "))
	}
	if in.Ask.Batch && in.Ask.Necks > 1 {
		say("%d necks are made together: setups are shared", in.Ask.Necks)
	}
	say("rework and scrap happen by chance, and a spoilt neck is not in the hours")
	return out
}

// CustomerSheet is what a customer gets: plain words, a price, terms. It holds
// no hours, no margin and nothing of the shop's reckoning.
type CustomerSheet struct {
	Quote      string          `json:"quote"`
	Revision   int             `json:"revision"`
	Shop       string          `json:"shop,omitempty"`
	For        string          `json:"for"`
	Title      string          `json:"title,omitempty"`
	Date       jobs.Day        `json:"date"`
	Until      jobs.Day        `json:"valid_until"`
	Currency   money.Currency  `json:"currency"`
	Spec       []string        `json:"spec"`
	Lines      []CustomerLine  `json:"lines"`
	Net        money.Amount    `json:"net"`
	TaxPercent decimal.Decimal `json:"tax_percent"`
	Tax        money.Amount    `json:"tax"`
	Gross      money.Amount    `json:"gross"`
	Stages     []Stage         `json:"stages"`
	Exclusions []string        `json:"exclusions,omitempty"`
	Wording    []string        `json:"wording"`
	Draft      bool            `json:"draft,omitempty"`
}

// CustomerLine is a priced line in plain words.
type CustomerLine struct {
	What     string       `json:"what"`
	Quantity int          `json:"quantity"`
	Net      money.Amount `json:"net"`
}

// Customer draws up the customer's sheet of a revision. For a draft it says so.
func Customer(q jobs.Quote, r jobs.Revision, in Input, out Quoted) CustomerSheet {
	ask := in.Ask
	s := CustomerSheet{Quote: q.Code, Revision: r.No, Shop: in.Shop, For: q.Customer, Title: q.Title, Date: r.Sent, Until: r.Until, Currency: in.Rates.Currency,
		Net: out.Price.Net, TaxPercent: out.Price.TaxPercent, Tax: out.Price.Tax, Gross: out.Price.Gross, Stages: out.Stages, Exclusions: ask.Exclusions, Draft: r.Status == jobs.QuoteDraft}
	if s.Date == "" {
		s.Date = jobs.DayOf(in.At)
	}
	if s.Until == "" {
		s.Until = s.Date.Add(out.ValidDays)
	}
	what := q.Title
	if what == "" {
		what = "neck as described"
	}
	s.Lines = []CustomerLine{{what, max(ask.Necks, 1), out.Price.Net}}
	s.Spec = append(s.Spec, specOf(ask)...)
	s.Wording = wording(ask, out.Promise)
	return s
}

func specOf(ask jobs.QuoteAsk) []string {
	var out []string
	if ask.Wood != "" {
		out = append(out, "wood: "+strings.ReplaceAll(ask.Wood, "-", " "))
	}
	if ask.Veneer != "" {
		out = append(out, "face: "+strings.ReplaceAll(ask.Veneer, "-", " "))
	}
	for _, d := range jobs.PerUnits {
		n := ask.Quantities[d.Name]
		switch {
		case n <= 0:
		case d.Name == "holes":
			out = append(out, num(n)+" tuners")
		case d.Name == "inlay":
			out = append(out, num(n)+" pieces of inlay")
		case d.Name == "frets":
			out = append(out, num(n)+" frets")
		case d.Name == "coats":
			out = append(out, num(n)+" coats of finish")
		}
	}
	for _, p := range ask.Parts {
		if !p.Wood {
			out = append(out, "included: "+p.Name)
		}
	}
	return append(out, ask.Spec...)
}

// wording gives the texts of the sheet, the builder's own where he wrote one.
func wording(ask jobs.QuoteAsk, p schedule.Promise) []string {
	delivery := "Delivery is agreed when the order is placed."
	if p.SafeWeeks > 0 {
		n := int(math.Ceil(p.SafeWeeks))
		after := "the deposit"
		if ask.Arrival != nil {
			after = "the deposit and the arrival of the parts"
		}
		unit := "weeks"
		if n == 1 {
			unit = "week"
		}
		delivery = fmt.Sprintf("Delivery about %d %s after %s.", n, unit, after)
	}
	texts := map[string]string{
		"delivery": delivery,
		"changes":  "A change is priced and agreed in writing before it is made; work that has to be undone is charged.",
		"wood":     "Wood is a grown material: colour and figure differ from any picture or sample.",
		"papers":   "",
		"warranty": "",
	}
	var out []string
	for _, key := range wordingKeys {
		if own, ok := ask.Wording[key]; ok {
			texts[key] = own
			if key == "delivery" && own != "" { // the builder's words are added to the promise
				texts[key] = delivery + " " + own
			}
		}
		if texts[key] != "" {
			out = append(out, texts[key])
		}
	}
	return out
}
