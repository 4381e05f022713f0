package quote

import (
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// Status is what has become of a quote or of one revision of it.
type Status string

// The states of a quote. A draft follows the records of the shop until it is
// sent; from then on nothing in it moves.
const (
	Draft      Status = "draft"
	Sent       Status = "sent"
	Accepted   Status = "accepted"
	Declined   Status = "declined"
	Superseded Status = "superseded" // a later revision was sent
)

// Quote is a priced offer. Its figures stand in its revisions.
type Quote struct {
	Code     string `json:"quote"`
	Customer string `json:"customer"`
	Title    string `json:"title,omitempty"`
	Status   Status `json:"status"`
	Revision int    `json:"revision"` // the newest
	Agreed   int    `json:"agreed,omitempty"`
	// DepositOn is the day from which an accepted quote's time runs.
	DepositOn jobs.Day      `json:"deposit_on,omitempty"`
	Accepted  jobs.Day      `json:"accepted,omitempty"`
	Declined  jobs.Day      `json:"declined,omitempty"`
	Why       string        `json:"why,omitempty"`
	Necks     []string      `json:"necks,omitempty"` // codes, once accepted
	Changes   []ChangeOrder `json:"changes,omitempty"`
	// GuessHours is what the builder thought before he saw the figure; asked
	// once, never changed.
	GuessHours float64   `json:"guess_hours,omitempty"`
	Added      time.Time `json:"added"`
}

// Revision is one version of a quote: what was asked, a copy of every input,
// and what came out. A draft has only what was asked.
type Revision struct {
	Quote  string    `json:"quote"`
	No     int       `json:"revision"`
	Status Status    `json:"status"`
	Ask    Ask       `json:"ask"`
	Input  *Input    `json:"input,omitempty"`
	Result *Quoted   `json:"result,omitempty"`
	Made   time.Time `json:"made"`
	Sent   jobs.Day  `json:"sent,omitempty"`
	Until  jobs.Day  `json:"valid_until,omitempty"`
}

// Ask is what the builder asks for.
type Ask struct {
	Route      string             `json:"route"`
	Quantities map[string]float64 `json:"quantities,omitempty"`
	Difficulty map[string]float64 `json:"difficulty,omitempty"` // by operation: 1, 1.3, 1.7
	Necks      int                `json:"necks"`                // identical ones
	Batch      bool               `json:"batch,omitempty"`      // made together: set-ups are shared
	Wood       string             `json:"wood,omitempty"`
	Veneer     string             `json:"veneer,omitempty"`
	Layout     string             `json:"layout,omitempty"` // plan code or file that gave the holes
	// HoleMM is what the bit cuts for one post hole and HoleDiaMM its size, from
	// the layout; 0 leaves them to the shop's usual depth and any bit of the set.
	HoleMM    float64           `json:"hole_mm,omitempty"`
	HoleDiaMM float64           `json:"hole_diameter_mm,omitempty"`
	Parts     []Part            `json:"parts,omitempty"`
	Arrival   *schedule.Arrival `json:"arrival,omitempty"` // of the parts
	// Margin is a percent of the price, or of the cost when Markup is set.
	Margin             decimal.Decimal   `json:"margin_percent"`
	Markup             bool              `json:"markup,omitempty"`
	RoundTo            money.Amount      `json:"round_to,omitzero"`
	HandlingPct        decimal.Decimal   `json:"handling_percent,omitzero"` // of bought-in parts
	DepositPct         decimal.Decimal   `json:"deposit_percent,omitzero"`  // of the gross price; the floor may ask for more
	Stages             []StageAsk        `json:"stages,omitempty"`
	ValidDays          int               `json:"valid_days,omitempty"`
	Due                jobs.Day          `json:"due,omitempty"`        // wished
	DepositOn          jobs.Day          `json:"deposit_on,omitempty"` // expected
	UnloggedInOverhead bool              `json:"loose_in_overhead,omitempty"`
	Spec               []string          `json:"spec,omitempty"`
	Exclusions         []string          `json:"exclusions,omitempty"`
	Wording            map[string]string `json:"wording,omitempty"` // by WordingKeys
	Note               string            `json:"note,omitempty"`
	Seed               uint64            `json:"seed,omitempty"`
	Draws              int               `json:"draws,omitempty"`
}

// Settings are the numbers of the models with the seed and draws asked for.
func (a Ask) Settings() estimate.Settings {
	return estimate.Settings{Seed: a.Seed, Draws: a.Draws}.WithDefaults()
}

// Part is something bought for the job.
type Part struct {
	Name  string       `json:"name"`
	Price money.Amount `json:"price"`
	// Wood is stuff that cannot go back once it is cut; it counts into the floor
	// of the deposit as parts do, and into what a spoilt neck takes with it.
	Wood bool `json:"wood,omitempty"`
}

// StageAsk is a payment at a point of the work, in percent of the gross price.
type StageAsk struct {
	When    string          `json:"when"`
	Percent decimal.Decimal `json:"percent"`
}

// Input is a copy of everything a quote is computed from.
type Input struct {
	Ask      Ask               `json:"ask"`
	At       time.Time         `json:"at"` // in the zone of the shop
	Shop     string            `json:"shop,omitempty"`
	Rates    RateCard          `json:"rates"`
	Tax      decimal.Decimal   `json:"tax_percent"`
	TaxRule  jobs.TaxRule      `json:"tax_rule"`
	Steps    []Step            `json:"steps"`
	Supplies []Supply          `json:"supplies,omitempty"`
	Wear     []Wear            `json:"wear,omitempty"`
	Unlogged estimate.Unlogged `json:"unlogged"`
	Calendar schedule.Calendar `json:"calendar"`
	Before   []schedule.Job    `json:"before,omitempty"` // necks that come first
	Settings estimate.Settings `json:"settings"`
	Notes    []string          `json:"notes,omitempty"` // warnings from gathering
}

// Step is one step of the route with all that its time hangs on. Under a
// batch its quantity is that of all necks; else the step is done Copies times.
type Step struct {
	Operation  string            `json:"operation"`
	Title      string            `json:"title"`
	Per        string            `json:"per"`
	Unit       string            `json:"unit"`
	Quantity   float64           `json:"quantity"`
	Copies     int               `json:"copies"`
	Difficulty float64           `json:"difficulty"`
	Standard   estimate.Standard `json:"standard"`
	Estimate   estimate.Estimate `json:"estimate"`
	Rework     float64           `json:"rework,omitempty"`
	Scrap      float64           `json:"scrap,omitempty"`
	CureMin    float64           `json:"cure_min,omitempty"`
	NoStop     bool              `json:"no_stop,omitempty"`
	Noise      bool              `json:"noise,omitempty"`
	Hardware   bool              `json:"hardware,omitempty"`
	Decide     bool              `json:"decide,omitempty"`
}

// Supply is what a step takes of a supply, at replacement price.
type Supply struct {
	Supply    string       `json:"supply"`
	Unit      string       `json:"unit"`
	Operation string       `json:"operation"` // of the step
	Quantity  money.Qty    `json:"quantity"`
	Waste     money.Qty    `json:"waste,omitzero"` // of Quantity: what is left of the mixes, however much they are for
	UnitPrice money.Amount `json:"unit_price"`
	Basis     string       `json:"basis"`
}

// Wear is a share of a bit's edge.
type Wear struct {
	What      string       `json:"what"`
	Operation string       `json:"operation"`
	CutM      float64      `json:"cut_m"`
	LifeM     float64      `json:"life_m"`
	Change    money.Amount `json:"new_edge_cost"` // a fresh edge
	Basis     string       `json:"basis"`
	Missing   string       `json:"missing,omitempty"`
}

// Quoted is what comes out.
type Quoted struct {
	Lines      []Line           `json:"lines"`
	Hours      estimate.Hours   `json:"hours"`
	Price      Price            `json:"price"`
	Promise    schedule.Promise `json:"promise"`
	LossChance float64          `json:"loss_chance"` // that the cost exceeds the net price
	SafeHours  float64          `json:"safe_hours"`
	SafeNet    money.Amount     `json:"safe_net"` // the net price had it been built on the P80 of hours
	Deposit    DepositMinimum   `json:"deposit_minimum"`
	Stages     []Stage          `json:"stages"`
	ValidDays  int              `json:"valid_days"`
	Assumed    []string         `json:"assumed"`
	Warnings   []string         `json:"warnings,omitempty"`
}

// Line is one printed line of the cost: quantity x rate, rounded once.
type Line struct {
	Group     string       `json:"group"`
	Operation string       `json:"operation,omitempty"`
	What      string       `json:"what"`
	Quantity  money.Qty    `json:"quantity"`
	Unit      string       `json:"unit"`
	Rate      money.Amount `json:"rate"`
	Amount    money.Amount `json:"amount"`
	Basis     string       `json:"basis"`
}

// The groups of a quote's lines, in their order. The first six answer to the
// groups of a neck's cost; un-logged time and scrap are only ever quoted.
const (
	LineLabour   = "labour"
	LineRework   = "rework"
	LineUnlogged = "unlogged"
	LineOverhead = "overhead"
	LineSupplies = "supplies"
	LineParts    = "parts"
	LineBits     = "bits"
	LineScrap    = "scrap"
)

// Price is how the cost becomes a price. Net = Before + Rounding, Before
// = Cost + Margin; Gross = Net + Tax.
type Price struct {
	Cost          money.Amount    `json:"cost"`
	Margin        money.Amount    `json:"margin"`
	MarginPercent decimal.Decimal `json:"margin_percent"` // of the price before rounding
	MarkupPercent decimal.Decimal `json:"markup_percent"` // of the cost
	Before        money.Amount    `json:"before_rounding"`
	Rounding      money.Amount    `json:"rounding"`
	Net           money.Amount    `json:"net"`
	TaxPercent    decimal.Decimal `json:"tax_percent"`
	TaxRule       jobs.TaxRule    `json:"tax_rule"`
	Tax           money.Amount    `json:"tax"`
	Gross         money.Amount    `json:"gross"`
	Deposit       money.Amount    `json:"deposit"`
}

// DepositMinimum is the least a deposit has to cover: what is spent before the
// first stage and cannot be got back.
type DepositMinimum struct {
	Parts  money.Amount `json:"parts"`
	Wood   money.Amount `json:"wood"`
	Design money.Amount `json:"design"`
	Total  money.Amount `json:"total"`
	Raised bool         `json:"raised"` // the floor asked for more than the percentage
}

// Stage is one payment; all stages add up to the gross price.
type Stage struct {
	When   string       `json:"when"`
	Amount money.Amount `json:"amount"`
}

// WordingKeys name the texts of a customer's sheet, in their order.
var wordingKeys = []string{"delivery", "changes", "wood", "papers", "warranty"}

// WordingKeys lists the texts that a builder can word himself.
func WordingKeys() []string { return append([]string(nil), wordingKeys...) }
