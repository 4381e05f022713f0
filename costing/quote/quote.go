package quote

import (
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// SettingsOf gives the numbers of the models with the seed and draws asked for.
func SettingsOf(a jobs.QuoteAsk) estimate.Settings {
	return estimate.Settings{Seed: a.Seed, Draws: a.Draws}.WithDefaults()
}

// Input is a copy of everything a quote is computed from.
type Input struct {
	Ask      jobs.QuoteAsk     `json:"ask"`
	At       time.Time         `json:"at"` // in the zone of the shop
	Shop     string            `json:"shop,omitempty"`
	Rates    RateCard          `json:"rates"`
	Tax      decimal.Decimal   `json:"tax_percent"`
	TaxRule  jobs.TaxRule      `json:"tax_rule"`
	Steps    []Step            `json:"steps"`
	Supplies []Supply          `json:"supplies,omitempty"`
	Wear     []Wear            `json:"wear,omitempty"`
	Unlogged estimate.Unlogged `json:"unlogged"`
	// Graph is the route, and Operations are those on it.
	Graph      jobs.Graph                     `json:"graph"`
	Operations map[string]jobs.GraphOperation `json:"operations"`
	Calendar   schedule.Habits                `json:"calendar"`
	Bench      schedule.Bench                 `json:"bench"`
	Before     []schedule.QueueNeck           `json:"before,omitempty"` // necks that come first
	Settings   estimate.Settings              `json:"settings"`
	Notes      []string                       `json:"notes,omitempty"` // warnings from gathering
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
	Decide     bool              `json:"decide,omitempty"`
	// Needs names a quantity without which the step is left out.
	Needs string `json:"needs,omitempty"`

	again bool // another session of a step that is started
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

	again bool
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

	again bool
}

// Quoted is what comes out.
type Quoted struct {
	Lines      []jobs.QuoteLine `json:"lines"`
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

// The groups of a quote's lines, in their order. The first six answer to the
// groups of a neck's cost; setups that come again, unlogged time and scrap are
// only ever quoted.
const (
	LineLabour   = "labour"
	LineResumed  = "resumed"
	LineRework   = "rework"
	LineUnlogged = "unlogged"
	LineOverhead = "overhead"
	LineSupplies = "supplies"
	LineParts    = "parts"
	LineBits     = "bits"
	LineScrap    = "scrap"
)

// lineGroups are the groups in their order.
var lineGroups = []string{LineLabour, LineResumed, LineRework, LineUnlogged, LineOverhead, LineSupplies, LineParts, LineBits, LineScrap}

// LineGroups lists the groups of a quote's lines in their order.
func LineGroups() []string { return append([]string(nil), lineGroups...) }

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
	Raised bool         `json:"raised"` // the minimum asked for more than the percentage
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
