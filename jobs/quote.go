package jobs

import (
	"encoding/json"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// QuoteStatus is what has become of a quote or of one revision of it.
type QuoteStatus string

// The states of a quote. A draft follows the records of the shop until it is
// sent. From then on nothing in it changes.
const (
	QuoteDraft      QuoteStatus = "draft"
	QuoteSent       QuoteStatus = "sent"
	QuoteAccepted   QuoteStatus = "accepted"
	QuoteDeclined   QuoteStatus = "declined"
	QuoteSuperseded QuoteStatus = "superseded" // a later revision was sent
)

// Quote is a priced offer. Its figures are in its revisions.
type Quote struct {
	Code     string      `json:"quote"`
	Customer string      `json:"customer"`
	Title    string      `json:"title,omitempty"`
	Status   QuoteStatus `json:"status"`
	Revision int         `json:"revision"` // the newest
	Agreed   int         `json:"agreed,omitempty"`
	// DepositOn is the day from which an accepted quote's time runs.
	DepositOn Day           `json:"deposit_on,omitempty"`
	Accepted  Day           `json:"accepted,omitempty"`
	Declined  Day           `json:"declined,omitempty"`
	Why       string        `json:"why,omitempty" own:"words"`
	Necks     []string      `json:"necks,omitempty"` // codes, once accepted
	Changes   []ChangeOrder `json:"changes,omitempty"`
	// OwnHours is the builder's own estimate before any figure was shown. It is
	// asked once and never changed.
	OwnHours float64   `json:"own_estimate_h,omitempty"`
	Added    time.Time `json:"added"`
}

// Revision is one version of a quote: what was asked, a copy of every input,
// and what came out. A draft has only what was asked. costing/quote writes and
// reads the meaning of Input and Result.
type Revision struct {
	Quote  string          `json:"quote"`
	No     int             `json:"revision"`
	Status QuoteStatus     `json:"status"`
	Ask    QuoteAsk        `json:"ask"`
	Input  json.RawMessage `json:"input,omitempty"`
	Result json.RawMessage `json:"result,omitempty"`
	Made   time.Time       `json:"made"`
	Sent   Day             `json:"sent,omitempty"`
	Until  Day             `json:"valid_until,omitempty"`
}

// IsFrozen says that the figures of the revision no longer change.
func (r Revision) IsFrozen() bool { return len(r.Input) > 0 && len(r.Result) > 0 }

// QuoteAsk is what the builder asks for.
type QuoteAsk struct {
	Route      string             `json:"route"`
	Quantities map[string]float64 `json:"quantities,omitempty"`
	Difficulty map[string]float64 `json:"difficulty,omitempty"` // by operation: 1, 1.3, 1.7
	Necks      int                `json:"necks"`                // identical ones
	Batch      bool               `json:"batch,omitempty"`      // made together: setups are shared
	Wood       string             `json:"wood,omitempty"`
	Veneer     string             `json:"veneer,omitempty"`
	Layout     string             `json:"layout,omitempty"` // plan code or file that gave the holes
	// HoleMM is what the bit cuts for one post hole and HoleDiaMM its size, from
	// the layout. 0 leaves them to the shop's usual depth and any show bit.
	HoleMM    float64     `json:"hole_mm,omitempty"`
	HoleDiaMM float64     `json:"hole_diameter_mm,omitempty"`
	Parts     []QuotePart `json:"parts,omitempty"`
	Arrival   *Arrival    `json:"arrival,omitempty"` // of the parts
	// Margin is a percent of the price, or of the cost when Markup is set.
	Margin             decimal.Decimal   `json:"margin_percent"`
	Markup             bool              `json:"markup,omitempty"`
	RoundTo            money.Amount      `json:"round_to,omitzero"`
	HandlingPct        decimal.Decimal   `json:"handling_percent,omitzero"` // of the parts that are bought
	DepositPct         decimal.Decimal   `json:"deposit_percent,omitzero"`  // of the gross price; the minimum may ask for more
	Stages             []StageAsk        `json:"stages,omitempty"`
	ValidDays          int               `json:"valid_days,omitempty"`
	Due                Day               `json:"due,omitempty"`        // wanted by the customer
	DepositOn          Day               `json:"deposit_on,omitempty"` // expected
	UnloggedInOverhead bool              `json:"unlogged_in_overhead,omitempty"`
	Spec               []string          `json:"spec,omitempty"`
	Exclusions         []string          `json:"exclusions,omitempty"`
	Wording            map[string]string `json:"wording,omitempty"` // by the keys of the customer's paper
	Note               string            `json:"note,omitempty"`
	Seed               uint64            `json:"seed,omitempty"`
	Draws              int               `json:"draws,omitempty"`
}

// QuotePart is something bought for the job.
type QuotePart struct {
	Name  string       `json:"name"`
	Price money.Amount `json:"price"`
	// Wood is stuff that cannot go back once it is cut. It counts into the
	// minimum deposit as parts do, and into what a spoilt neck takes with it.
	Wood bool `json:"wood,omitempty"`
}

// String gives a part as it is typed: "tuners=84.00".
func (p QuotePart) String() string { return p.Name + "=" + p.Price.String() }

// StageAsk is a payment at a point of the work, in percent of the gross price.
type StageAsk struct {
	When    string          `json:"when"`
	Percent decimal.Decimal `json:"percent"`
}

// String gives a payment as it is typed: "drilled=40".
func (s StageAsk) String() string { return s.When + "=" + s.Percent.String() }

// Arrival is a date that is not certain: likely by Likely, and by Safe with a
// chance of 80 %.
type Arrival struct {
	Likely Day `json:"likely"`
	Safe   Day `json:"safe"`
}

// QuoteLine is one printed line of a cost: quantity x rate, rounded once.
type QuoteLine struct {
	Group     string       `json:"group"`
	Operation string       `json:"operation,omitempty"`
	What      string       `json:"what"`
	Quantity  money.Qty    `json:"quantity"`
	Unit      string       `json:"unit"`
	Rate      money.Amount `json:"rate"`
	Amount    money.Amount `json:"amount"`
	Basis     string       `json:"basis"`
}
