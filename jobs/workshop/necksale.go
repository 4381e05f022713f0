package workshop

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// NeckSale is how a neck left the bench and what it earned. Price is with tax, Net
// without. PerHour is what is left of the net price after supplies, bits and parts,
// for each hour logged. A neck that was not handed over has no How.
type NeckSale struct {
	How        jobs.Delivery   `json:"how,omitempty"`
	On         jobs.Day        `json:"on,omitempty"`
	Price      money.Amount    `json:"price,omitzero"`
	TaxPercent decimal.Decimal `json:"tax_percent,omitzero"`
	Net        money.Amount    `json:"net,omitzero"`
	PerHour    money.Amount    `json:"per_hour,omitzero"`
	Payments   []jobs.Payment  `json:"payments,omitempty"`
	Paid       money.Amount    `json:"paid,omitzero"`
	Due        money.Amount    `json:"due,omitzero"` // of the price, still to come
}

// SoldFor gives the net price of a neck: of its own sale, else of the quote that it
// was accepted from, with the agreed changes. ok is false when it was not sold.
// A quote over several necks is shared equally.
func (b *Book) SoldFor(n jobs.Neck) (net money.Amount, ok bool, err error) {
	if n.Sale != nil {
		return n.Sale.Net(b.Shop.Currency), n.Sale.How == jobs.Sold, nil
	}
	if n.Quote == "" {
		return money.Zero, false, nil
	}
	q, found, err := store.Get(b.Tx, store.Quotes, n.Quote)
	if err != nil || !found || q.Status != jobs.QuoteAccepted || len(q.Necks) == 0 {
		return money.Zero, false, err
	}
	if net, err = b.AgreedNet(q); err != nil {
		return money.Zero, false, err
	}
	scale := b.Shop.Currency.Scale()
	for i, part := range money.Split(net.Round(scale), make([]decimal.Decimal, len(q.Necks)), scale) {
		if q.Necks[i] == n.Code {
			return part, true, nil
		}
	}
	return money.Zero, false, nil
}

func (b *Book) neckSale(n jobs.Neck, cost quote.NeckCost, hours NeckHours) (NeckSale, error) {
	cur := b.Shop.Currency
	s := NeckSale{Payments: n.Payments}
	if len(n.Payments) > 0 {
		s.Paid = cur.Line(jobs.Paid(n.Payments))
	}
	net, sold, err := b.SoldFor(n)
	if err != nil {
		return s, err
	}
	if x := n.Sale; x != nil {
		s.How, s.On, s.TaxPercent = x.How, x.On, x.TaxPercent
		if sold {
			s.Price = cur.Line(x.Price)
			s.Due = s.Price.Sub(s.Paid)
		}
	} else if sold && n.Status == jobs.Finished {
		s.How = jobs.Sold
	}
	if !sold {
		return s, nil
	}
	s.Net = cur.Line(net)
	if n.Status == jobs.Finished && hours.TotalMin > 0 {
		left := net.Sub(money.Sum(cost.Supplies, cost.Bits, cost.Parts))
		s.PerHour = cur.Line(left.Div(decimal.NewFromFloat(hours.TotalMin).Div(decimal.NewFromInt(60))))
	}
	return s, nil
}

// NeckPayAsk logs money that came in for a neck.
type NeckPayAsk struct {
	Asked
	Neck   string       `json:"neck" word:"NECK"`
	Amount money.Amount `json:"amount" word:"AMOUNT"`
	Note   string       `json:"note,omitempty" word:"[NOTE...]"`
	On     jobs.Day     `json:"on,omitempty" flag:"on" arg:"DATE" help:"the DATE it came, if not today"`
}

// NeckPayResult is a payment with what the neck has had so far.
type NeckPayResult struct {
	Meta
	NeckHead
	Payment jobs.Payment `json:"payment"`
	Sale    NeckSale     `json:"sale"`
}

// NeckPay logs a payment. An amount below zero is money that went back.
var NeckPay = Define("neck pay", "NOT SAVED", Writes, (*Book).neckPay)

func (b *Book) neckPay(ask *NeckPayAsk, res *NeckPayResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	p := jobs.Payment{On: ask.On, Amount: b.Shop.Currency.Line(ask.Amount), Note: ask.Note}
	if p.On, err = b.dayUpToNow("on", ask.On); err != nil {
		return err
	}
	if err := p.Validate(); err != nil {
		return err
	}
	if sum := jobs.Paid(n.Payments).Add(p.Amount); sum.Sign() < 0 {
		return jobs.Refuse("paid", fmt.Sprintf("%s has had %s so far, so %s cannot go back", n.Name(), b.Shop.Currency.Print(jobs.Paid(n.Payments)), b.Shop.Currency.Print(p.Amount.Neg())), "neck show "+n.Name())
	}
	n.Payments = append(n.Payments, p)
	res.NeckHead, res.Payment = headOf(n), p
	cost, err := b.NeckCost(n)
	if err != nil {
		return err
	}
	if res.Sale, err = b.neckSale(n, cost, NeckHours{}); err != nil {
		return err
	}
	return store.Put(b.Tx, store.Necks, n)
}

// dayUpToNow gives a day that was said, today where none was. A day to come is a
// *jobs.FieldError.
func (b *Book) dayUpToNow(field string, said jobs.Day) (jobs.Day, error) {
	today := b.today()
	switch {
	case said == "":
		return today, nil
	case said > today:
		return said, &jobs.FieldError{Field: field, Value: string(said), Want: "a day that has been, such as " + string(today)}
	}
	return said, nil
}

// today is the civil date on the shop's wall.
func (b *Book) today() jobs.Day { return jobs.DayOf(b.Wall(b.Now)) }
