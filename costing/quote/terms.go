package quote

import (
	"fmt"
	"math"
	"slices"
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
	out := []Stage{{withOrder, deposit}}
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
	Facts      []Fact          `json:"facts"`
	Lines      []CustomerLine  `json:"lines"`
	Net        money.Amount    `json:"net"`
	TaxPercent decimal.Decimal `json:"tax_percent"`
	Tax        money.Amount    `json:"tax"`
	Gross      money.Amount    `json:"gross"`
	Stages     []Stage         `json:"stages"`
	Exclusions []string        `json:"exclusions,omitempty"`
	Delivery   string          `json:"delivery"`
	Wording    []string        `json:"wording"`
	Draft      bool            `json:"draft,omitempty"`
	// Ready is the promised day, else one that is safe to promise; DepositBy is the
	// day by which the deposit has to be there for it.
	Ready     jobs.Day `json:"ready,omitempty"`
	DepositBy jobs.Day `json:"deposit_by,omitempty"`
}

// Fact is one thing that the customer gets.
type Fact struct {
	What string `json:"what"`
	Text string `json:"text"`
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
	s.Facts = factsOf(ask)
	s.Delivery, s.Wording = wording(ask, out.Promise)
	s.Ready, s.DepositBy = max(out.Promise.Safe, ask.Due), ask.DepositOn
	if s.DepositBy == "" {
		s.DepositBy = jobs.DayOf(in.At).Add(AssumedDepositDays)
	}
	return s
}

// factsOf says what is in the price, as far as it is on record.
func factsOf(ask jobs.QuoteAsk) []Fact {
	var out []Fact
	say := func(what string, parts ...string) {
		if text := strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; "); text != "" {
			out = append(out, Fact{what, text})
		}
	}
	spaced := func(name string) string { return strings.ReplaceAll(name, "-", " ") }
	count := func(per, format string) string {
		if n := ask.Quantities[per]; n > 0 {
			return fmt.Sprintf(format, num(n))
		}
		return ""
	}
	face := ""
	if ask.Veneer != "" {
		face = spaced(ask.Veneer) + " on the face"
	}
	say("wood", spaced(ask.Wood))
	say("headstock", count("holes", "holes for %s tuners"), face)
	say("inlay", count("inlay", "%s pieces"))
	say("frets", count("frets", "%s"))
	say("finish", count("coats", "%s coats"))
	var parts []string
	for _, p := range ask.Parts {
		if !p.Wood {
			parts = append(parts, p.Name)
		}
	}
	say("included", strings.Join(parts, ", "))
	for _, text := range ask.Spec {
		say("also", text)
	}
	return out
}

// wording gives the texts of the sheet, the builder's own where he wrote one: when
// it is delivered, and the terms.
func wording(ask jobs.QuoteAsk, p schedule.Promise) (delivery string, terms []string) {
	delivery = "Delivery is agreed when the order is placed."
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
	if own := ask.Wording["delivery"]; own != "" { // the builder's words are added to the promise
		delivery += " " + own
	}
	texts := map[string]string{
		"changes":  "A change is priced and agreed in writing before it is made. Work that has to be undone is charged.",
		"wood":     "Wood is a grown material: colour and figure differ from any picture or sample.",
		"papers":   "",
		"warranty": "",
	}
	for _, key := range wordingKeys {
		if key == "delivery" {
			continue
		}
		if own, ok := ask.Wording[key]; ok {
			texts[key] = own
		}
		if texts[key] != "" {
			terms = append(terms, texts[key])
		}
	}
	return delivery, terms
}
