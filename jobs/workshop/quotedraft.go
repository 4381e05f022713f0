package workshop

import (
	"cmp"
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// QuoteDraftAsk writes a quote, or changes one that is not sent. What is not
// given stays as it is.
type QuoteDraftAsk struct {
	Asked
	Quote string `json:"quote" word:"QUOTE"`
	QuoteWishes
	// Own is the builder's own estimate in hours, best before looking.
	Own *float64 `json:"own_estimate_h,omitempty" flag:"own" arg:"HOURS" help:"your own estimate in HOURS, before you see any figure"`
}

// QuoteReviseAsk makes a new revision of a quote that was sent or declined.
type QuoteReviseAsk struct {
	Asked
	Quote string `json:"quote" word:"QUOTE"`
	QuoteWishes
}

// QuoteReviseResult is the new revision next to the one before.
type QuoteReviseResult struct {
	Meta
	Was *QuoteFigures `json:"was"`
	Is  *QuoteFigures `json:"is"`
	// Rows compares both, in the order of a quote.
	Rows []RevisionRow `json:"rows"`
}

// Same is the change of a figure that has none.
const Same = "same"

// RevisionRow is one figure of two revisions in words, with its difference:
// "same" where there is none.
type RevisionRow struct {
	What   string `json:"what"`
	Was    string `json:"was"`
	Is     string `json:"is"`
	Change string `json:"change"`
}

// QuoteDraft writes a quote, QuoteRevise a new revision of one.
var (
	QuoteDraft  = Define("quote draft", "NOT SAVED", Writes, (*Book).quoteDraft)
	QuoteRevise = Define("quote revise", "NOT SAVED", Writes, (*Book).quoteRevise)
)

// defaultMargin is the margin of a quote that says nothing else, in percent of
// the price (our guess).
const defaultMargin = 25

func (b *Book) quoteDraft(ask *QuoteDraftAsk, res *QuoteResult) error {
	code := cmp.Or(store.Taken(b.Tx, store.Quotes, ask.Quote), ask.Quote)
	q, known, err := store.Get(b.Tx, store.Quotes, code)
	if err != nil {
		return err
	}
	r := jobs.Revision{Quote: code, No: 1, Status: jobs.QuoteDraft, Made: b.Now, Ask: jobs.QuoteAsk{Route: "headstock", Necks: 1, Margin: decimal.NewFromInt(defaultMargin)}}
	if known {
		if r, err = b.Revision(q, 0); err != nil {
			return err
		}
		if r.Status != jobs.QuoteDraft {
			return quoteRefused(q, "and what was sent does not change", "quote revise "+q.Code)
		}
		if err := b.draftSeen(q); err != nil {
			return err
		}
	} else {
		if err := jobs.ValidCode("quote", ask.Quote); err != nil {
			return err
		}
		q = jobs.Quote{Code: ask.Quote, Status: jobs.QuoteDraft, Revision: 1, Added: b.Now}
	}
	if err := ownEstimate(&q, ask.Own); err != nil {
		return err
	}
	if err := b.wishes(ask.QuoteWishes, &q, &r.Ask); err != nil {
		return err
	}
	o, err := b.keepDraft(q, r)
	if err != nil {
		return err
	}
	res.shown(o)
	if q.OwnHours == 0 {
		b.Warn(jobs.Warning{Code: "own-estimate", Text: "What would you have said yourself? Your own estimate shows later how good it was.", Hint: fmt.Sprintf("quote draft %s --own HOURS", q.Code)})
	}
	return nil
}

// draftSeen refuses a draft that was changed since the asker saw it, and says what it
// is now.
func (b *Book) draftSeen(q jobs.Quote) error {
	if b.asked.Seen == 0 {
		return nil
	}
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil || c.Seq <= b.asked.Seen {
			return err
		}
		for _, r := range c.Records {
			if !r.Of(store.Revisions, q.Code, q.Revision) {
				continue
			}
			o, err := b.offerOf(q, 0)
			if err != nil {
				return err
			}
			by := cmp.Or(c.By, "in the terminal")
			return jobs.Refuse("seen", fmt.Sprintf("draft %s was changed at %s (%s): %s with tax now", q.Code, b.Clock(c.At), by, b.Shop.Currency.Print(o.figures().Price.Gross)), "quote show "+q.Code)
		}
	}
	return nil
}

