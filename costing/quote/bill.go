package quote

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// Bill is what an invoice of an accepted quote needs: what was agreed, its tax,
// what has been received and what is due. It is no invoice: numbering, dates of
// supply and how a deposit is taxed are for whoever does the books.
type Bill struct {
	Quote      string          `json:"quote"`
	For        string          `json:"for"`
	Shop       string          `json:"shop,omitempty"`
	Date       jobs.Day        `json:"date"`
	Currency   money.Currency  `json:"currency"`
	TaxPercent decimal.Decimal `json:"tax_percent"`
	Lines      []BillLine      `json:"lines"`
	Net        money.Amount    `json:"net"`
	Tax        money.Amount    `json:"tax"`
	Gross      money.Amount    `json:"gross"`
	Received   money.Amount    `json:"received"` // the deposit, once its day has come
	ReceivedOn jobs.Day        `json:"received_on,omitempty"`
	Due        money.Amount    `json:"due"`
}

// BillLine is the quote or one agreed change, as it was agreed.
type BillLine struct {
	What  string       `json:"what"`
	Net   money.Amount `json:"net"`
	Tax   money.Amount `json:"tax"`
	Gross money.Amount `json:"gross"`
}

// BillOf draws the figures up on a day: the agreed revision and every agreed
// change with the tax that was agreed for each, so that the sum is that of the
// papers the customer has. Changes that are not agreed are no part of it.
func BillOf(q jobs.Quote, in Input, out Quoted, today jobs.Day) Bill {
	what := q.Title
	if what == "" {
		what = "neck as described"
	}
	b := Bill{Quote: q.Code, For: q.Customer, Shop: in.Shop, Date: today, Currency: in.Rates.Currency, TaxPercent: out.Price.TaxPercent,
		Lines: []BillLine{{what, out.Price.Net, out.Price.Tax, out.Price.Gross}}}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted {
			b.Lines = append(b.Lines, BillLine{fmt.Sprintf("change %d, %s: %s", c.No, c.Decided, c.What), c.Net, c.Tax, c.Gross})
		}
	}
	for _, l := range b.Lines {
		b.Net, b.Tax, b.Gross = b.Net.Add(l.Net), b.Tax.Add(l.Tax), b.Gross.Add(l.Gross)
	}
	if q.DepositOn != "" && q.DepositOn <= today {
		b.Received, b.ReceivedOn = out.Price.Deposit, q.DepositOn
	}
	b.Due = b.Gross.Sub(b.Received)
	return b
}
