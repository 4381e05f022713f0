package workshop

import (
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// StockChanged is what a change of the stock came to. What is the record that was
// written: "lot", "use", "count" or "write-off", under ID. Quantity and Value are
// of the record: of a count they are what is missing, negative where more was
// found. OnHand and OnValue are of the supply after it.
type StockChanged struct {
	Meta
	Supply   string       `json:"supply"`
	Unit     jobs.Unit    `json:"unit"`
	What     string       `json:"what"`
	ID       uint64       `json:"id"`
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	Counted  *money.Qty   `json:"counted,omitempty"`
	Neck     string       `json:"neck,omitempty"` // its name
	Charged  *NeckCharge  `json:"neck_charge,omitempty"`
	OnHand   money.Qty    `json:"on_hand"`
	OnValue  money.Amount `json:"on_hand_value"`
	Lots     []TakenLot   `json:"lots,omitempty"`
	Beyond   money.Qty    `json:"beyond_stock,omitzero"`
	Repriced []Repriced   `json:"repriced,omitempty"`
}

// NeckCharge is what a neck is charged for a supply once something came back.
type NeckCharge struct {
	Neck  string       `json:"neck"`
	Value money.Amount `json:"value"`
}

// TakenLot is what a record took from a lot. Lot 0 is what a stock count found.
type TakenLot struct {
	Lot      uint64       `json:"lot"`
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	Expired  bool         `json:"expired,omitempty"`
}

// Repriced is an earlier use that a change gave another value. Settled says that
// no part of it is beyond the stock any more.
type Repriced struct {
	Use     uint64       `json:"use"`
	Value   money.Amount `json:"value"`
	Was     money.Amount `json:"was"`
	Settled bool         `json:"settled,omitempty"`
}

// SupplyReceiveAsk books in a delivery.
type SupplyReceiveAsk struct {
	Asked
	Supply   string        `json:"supply" word:"NAME"`
	Quantity string        `json:"quantity" word:"QUANTITY"`
	Price    *money.Amount `json:"price,omitempty" flag:"price" help:"PRICE of the whole quantity" arg:"PRICE"`
	LateAsk
	Expires     *jobs.Day     `json:"expires,omitempty" read:"coming" flag:"expires" arg:"DATE" help:"printed DATE, the last good day"`
	Gift        bool          `json:"gift,omitempty" flag:"gift" help:"it cost nothing"`
	Replacement *money.Amount `json:"replacement,omitempty" flag:"replacement" arg:"PRICE" help:"PRICE to buy the whole of a gift"`
	Note        string        `json:"note,omitempty" flag:"note" help:"a remark"`
}

// SupplyOpenAsk marks a lot as opened.
type SupplyOpenAsk struct {
	Asked
	Supply string `json:"supply" word:"NAME"`
	Lot    uint64 `json:"lot,omitempty" flag:"lot" arg:"N" help:"lot N; else the oldest that is not open"`
	LateAsk
}

// LotOpened is a lot that was opened. Expires is its last good day, empty where
// nothing is known to end it.
type LotOpened struct {
	Meta
	Supply    string    `json:"supply"`
	Lot       uint64    `json:"lot"`
	Opened    time.Time `json:"opened"`
	Expires   jobs.Day  `json:"expires,omitempty"`
	ExpiresBy string    `json:"expires_by,omitempty"`
}

// SupplyOffcutAsk takes something back from a neck.
type SupplyOffcutAsk struct {
	Asked
	Supply   string        `json:"supply" word:"NAME"`
	Quantity string        `json:"quantity" word:"QUANTITY"`
	Neck     string        `json:"neck" flag:"neck" arg:"NECK" help:"NECK it comes back from"`
	Value    *money.Amount `json:"value,omitempty" flag:"value" arg:"VALUE" help:"VALUE of what comes back; else nothing"`
	Salvage  bool          `json:"salvage,omitempty" flag:"salvage" help:"from a neck that was scrapped"`
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// SupplyReceive books in a delivery, SupplyOpen marks a lot as opened,
// SupplyOffcut takes something back from a neck.
var (
	SupplyReceive = Define("supply receive", "NOT ADDED", Writes, (*Book).supplyReceive)
	SupplyOpen    = Define("supply open", "NOT CHANGED", Writes, (*Book).supplyOpen)
	SupplyOffcut  = Define("supply offcut", "NOT ADDED", Writes, (*Book).supplyOffcut)
)

// supplyOf reads the words NAME QUANTITY. The quantity may end in the unit.
func (b *Book) supplyOf(name, quantity string) (jobs.Supply, money.Qty, error) {
	s, err := b.FindSupply(name)
	if err != nil {
		return s, money.Qty{}, err
	}
	q, err := jobs.ReadQuantity("quantity", quantity, s.Unit)
	return s, q, err
}

func (b *Book) supplyReceive(ask *SupplyReceiveAsk, res *StockChanged) error {
	s, q, err := b.supplyOf(ask.Supply, ask.Quantity)
	if err != nil {
		return err
	}
	l := jobs.Lot{Supply: s.Name, Source: jobs.SourceBought, Quantity: q, Note: ask.Note}
	switch {
	case ask.Gift:
		l.Source = jobs.SourceGift
	case ask.Price == nil:
		typed := fmt.Sprintf("supply receive %s %s ", s.Name, ask.Quantity)
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the price of the whole quantity is missing", Type: []string{typed + "--price 12.50", typed + "--gift"}}
	}
	if ask.Price != nil {
		l.Price = *ask.Price
	}
	if ask.Replacement != nil {
		l.Replacement = *ask.Replacement
	}
	if ask.Expires != nil {
		l.LabelExpires = *ask.Expires
	}
	if l.Received, err = b.stamp(ask.On, false); err != nil {
		return err
	}
	before, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if l, err = b.ReceiveLot(l); err != nil {
		return err
	}
	if s.OnOrder != nil && l.Source == jobs.SourceBought {
		s.OnOrder = s.OnOrder.Came(l.Quantity)
		if err := store.Put(b.Tx, store.Supplies, s); err != nil {
			return err
		}
	}
	if l.LabelExpires != "" && l.LabelExpires < jobs.DayOf(b.Wall(b.Now)) {
		b.Warnf("expired", "Lot %d is past its printed date, %s.", l.ID, l.LabelExpires)
	}
	return b.lotWritten(res, s, before, l)
}

// lotWritten fills the result of a lot that was written: the stock after it and
// the uses that it gave another value.
func (b *Book) lotWritten(res *StockChanged, s jobs.Supply, before stock.SupplyLedger, l jobs.Lot) error {
	after, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	b.stockNow(res, after)
	res.What, res.ID, res.Quantity, res.Value = "lot", l.ID, l.Quantity, b.Shop.Currency.Line(l.Price)
	res.Repriced = repriced(before, after, b.Shop.Currency)
	b.warnCounted(after, l.Received, 0)
	return nil
}

// stockNow fills in what is on hand.
func (b *Book) stockNow(res *StockChanged, l stock.SupplyLedger) {
	res.Supply, res.Unit, res.OnHand, res.OnValue = l.Supply.Name, l.Supply.Unit, l.OnHand, b.Shop.Currency.Line(l.Value)
	short, price := l.Owed()
	if short.Sign() > 0 {
		b.Warn(jobs.Warning{Code: "beyond-stock", Text: fmt.Sprintf("%s %s more of %s was used than came in, counted at the last known price (%s %s). The next lots settle it.", short, l.Supply.Unit, l.Supply.Name, b.Shop.Currency, b.Shop.Currency.Print(price)),
			Hint: fmt.Sprintf("supply receive %s %s --price 12.50", l.Supply.Name, short)})
	}
}

// warnCounted says that a stock count came after what was just written: it knew
// better, so the stock does not change. l.Issues from the index first on are looked
// at.
func (b *Book) warnCounted(l stock.SupplyLedger, at time.Time, first int) {
	for _, is := range slices.Backward(l.Issues[first:]) {
		if is.Use.Kind != jobs.UseCount || is.Back != 0 || is.Use.On.Before(at) {
			continue
		}
		day := b.Wall(is.Use.On).Format(time.DateOnly)
		w := jobs.Warning{Code: "counted-since", Text: fmt.Sprintf("Stock count %d of %s came after it. The stock stays as counted.", is.Use.ID, day)}
		if is.Use.On.Sub(at) < 24*time.Hour {
			w.Text += fmt.Sprintf(" Was this later? Give its time: --on %q.", day+" HH:MM")
			w.Hint = "oops"
		}
		b.Warn(w)
		return
	}
}

// repriced gives the earlier uses that a change gave another value.
func repriced(before, after stock.SupplyLedger, cur money.Currency) []Repriced {
	var out []Repriced
	for _, is := range after.Issues {
		was, ok := before.Find(is.Use.ID)
		if !ok || is.Back != 0 || was.Value.Cmp(is.Value) == 0 && was.Short.Cmp(is.Short) == 0 {
			continue
		}
		out = append(out, Repriced{is.Use.ID, cur.Line(is.Value), cur.Line(was.Value), was.Short.Sign() > 0 && is.Short.Sign() == 0})
	}
	return out
}

func (b *Book) supplyOpen(ask *SupplyOpenAsk, res *LotOpened) error {
	s, err := b.FindSupply(ask.Supply)
	if err != nil {
		return err
	}
	on, err := b.stamp(ask.On, false)
	if err != nil {
		return err
	}
	l, err := b.OpenLot(s, ask.Lot, on)
	if err != nil {
		return err
	}
	res.Supply, res.Lot, res.Opened = s.Name, l.ID, b.Wall(on)
	res.Expires, res.ExpiresBy = l.Expires(s.OpenLifeDays, b.Shop.Location())
	return nil
}

func (b *Book) supplyOffcut(ask *SupplyOffcutAsk, res *StockChanged) error {
	s, q, err := b.supplyOf(ask.Supply, ask.Quantity)
	if err != nil {
		return err
	}
	if ask.Neck == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the neck it comes back from is missing", Type: []string{fmt.Sprintf("supply offcut %s %s --neck %s", s.Name, ask.Quantity, b.someNeck())}}
	}
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	l := jobs.Lot{Supply: s.Name, Source: jobs.SourceOffcut, Quantity: q, Neck: n.Code, Note: ask.Note}
	if ask.Salvage {
		l.Source = jobs.SourceSalvage
	}
	if ask.Value != nil {
		l.Price = *ask.Value
	}
	if l.Received, err = b.stamp(ask.On, true); err != nil {
		return err
	}
	before, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	used, worth := money.Qty{}, money.Zero
	for _, is := range before.ForNeck(n.Code) {
		used, worth = used.Plus(is.Quantity), worth.Add(is.Value)
	}
	cur := b.Shop.Currency
	if q.Cmp(used) > 0 || l.Price.Cmp(worth) > 0 {
		return jobs.Refuse("too-much", fmt.Sprintf("%s took %s %s of %s worth %s %s, and no more can come back", n.Name(), used, s.Unit, s.Name, cur, cur.Print(worth)),
			fmt.Sprintf("supply offcut %s %s --neck %s --value 0", s.Name, used, n.Name()))
	}
	if l, err = b.ReceiveLot(l); err != nil {
		return err
	}
	res.Neck, res.Charged = n.Name(), &NeckCharge{n.Code, cur.Line(worth.Sub(l.Price))}
	return b.lotWritten(res, s, before, l)
}

// someNeck is a neck of the builder's for an example.
func (b *Book) someNeck() string {
	if open, err := b.BenchNecks(); err == nil && len(open) > 0 {
		return open[0].Name()
	}
	return "N1"
}