// ownEstimate keeps the builder's own estimate once.
func ownEstimate(q *jobs.Quote, own *float64) error {
	switch {
	case own == nil:
		return nil
	case *own < 0.1 || *own > 1e5:
		return &jobs.FieldError{Field: "own", Value: jobs.NumberText(*own), Want: "hours such as 12"}
	case q.OwnHours > 0 && q.OwnHours != *own:
		return jobs.Refuse("own-estimate", fmt.Sprintf("your own estimate of %s h was made before you saw a figure, so it stays", jobs.NumberText(q.OwnHours)), "quote show "+q.Code)
	}
	q.OwnHours = *own
	return nil
}

// keepDraft stores a draft and calculates it.
func (b *Book) keepDraft(q jobs.Quote, r jobs.Revision) (offer, error) {
	if err := store.Put(b.Tx, store.Quotes, q); err != nil {
		return offer{}, err
	}
	if err := store.Put(b.Tx, store.Revisions, r); err != nil {
		return offer{}, err
	}
	return b.offerOf(q, 0)
}

func (b *Book) quoteRevise(ask *QuoteReviseAsk, res *QuoteReviseResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	switch q.Status {
	case jobs.QuoteDraft:
		return quoteRefused(q, "so it can still be changed", "quote draft "+q.Code+" --margin 25")
	case jobs.QuoteAccepted:
		return quoteRefused(q, "so it changes by a change order", `quote change `+q.Code+` --ask "what is different"`)
	}
	was, err := b.offerOf(q, 0)
	if err != nil {
		return err
	}
	r := was.revision
	r.No, r.Status, r.Input, r.Result, r.Made, r.Sent, r.Until = r.No+1, jobs.QuoteDraft, nil, nil, b.Now, "", ""
	if err := b.wishes(ask.QuoteWishes, &q, &r.Ask); err != nil {
		return err
	}
	q.Revision, q.Status = r.No, jobs.QuoteDraft
	is, err := b.keepDraft(q, r)
	if err != nil {
		return err
	}
	res.Was, res.Is = was.figures(), is.figures()
	res.Rows = compare(res.Was, res.Is, is.input.Rates.Currency)
	return nil
}

// compare sets the figures of two revisions side by side.
func compare(was, is *QuoteFigures, cur money.Currency) (rows []RevisionRow) {
	add := func(what, a, b, change string, same bool) {
		if same {
			change = Same
		}
		rows = append(rows, RevisionRow{what, a, b, change})
	}
	amount := func(what string, a, b money.Amount) {
		d, sign := cur.Line(b.Sub(a)), ""
		if d.Sign() > 0 {
			sign = "+"
		}
		add(what, cur.Print(a), cur.Print(b), sign+cur.Print(d), d.IsZero())
	}
	hours := func(what string, a, b float64) {
		change := fmt.Sprintf("%+.1f h", b-a)
		add(what, fmt.Sprintf("%.1f h", a), fmt.Sprintf("%.1f h", b), change, change == "+0.0 h" || change == "-0.0 h")
	}
	day := func(what string, a, b jobs.Day) {
		change := ""
		if a != "" && b != "" {
			change = fmt.Sprintf("%+d days", a.DaysTo(b))
		}
		add(what, string(a), string(b), change, a == b)
	}
	group := func(f *QuoteFigures, name string) money.Amount {
		for _, g := range f.Groups {
			if g.Group == name {
				return g.Amount
			}
		}
		return money.Zero
	}
	amount("labour an hour", was.Rates.Labour, is.Rates.Labour)
	amount("overhead an hour", was.Rates.Overhead, is.Rates.Overhead)
	for _, g := range quote.LineGroups() {
		amount(g, group(was, g), group(is, g))
	}
	amount("cost", was.Price.Cost, is.Price.Cost)
	amount("margin", was.Price.Margin, is.Price.Margin)
	amount("net price", was.Price.Net, is.Price.Net)
	amount("price with tax", was.Price.Gross, is.Price.Gross)
	amount("deposit", was.Price.Deposit, is.Price.Deposit)
	hours("likely hours", was.Hours.P50, is.Hours.P50)
	hours("average hours", was.Hours.Mean, is.Hours.Mean)
	hours("safe hours", was.Hours.P80, is.Hours.P80)
	day("likely date", was.Promise.Likely, is.Promise.Likely)
	day("safe date", was.Promise.Safe, is.Promise.Safe)
	return rows
}
