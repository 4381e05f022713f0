package workshop

import (
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// YearMoney is the money of a year, without tax but for Tax itself. A neck counts in
// the month when it was handed over, what was bought in the month when it came.
type YearMoney struct {
	MonthMoney
	Left       money.Amount `json:"left"` // sold less bought: before rent, tools and pay
	Months     []MonthMoney `json:"months"`
	WrittenOff money.Amount `json:"written_off"` // supplies lost, counted away or past their date
	// What the shop holds now; null for a year that is over.
	Deposits   *money.Amount `json:"deposits"` // received for necks that are not finished
	Stock      *money.Amount `json:"stock"`    // supplies and pieces
	InProgress *money.Amount `json:"in_progress"`
	SoldNecks  []string      `json:"sold_necks"`
	OpenNecks  []string      `json:"open_necks"`
	// NoPrice names what has no price on record and is in no sum.
	NoPrice []string `json:"no_price,omitempty"`
}

// MonthMoney is what was sold and bought in a month.
type MonthMoney struct {
	Month    string       `json:"month,omitempty"`
	Sold     money.Amount `json:"sold"`
	Tax      money.Amount `json:"tax"` // charged on Sold
	Parts    money.Amount `json:"parts"`
	Supplies money.Amount `json:"supplies"` // pieces of wood too
	Bits     money.Amount `json:"bits"`
}

// yearMoney adds up the money of a year.
func (b *Book) yearMoney(res *YearResult, necks []jobs.Neck) error {
	m := &YearMoney{Months: make([]MonthMoney, 12), SoldNecks: []string{}, OpenNecks: []string{}}
	for i := range m.Months {
		m.Months[i].Month = res.Months[i].Month
	}
	res.Money = m
	// in gives the month of a day of the year, nil for another year.
	in := func(d jobs.Day) *MonthMoney {
		if d == "" || d.Noon().Year() != res.Year {
			return nil
		}
		return &m.Months[d.Noon().Month()-1]
	}
	for _, step := range []func(*YearMoney, []jobs.Neck, func(jobs.Day) *MonthMoney) error{b.moneySold, b.moneyParts, b.moneyStock, b.moneyBits} {
		if err := step(m, necks, in); err != nil {
			return err
		}
	}
	if res.Running {
		if err := b.moneyHeld(m, necks); err != nil {
			return err
		}
	} else {
		m.Stock = nil
	}
	cur := b.Shop.Currency
	for i := range m.Months {
		x := &m.Months[i]
		for _, f := range []struct{ part, sum *money.Amount }{{&x.Sold, &m.Sold}, {&x.Tax, &m.Tax}, {&x.Parts, &m.Parts}, {&x.Supplies, &m.Supplies}, {&x.Bits, &m.Bits}} {
			*f.part = cur.Line(*f.part)
			*f.sum = f.sum.Add(*f.part)
		}
	}
	m.WrittenOff = cur.Line(m.WrittenOff)
	m.Left = m.Sold.Sub(m.Parts).Sub(m.Supplies).Sub(m.Bits)
	return nil
}

// moneySold counts the necks that were handed over.
func (b *Book) moneySold(m *YearMoney, necks []jobs.Neck, in func(jobs.Day) *MonthMoney) error {
	for _, n := range necks {
		if n.Status != jobs.Finished || n.Closed == nil {
			continue
		}
		on := jobs.DayOf(b.Wall(*n.Closed))
		if n.Sale != nil {
			on = n.Sale.On
		}
		x := in(on)
		if x == nil {
			continue
		}
		net, sold, err := b.SoldFor(n)
		if err != nil {
			return err
		}
		if !sold {
			if n.Customer != "" && n.Sale == nil {
				m.NoPrice = append(m.NoPrice, n.Name())
			}
			continue
		}
		tax, err := b.soldTax(n)
		if err != nil {
			return err
		}
		x.Sold, x.Tax = x.Sold.Add(b.Shop.Currency.Line(net)), x.Tax.Add(tax)
		m.SoldNecks = append(m.SoldNecks, n.Name())
	}
	return nil
}

// soldTax is the tax on the price of a neck: of its own sale, else its equal part of
// the quote's.
func (b *Book) soldTax(n jobs.Neck) (money.Amount, error) {
	if n.Sale != nil {
		return b.Shop.Currency.Line(n.Sale.Price.Sub(n.Sale.Net(b.Shop.Currency))), nil
	}
	q, found, err := store.Get(b.Tx, store.Quotes, n.Quote)
	if err != nil || !found {
		return money.Zero, err
	}
	bill, err := b.billOf(q)
	if err != nil {
		return money.Zero, err
	}
	scale := b.Shop.Currency.Scale()
	for i, part := range money.Split(bill.Tax.Round(scale), make([]decimal.Decimal, len(q.Necks)), scale) {
		if q.Necks[i] == n.Code {
			return part, nil
		}
	}
	return money.Zero, nil
}

// moneyParts counts parts that came. Each neck's own are kept with it, returned ones
// cost their freight.
func (b *Book) moneyParts(m *YearMoney, _ []jobs.Neck, in func(jobs.Day) *MonthMoney) error {
	for p, err := range store.Each(b.Tx, store.Parts) {
		if err != nil {
			return err
		}
		if x := in(p.Arrived); x != nil {
			x.Parts = x.Parts.Add(p.Cost())
		}
	}
	return nil
}

// moneyStock counts supplies and pieces of wood: bought, written off, and left.
func (b *Book) moneyStock(m *YearMoney, _ []jobs.Neck, in func(jobs.Day) *MonthMoney) error {
	left := money.Zero
	for s, err := range store.Each(b.Tx, store.Supplies) {
		if err != nil {
			return err
		}
		l, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		left = left.Add(l.Value)
		for _, lot := range l.Lots {
			if x := in(jobs.DayOf(b.Wall(lot.Received))); x != nil && lot.Source == jobs.SourceBought {
				x.Supplies = x.Supplies.Add(lot.Price)
			}
			if in(lot.LastDay) != nil {
				m.WrittenOff = m.WrittenOff.Add(lot.Lost)
			}
		}
		for _, is := range l.Issues {
			if is.Account == stock.WrittenOff && in(jobs.DayOf(b.Wall(is.Use.On))) != nil {
				m.WrittenOff = m.WrittenOff.Add(is.Value)
			}
		}
	}
	for p, err := range store.Each(b.Tx, store.Pieces) {
		if err != nil {
			return err
		}
		if x := in(jobs.DayOf(b.Wall(p.Received))); x != nil && p.From == "" {
			x.Supplies = x.Supplies.Add(p.Price)
		}
		if p.Neck == "" {
			left = left.Add(p.Price)
		}
	}
	left = b.Shop.Currency.Line(left)
	m.Stock = &left
	return nil
}

// moneyBits counts new bits and fresh edges.
func (b *Book) moneyBits(m *YearMoney, _ []jobs.Neck, in func(jobs.Day) *MonthMoney) error {
	book, err := b.BitBook()
	if err != nil {
		return err
	}
	for _, e := range book.Edges {
		x := in(jobs.DayOf(b.Wall(e.Started)))
		if x == nil {
			continue
		}
		bit, err := book.Bit(e.Bit)
		if err != nil {
			return err
		}
		price := bit.Price
		if e.No > 1 {
			price = bit.NewEdgeCost
		}
		if price.IsZero() {
			m.NoPrice = append(m.NoPrice, "bit "+e.Bit)
		}
		x.Bits = x.Bits.Add(price)
	}
	return nil
}

// moneyHeld is what the shop holds now: deposits of others, its stock, and what the
// open necks have cost so far.
func (b *Book) moneyHeld(m *YearMoney, necks []jobs.Neck) error {
	deposits, work := money.Zero, money.Zero
	counted := map[string]bool{}
	for _, n := range necks {
		if n.IsClosed() {
			continue
		}
		cost, err := b.NeckCost(n)
		if err != nil {
			return err
		}
		work = work.Add(cost.Total)
		m.OpenNecks = append(m.OpenNecks, n.Name())
		if n.Quote == "" {
			deposits = deposits.Add(jobs.Paid(n.Payments))
			continue
		}
		if counted[n.Quote] {
			continue
		}
		counted[n.Quote] = true
		q, found, err := store.Get(b.Tx, store.Quotes, n.Quote)
		if err != nil {
			return err
		}
		if found {
			bill, err := b.billOf(q)
			if err != nil {
				return err
			}
			deposits = deposits.Add(bill.Received)
		}
	}
	deposits, work = b.Shop.Currency.Line(deposits), b.Shop.Currency.Line(work)
	m.Deposits, m.InProgress = &deposits, &work
	return nil
}

// billOf is what was agreed of an accepted quote, and what was paid for its necks.
func (b *Book) billOf(q jobs.Quote) (quote.Bill, error) {
	o, err := b.offerOf(q, q.Agreed)
	if err != nil {
		return quote.Bill{}, err
	}
	bill := quote.BillOf(q, o.input, o.result, b.Tonight())
	var logged []quote.BillPayment
	open := 0
	for _, code := range q.Necks {
		n, err := b.Neck(code)
		if err != nil {
			return bill, err
		}
		for _, p := range n.Payments {
			what := p.Note
			if what == "" {
				what = "received"
			}
			logged = append(logged, quote.BillPayment{What: what, On: p.On, Amount: p.Amount})
		}
		if n.Status != jobs.Finished || n.Closed == nil {
			open++
			continue
		}
		bill.Supplied = max(bill.Supplied, jobs.DayOf(b.Wall(*n.Closed)))
	}
	if open > 0 {
		bill.Supplied = ""
	}
	return bill.With(logged), nil
}
