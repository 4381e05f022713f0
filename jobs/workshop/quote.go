package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// QuoteShowAsk asks for one quote: its figures, or one of its papers.
type QuoteShowAsk struct {
	Asked
	Quote    string `json:"quote" word:"QUOTE"`
	Revision int    `json:"revision,omitempty" flag:"revision" arg:"N" help:"revision N; the newest if not given"`
	Customer bool   `json:"customer,omitempty" flag:"customer" help:"what the customer gets: no hours, no margin"`
	Order    int    `json:"order,omitempty" flag:"change" arg:"N" help:"change N; with --customer what the customer gets"`
	Letter   bool   `json:"letter,omitempty"` // as a paper of its own: what it lacks is a warning
	Bill     bool   `json:"bill,omitempty" flag:"bill" help:"figures for the invoice: agreed, received, due"`
}

// QuoteResult is a quote with its figures, or one of its papers. A paper that
// leaves the shop holds nothing of the shop's own figures.
type QuoteResult struct {
	Meta
	*QuoteFigures
	Offer *quote.CustomerSheet `json:"offer,omitempty"`
	Bill  *quote.Bill          `json:"bill,omitempty"`
	Order *OrderPaper          `json:"change_order,omitempty"`
	// Letter and Plan go with a paper that leaves the shop.
	Letter *Letter      `json:"letter,omitempty"`
	Plan   *layout.Plan `json:"plan,omitempty"`
}

// QuoteListAsk asks for all quotes.
type QuoteListAsk struct{ Asked }

// QuoteListResult is every quote in one line each.
type QuoteListResult struct {
	Meta
	Quotes []QuoteRow `json:"quotes"`
}

// QuoteRow is a quote in a list.
type QuoteRow struct {
	Quote    string           `json:"quote"`
	Revision int              `json:"revision"`
	Status   jobs.QuoteStatus `json:"status"`
	Customer string           `json:"customer"`
	Title    string           `json:"title,omitempty"`
	Net      money.Amount     `json:"net"`
	Gross    money.Amount     `json:"gross"` // with every accepted change
	Date     jobs.Day         `json:"date"`  // promised, else the safe one
	Until    jobs.Day         `json:"valid_until,omitempty"`
	Expired  bool             `json:"expired,omitempty"`
	Necks    []string         `json:"necks,omitempty"`
	Promised jobs.Day         `json:"promised,omitempty"`
}

// QuoteShow shows one quote, QuoteList all.
var (
	QuoteShow = Define("quote show", "", Long, (*Book).quoteShow)
	QuoteList = Define("quote list", "", Long, (*Book).quoteList)
)

// offer is a revision with its figures: today's for a draft, frozen else.
type offer struct {
	quote    jobs.Quote
	revision jobs.Revision
	input    quote.Input
	result   quote.Quoted
	promised jobs.Day // of an accepted quote: when the last of its necks is due
	cautions []string // of its woods
}

// offerOf reads one revision. A draft is calculated from the records, what was
// sent is read as it was. No 0 is the newest.
func (b *Book) offerOf(q jobs.Quote, no int) (offer, error) {
	r, err := b.Revision(q, no)
	if err != nil {
		return offer{}, err
	}
	o := offer{quote: q, revision: r}
	for _, code := range q.Necks {
		n, err := b.Neck(code)
		if err != nil {
			return o, err
		}
		o.promised = max(o.promised, n.Due)
	}
	if o.cautions, err = b.woodCautions(r.Ask.Wood, r.Ask.Veneer); err != nil {
		return o, err
	}
	if r.IsFrozen() {
		o.input, o.result, err = quote.Frozen(r)
		return o, err
	}
	if o.input, err = b.QuoteInput(q, r.Ask, quote.SettingsOf(r.Ask)); err != nil {
		return o, err
	}
	o.result, err = quote.PriceQuote(o.input)
	return o, err
}

// woodCautions gives what the law asks of woods that may not be traded freely,
// each once.
func (b *Book) woodCautions(names ...string) ([]string, error) {
	var out []string
	for i, name := range names {
		if name == "" || i > 0 && name == names[0] {
			continue
		}
		w, ok, err := store.Get(b.Tx, store.Woods, name)
		if err != nil {
			return nil, err
		}
		if ok && w.TradeControl != "" {
			out = append(out, fmt.Sprintf("%s: %s", w.Title, w.TradeControl))
		}
	}
	return out, nil
}

