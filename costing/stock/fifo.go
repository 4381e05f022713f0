package stock

import (
	"cmp"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// Account is who bears the value of an issue.
type Account string

// The accounts: a neck, overhead for what no neck used, and the write-off of
// what was lost, counted away or expired (also borne by overhead).
const (
	ToNeck     Account = "neck"
	ToOverhead Account = "overhead"
	WrittenOff Account = "written-off"
)

// Take is what one issue took from one lot.
type Take struct {
	Lot      uint64       `json:"lot"` // 0: found at a stock count
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	Expired  bool         `json:"expired,omitempty"` // past its date when it was used
	Settled  bool         `json:"settled,omitempty"` // the lot came after the use
}

// Issue is what one record did to the stock. Values are exact; they are
// rounded where they are printed.
type Issue struct {
	Use     jobs.SupplyUse `json:"use"`
	Account Account        `json:"account"`
	// Back is the lot that came back from a neck; quantity and value are then
	// negative. They also are where a stock count found more than was expected.
	Back     uint64       `json:"back,omitempty"`
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	// Replacement is what the same quantity would cost to buy: it differs from
	// Value where a gift was used.
	Replacement money.Amount `json:"replacement"`
	Takes       []Take       `json:"takes"`
	// Short is the part beyond the stock, not settled by a later lot: it is
	// priced at ShortValue, the last known price.
	Short      money.Qty    `json:"short,omitzero"`
	ShortValue money.Amount `json:"short_value,omitzero"`

	shortReplacement money.Amount
}

// LotState is one lot after everything that was taken from it.
type LotState struct {
	jobs.Lot
	Found    uint64       `json:"found,omitempty"` // the stock count that found it
	Left     money.Qty    `json:"left"`
	Value    money.Amount `json:"value"` // of what is left; nothing once expired
	Unit     money.Amount `json:"unit_price"`
	LastDay  jobs.Day     `json:"expires,omitempty"`
	Why      string       `json:"expires_by,omitempty"`
	Expired  bool         `json:"expired"`
	Lost     money.Amount `json:"expired_value,omitzero"` // of the remainder, borne by overhead
	taken    money.Qty
	takenFor money.Amount
}

// SupplyLedger is the account of one supply. Exactly:
//
//	ValueIn = Issued + WrittenOff + Value
//
// where Value is what is on hand less what was used beyond it at an assumed
// price.
type SupplyLedger struct {
	Supply     jobs.Supply
	Lots       []LotState // in the order in which they are used up
	Issues     []Issue    // in the order of time of use
	OnHand     money.Qty  // usable; negative when more was used than came in
	Value      money.Amount
	Expired    money.Qty // remainders past their date: not on hand
	ValueIn    money.Amount
	Issued     money.Amount // to necks and, without a neck, to overhead
	ToNecks    money.Amount
	WrittenOff money.Amount // lost, counted away, expired
	Lost       money.Amount // of that, expired remainders
	LastPrice  money.Amount // of one unit, of the lot that came last
	Known      bool         // LastPrice is known
	Warnings   []string
	zone       *time.Location
}

// dayOf is the calendar day of an instant in the shop's zone.
func (l SupplyLedger) dayOf(t time.Time) jobs.Day {
	if l.zone == nil {
		return jobs.DayOf(t)
	}
	return jobs.DayOf(t.In(l.zone))
}

// Fifo prices every use of a supply first in, first out by lot (IAS 2 permits
// it), in the order of the time of use: a lot or a use recorded late takes its
// place and everything after it is priced again. Rules:
//
//   - a use may take from two lots; one that names a lot takes from it first;
//   - an expired lot is passed over while another has stock; when it is the
//     only one it is used, marked on the issue;
//   - a use beyond the stock is priced at the last known price, and again at
//     the price of the lots that settle it, whatever their size, in the order of
//     use. What waits on is priced at the newest of them;
//   - a gift has the value zero and keeps its replacement cost;
//   - what comes back from a neck is a lot at its chosen value, and the neck is
//     credited with that value;
//   - a stock count of usable stock issues the difference to overhead; more than
//     expected is valued at the last known price and credited to overhead;
//   - the remainder of an expired lot is overhead on asOf.
//
// On the same instant purchases come before uses, uses before what comes back.
// Counts and write-offs come last, in the order in which they were typed. Records after asOf count too:
// asOf only says which lots have expired. The value taken from a lot is
// price x (taken so far)/quantity to 18 digits, less what was taken before, so
// that the parts of a lot add to its price exactly.
func Fifo(s jobs.Supply, lots []jobs.Lot, uses []jobs.SupplyUse, asOf time.Time, zone *time.Location) SupplyLedger {
	st := stock{supply: s, zone: zone, ahead: firstPrice(lots), lots: make([]LotState, 0, len(lots)), issues: make([]Issue, 0, len(uses))}
	for _, e := range inOrder(lots, uses) {
		switch {
		case e.lot != nil:
			st.receive(*e.lot)
		case e.use.Kind == jobs.UseCount:
			st.count(*e.use)
		default:
			st.issue(*e.use)
		}
	}
	return st.close(asOf)
}

// firstPrice is the price of one unit of the first lot that has one, or zero.
func firstPrice(lots []jobs.Lot) (price money.Amount) {
	var first time.Time
	for _, l := range lots {
		if l.Quantity.Sign() > 0 && !l.Price.IsZero() && !l.Source.Returns() && (first.IsZero() || l.Received.Before(first)) {
			first, price = l.Received, l.Price.Div(l.Quantity.Decimal)
		}
	}
	return price
}

type stockEvent struct {
	at   time.Time
	rank int
	id   uint64
	lot  *jobs.Lot
	use  *jobs.SupplyUse
}

func inOrder(lots []jobs.Lot, uses []jobs.SupplyUse) []stockEvent {
	events := make([]stockEvent, 0, len(lots)+len(uses))
	for i, l := range lots {
		rank := 0
		if l.Source.Returns() {
			rank = 2
		}
		events = append(events, stockEvent{l.Received, rank, l.ID, &lots[i], nil})
	}
	for i, u := range uses {
		rank := 1
		if u.Kind == jobs.UseCount || u.Kind == jobs.UseWriteOff {
			rank = 3
		}
		events = append(events, stockEvent{u.On, rank, u.ID, nil, &uses[i]})
	}
	slices.SortStableFunc(events, func(a, b stockEvent) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.rank, b.rank), cmp.Compare(a.id, b.id))
	})
	return events
}

