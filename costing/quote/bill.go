package quote

import (
	"cmp"
	"fmt"
	"slices"

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
	Payments   []BillPayment   `json:"payments,omitempty"`
	Received   money.Amount    `json:"received"`           // all payments
	Supplied   jobs.Day        `json:"supplied,omitempty"` // when the last neck was finished
	Due        money.Amount    `json:"due"`
}

// BillPayment is money that has come in.
type BillPayment struct {
	What   string       `json:"what"`
	On     jobs.Day     `json:"on"`
	Amount money.Amount `json:"amount"`
}

// withOrder is what the deposit is called.
const withOrder = "with the order"

// BillLine is the quote or one agreed change, as it was agreed.
type BillLine struct {
	What  string       `json:"what"`
	Net   money.Amount `json:"net"`
	Tax   money.Amount `json:"tax"`
	Gross money.Amount `json:"gross"`
}

// BillOf draws the figures up on a day: the agreed revision and every agreed
// change with the tax that was agreed for each, so that the sum is that of the
// papers the customer has. Changes that are not agreed are no part of it. The deposit
// counts once its day has come.
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
		b.Payments = append(b.Payments, BillPayment{withOrder, q.DepositOn, out.Price.Deposit})
	}
	return b.With(nil)
}

// With counts payments that were logged for the necks of the quote, too. One of the
// deposit's own amount is the deposit.
func (b Bill) With(logged []BillPayment) Bill {
	paid := slices.Clone(b.Payments)
	for _, p := range logged {
		i := slices.IndexFunc(paid, func(d BillPayment) bool { return d.What == withOrder && d.Amount.Cmp(p.Amount) == 0 })
		if i >= 0 {
			paid[i] = p
			continue
		}
		paid = append(paid, p)
	}
	slices.SortStableFunc(paid, func(x, y BillPayment) int { return cmp.Compare(x.On, y.On) })
	b.Payments, b.Received = paid, money.Zero
	for _, p := range paid {
		b.Received = b.Received.Add(p.Amount)
	}
	b.Due = b.Gross.Sub(b.Received)
	return b
}