// shown fills a result with an offer.
func (res *QuoteResult) shown(o offer) {
	res.QuoteFigures = o.figures()
	res.Made = o.input.At
}

func (b *Book) quoteShow(ask *QuoteShowAsk, res *QuoteResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	if ask.Bill || ask.Customer {
		if res.Letter, err = b.letterTo(q.Customer); err != nil {
			return err
		}
		if ask.Letter {
			b.letterLacks(res.Letter, q.Customer, true)
		}
	}
	if ask.Order > 0 {
		return b.showOrder(q, ask, res)
	}
	if ask.Bill {
		return b.bill(q, res)
	}
	o, err := b.offerOf(q, ask.Revision)
	if err != nil {
		return err
	}
	if ask.Customer {
		sheet := quote.Customer(q, o.revision, o.input, o.result)
		if o.promised != "" {
			sheet.Ready, sheet.DepositBy = o.promised, ""
		}
		res.Offer, res.Made = &sheet, sheet.Date.Noon()
		res.Plan, err = b.quotePlan(q, o.revision.Ask)
		return err
	}
	res.shown(o)
	return nil
}

// bill is the figures for the invoice of an accepted quote.
func (b *Book) bill(q jobs.Quote, res *QuoteResult) error {
	if q.Status != jobs.QuoteAccepted {
		return jobs.Refuse("not-accepted", fmt.Sprintf("quote %s is %s, and only what was accepted can be billed", q.Code, q.Status), b.towardsYes(q))
	}
	open := 0
	for _, c := range q.Changes {
		if c.Status == jobs.OrderOpen {
			open++
		}
	}
	if open > 0 {
		b.Warn(jobs.Warning{Code: "open-changes", Text: fmt.Sprintf("%s not accepted yet: not in these figures.", jobs.CountText(open, "change")), Hint: "quote show " + q.Code})
	}
	b.Warnf("no-invoice", "These are figures, not an invoice. Numbers, dates and the tax on a deposit follow your local rules.")
	bill, err := b.billOf(q)
	res.Bill = &bill
	return err
}

// towardsYes is the next command on the way to an accepted quote.
func (b *Book) towardsYes(q jobs.Quote) string {
	switch q.Status {
	case jobs.QuoteDraft:
		return "quote send " + q.Code
	case jobs.QuoteSent:
		return fmt.Sprintf("quote accept %s --deposit-on %s", q.Code, b.Today().Add(quote.AssumedDepositDays))
	}
	return "quote revise " + q.Code
}

// Today is the civil date of the instant asked about.
func (b *Book) Today() jobs.Day { return jobs.DayOf(b.Wall(b.Now)) }

func (b *Book) quoteList(_ *QuoteListAsk, res *QuoteListResult) error {
	res.Quotes = []QuoteRow{}
	for q, err := range store.Each(b.Tx, store.Quotes) {
		if err != nil {
			return err
		}
		o, err := b.offerOf(q, 0)
		if err != nil {
			return err
		}
		price := o.result.Price
		row := QuoteRow{Quote: q.Code, Revision: o.revision.No, Status: q.Status, Customer: q.Customer, Title: q.Title, Net: price.Net, Gross: price.Gross,
			Date: o.result.Promise.Safe, Until: o.revision.Until, Necks: q.Necks, Promised: o.promised, Expired: q.Status == jobs.QuoteSent && o.revision.Until < b.Today()}
		if f := o.figures(); f.WithChanges != nil {
			row.Net, row.Gross = f.WithChanges.Net, f.WithChanges.Gross
		}
		if o.promised != "" {
			row.Date = o.promised
		}
		res.Quotes = append(res.Quotes, row)
	}
	slices.SortFunc(res.Quotes, func(x, y QuoteRow) int { return jobs.CompareCodes(x.Quote, y.Quote) })
	return nil
}

// quoteRefused refuses what the status of a quote does not allow.
func quoteRefused(q jobs.Quote, why string, typed ...string) error {
	return jobs.Refuse("quote-"+string(q.Status), strings.TrimSpace(fmt.Sprintf("quote %s is %s, %s", q.Code, q.Status, why)), typed...)
}