// LotUse is one answer to "which necks used this lot".
type LotUse struct {
	Lot      uint64       `json:"lot"`
	Use      uint64       `json:"use"`
	Neck     string       `json:"neck,omitempty"`
	Step     int          `json:"step,omitempty"`
	On       time.Time    `json:"on"`
	Quantity money.Qty    `json:"quantity"`
	Value    money.Amount `json:"value"`
	Expired  bool         `json:"expired"`
	Reason   string       `json:"reason,omitempty"`
}

// UsersOf lists every issue that took from a lot, in the order of time.
func (l SupplyLedger) UsersOf(lot uint64) []LotUse {
	var out []LotUse
	for _, is := range l.Issues {
		for _, t := range is.Takes {
			if t.Lot == lot {
				out = append(out, LotUse{lot, is.Use.ID, is.Use.Neck, is.Use.Step, is.Use.On, t.Quantity, t.Value, t.Expired, is.Use.Reason})
			}
		}
	}
	return out
}

// Owed adds up what was used beyond the stock and what it is counted at.
func (l SupplyLedger) Owed() (q money.Qty, value money.Amount) {
	for _, is := range l.Issues {
		q, value = q.Plus(is.Short), value.Add(is.ShortValue)
	}
	return q, value
}

// ForNeck lists the issues that a neck bears, with what came back from it.
func (l SupplyLedger) ForNeck(neck string) []Issue {
	var out []Issue
	for _, is := range l.Issues {
		if is.Account == ToNeck && is.Use.Neck == neck {
			out = append(out, is)
		}
	}
	return out
}

// Find gives what a record came to; ok is false when it is not of this supply.
func (l SupplyLedger) Find(use uint64) (Issue, bool) {
	for _, is := range l.Issues {
		if is.Use.ID == use && is.Back == 0 {
			return is, true
		}
	}
	return Issue{}, false
}
