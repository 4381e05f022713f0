package workshop

import (
	"cmp"
	"math"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// SupplyReading is one supply as it is now: its account, its lots, and what to
// order. Quantities are in Unit, exact. Amounts are rounded to the printed line,
// and the account adds up: value_in = issued + written_off + value, and the
// values of the lots, less what is owed, add up to value.
type SupplyReading struct {
	Supply string    `json:"supply"`
	Title  string    `json:"title,omitempty"`
	Unit   jobs.Unit `json:"unit"`
	Label  string    `json:"label,omitempty"`
	// Supplier is where it is bought, DeliveryDays how long it takes to come.
	Supplier     string `json:"supplier,omitempty"`
	DeliveryDays int    `json:"delivery_days,omitempty"`
	Note         string `json:"note,omitempty"`

	OnHand money.Qty     `json:"on_hand"`
	Value  money.Amount  `json:"value"`
	Lots   []LotReading  `json:"lots"` // in the order in which they are used up
	Owed   *OwedReading  `json:"owed,omitempty"`
	Order  stock.Reorder `json:"reorder"`

	ValueIn    money.Amount `json:"value_in"`
	Issued     money.Amount `json:"issued"`
	ToNecks    money.Amount `json:"issued_to_necks"` // of issued
	WrittenOff money.Amount `json:"written_off"`     // lost, counted away, expired
	// CentOn names the line of the account that carries the cent of rounding:
	// "issued", "written off" or "on hand". Empty where nothing was left over.
	CentOn     string    `json:"cent_on,omitempty"`
	ReceivedQ  money.Qty `json:"received_quantity"`
	IssuedQ    money.Qty `json:"issued_quantity"`
	LostQ      money.Qty `json:"written_off_quantity"`
	FoundQ     money.Qty `json:"found_quantity,omitzero"` // of the written off: more found than expected
	Expired    money.Qty `json:"expired"`                 // remainders past their date, not on hand
	LastPrice  string    `json:"last_unit_price,omitempty"`
	Safety     money.Qty `json:"safety"`
	SuggestedQ float64   `json:"safety_suggested"`
	Doubts     []string  `json:"doubts,omitempty"`
}

// LotReading is one lot. Left and Value are what is on hand of it, LostValue what
// an expired remainder was worth.
type LotReading struct {
	Lot       uint64       `json:"lot"` // 0: found at a stock count
	Source    jobs.Source  `json:"source,omitempty"`
	Received  time.Time    `json:"received"`
	Quantity  money.Qty    `json:"quantity"`
	Left      money.Qty    `json:"left"`
	Price     money.Amount `json:"price"`
	UnitPrice money.Amount `json:"unit_price"`
	Value     money.Amount `json:"value"`
	CentOn    bool         `json:"cent_on,omitempty"` // the value carries a cent of rounding
	Opened    *time.Time   `json:"opened,omitempty"`
	Expires   *time.Time   `json:"expires"` // midnight at the beginning of the last good day
	ExpiresBy string       `json:"expires_by,omitempty"`
	Expired   bool         `json:"expired"`
	LostValue money.Amount `json:"expired_value,omitzero"`
	Found     uint64       `json:"found_by_count,omitempty"`
	Neck      string       `json:"neck,omitempty"`
	Note      string       `json:"note,omitempty"`
}

// OwedReading is what was used beyond every lot, at the price it is counted at.
type OwedReading struct {
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
}

// UseReading is one use, count or write-off. For says who is charged.
type UseReading struct {
	ID          uint64       `json:"id,omitempty"`
	Kind        jobs.UseKind `json:"kind"`
	On          time.Time    `json:"on"`
	For         string       `json:"for"`
	Neck        string       `json:"neck,omitempty"`
	Step        int          `json:"step,omitempty"`
	Entry       uint64       `json:"entry,omitempty"`
	Quantity    money.Qty    `json:"quantity"`
	Value       money.Amount `json:"value"`
	Replacement money.Amount `json:"replacement"`
	Beyond      money.Qty    `json:"beyond_stock"`
	Back        uint64       `json:"back_as_lot,omitempty"`
	Lots        []TakenLot   `json:"lots"`
	Reason      string       `json:"reason,omitempty"`
	Note        string       `json:"note,omitempty"`
}

// serviceLevel is the chance of not running out while a delivery is under way
// for which a safety quantity is suggested, and safetyWeeks how many weeks of
// history that takes (our guess).
const (
	serviceLevel = 0.90
	safetyWeeks  = 12
)

// supplyReading reads the account of a supply. planned is what the open necks
// will take of it.
func (b *Book) supplyReading(l stock.SupplyLedger, planned []stock.PlannedUse) SupplyReading {
	cur, today := b.Shop.Currency, b.Tonight()
	s := l.Supply
	r := SupplyReading{Supply: s.Name, Title: s.Title, Unit: s.Unit, Label: s.Label, Note: s.Note, Supplier: s.Supplier, DeliveryDays: s.DeliveryDays, OnHand: l.OnHand, Expired: l.Expired, Safety: s.Safety,
		Order: stock.PlanReorder(l, planned, today), ToNecks: cur.Line(l.ToNecks), Doubts: l.Warnings, Lots: []LotReading{}}
	r.Order.Cost = cur.Line(r.Order.Cost)
	for i := range r.Order.Expiring {
		r.Order.Expiring[i].Value = cur.Line(r.Order.Expiring[i].Value)
	}
	if l.Known {
		r.LastPrice = cur.UnitPrice(l.LastPrice)
	}
	if r.Order.Days >= 7*safetyWeeks {
		q, _ := stock.SafetyStock(stock.Weekly(l, today, safetyWeeks), max(s.DeliveryDays, 1), serviceLevel)
		r.SuggestedQ = math.Ceil(q)
	}
	r.account(l, cur)
	r.lots(l, b)
	return r
}

// account fills in the account in printed lines.
func (r *SupplyReading) account(l stock.SupplyLedger, cur money.Currency) {
	r.ValueIn = cur.Line(l.ValueIn)
	lines, plugged := money.AddUp(r.ValueIn, []money.Amount{l.Issued, l.WrittenOff, l.Value}, cur.Scale())
	r.Issued, r.WrittenOff, r.Value = lines[0], lines[1], lines[2]
	if plugged >= 0 {
		r.CentOn = []string{"issued", "written off", "on hand"}[plugged]
	}
	for _, x := range l.Lots {
		if x.Found == 0 && !x.Source.Returns() {
			r.ReceivedQ = r.ReceivedQ.Plus(x.Quantity)
		}
	}
	for _, is := range l.Issues {
		switch {
		case is.Account != stock.WrittenOff:
			r.IssuedQ = r.IssuedQ.Plus(is.Quantity)
		case is.Quantity.Sign() < 0:
			r.FoundQ = r.FoundQ.Minus(is.Quantity)
			fallthrough
		default:
			r.LostQ = r.LostQ.Plus(is.Quantity)
		}
	}
	r.LostQ = r.LostQ.Plus(l.Expired)
}

// lots fills in the lots and what is owed, in printed values that add to Value.
func (r *SupplyReading) lots(l stock.SupplyLedger, b *Book) {
	cur, zone := b.Shop.Currency, b.Shop.Location()
	values := make([]money.Amount, len(l.Lots), len(l.Lots)+1)
	for i, x := range l.Lots {
		values[i] = x.Value
	}
	owed, owedValue := l.Owed()
	if owed.Sign() != 0 {
		values = append(values, owedValue.Neg())
	}
	values, plugged := money.AddUp(r.Value, values, cur.Scale())
	for i, x := range l.Lots {
		j := LotReading{Lot: x.ID, Source: x.Source, Received: x.Received.In(zone), Quantity: x.Quantity, Left: x.Left, Price: cur.Line(x.Price), UnitPrice: unitPrice(cur, x.Unit),
			Value: values[i], CentOn: i == plugged, ExpiresBy: x.Why, Expired: x.Expired, LostValue: cur.Line(x.Lost), Found: x.Found, Neck: x.Neck, Note: x.Note}
		if x.LastDay != "" {
			if t, err := time.ParseInLocation(time.DateOnly, string(x.LastDay), zone); err == nil {
				j.Expires = &t
			}
		}
		if !x.Opened.IsZero() {
			t := x.Opened.In(zone)
			j.Opened = &t
		}
		r.Lots = append(r.Lots, j)
	}
	if owed.Sign() != 0 {
		r.Owed = &OwedReading{owed, values[len(values)-1].Neg()}
	}
}

// unitPrice gives the price of one unit with as many digits as it needs.
func unitPrice(cur money.Currency, a money.Amount) money.Amount {
	return money.MustParse(cur.UnitPrice(a))
}

// useReading reads one issue.
func (b *Book) useReading(is stock.Issue) UseReading {
	cur := b.Shop.Currency
	u := UseReading{ID: is.Use.ID, Kind: is.Use.Kind, On: b.Wall(is.Use.On), For: b.chargedTo(is.Use), Neck: is.Use.Neck, Step: is.Use.Step, Entry: is.Use.Entry, Quantity: is.Quantity,
		Value: cur.Line(is.Value), Replacement: cur.Line(is.Replacement), Beyond: is.Short, Back: is.Back, Reason: is.Use.Reason, Note: is.Use.Note, Lots: []TakenLot{}}
	if is.Back != 0 {
		u.ID = 0
	}
	for _, t := range is.Takes {
		u.Lots = append(u.Lots, TakenLot{t.Lot, t.Quantity, cur.Line(t.Value), t.Expired})
	}
	return u
}

// chargedTo says who is charged for a use.
func (b *Book) chargedTo(u jobs.SupplyUse) string {
	switch {
	case u.Kind == jobs.UseCount:
		return "stock count"
	case u.Kind == jobs.UseWriteOff:
		return "written off"
	case u.Neck == "":
		return "overhead"
	}
	name := cmp.Or(b.NameOf(u.Neck), u.Neck)
	if u.Cause != "" {
		name += ", rework"
	}
	return name
}
