package quote

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// CostGroup is a heading of the cost sheet; the total is the sum of the groups.
type CostGroup string

// The groups, in the order of the sheet.
const (
	GroupLabour   CostGroup = "labour"
	GroupOverhead CostGroup = "overhead"
	GroupSupplies CostGroup = "supplies"
	GroupBits     CostGroup = "bits"
	GroupParts    CostGroup = "parts"
	GroupRework   CostGroup = "rework"
)

// CostGroups lists the groups in the order of the sheet.
func CostGroups() []CostGroup {
	return []CostGroup{GroupLabour, GroupOverhead, GroupSupplies, GroupBits, GroupParts, GroupRework}
}

// Marks on a line whose amount is not all fact.
const (
	MarkAssumed   = "assumed"   // an end that was not clocked, a price not known yet
	MarkEstimated = "estimated" // a share of an expected life
	MarkRunning   = "running"   // work that is still on
	MarkGift      = "gift"      // cost nothing; would cost Replacement
	MarkExpired   = "expired"   // used past its date
	MarkSalvage   = "salvage"   // came back from the neck
)

// CostLine is one printed line. Amount is rounded once, half away from zero;
// all totals add lines. Key names what the line is about ("labour@34.00",
// "supply:glue", "part:3"), so that a quote's line can be set against it.
type CostLine struct {
	Group    CostGroup    `json:"group"`
	Key      string       `json:"key"`
	What     string       `json:"what"`
	Seconds  int64        `json:"seconds,omitzero"` // of logged time, exact
	Minutes  float64      `json:"minutes,omitzero"`
	Quantity money.Qty    `json:"quantity,omitzero"`
	Unit     string       `json:"unit,omitempty"`
	Rate     money.Amount `json:"rate,omitzero"`
	Amount   money.Amount `json:"amount"`
	// Replacement is what the line would cost at replacement, where that differs.
	Replacement money.Amount `json:"replacement,omitzero"`
	Cause       string       `json:"cause,omitempty"`
	Payer       string       `json:"payer,omitempty"`
	Marks       []string     `json:"marks,omitempty"`
	Basis       string       `json:"basis,omitempty"`
}

// WorkShare is one neck's share of one entry, in whole seconds.
type WorkShare struct {
	Entry     uint64
	Operation string
	Class     jobs.Class
	Span      time.Duration
	Cause     string
	Payer     string
	Assumed   bool // the end was not clocked
	Running   bool
}

// BitWear is one neck's wear on one edge: Share of the edge's expected life
// (cut metres over expected cut metres), priced at what a fresh edge costs.
type BitWear struct {
	Bit      string
	Edge     int
	CutM     float64
	LifeM    float64 // expected
	Change   money.Amount
	Basis    string // where the expected life comes from
	Reworked bool   // drilled again after plugging
}

// NeckInput is everything a neck has cost so far.
type NeckInput struct {
	Neck   jobs.Neck
	Rates  RateCard
	Work   []WorkShare
	Issues []stock.Issue // of this neck, from the ledgers of all supplies
	Units  map[string]jobs.Supply
	Pieces []jobs.Piece // used for this neck
	Cuts   []jobs.Piece // cut off those pieces and kept
	Bits   []BitWear
	Parts  []jobs.Part
	Stage  string // the last step done, for a scrapped neck
}

// Scrap is what a scrapped neck took with it.
type Scrap struct {
	Stage    string       `json:"stage"`
	Minutes  float64      `json:"minutes"`
	Sunk     money.Amount `json:"sunk"`     // before anything came back
	Salvaged money.Amount `json:"salvaged"` // value that came back to the stock
	Loss     money.Amount `json:"loss"`
	Why      string       `json:"why,omitempty"`
}

// NeckCost is what a neck has cost. Total = Labour + Overhead + Supplies +
// Bits + Parts + Rework, each the sum of its printed lines. The figures below
// Total are parts of it or separate figures, and are not added to it.
type NeckCost struct {
	Labour   money.Amount `json:"labour"`
	Overhead money.Amount `json:"overhead"`
	Supplies money.Amount `json:"supplies"`
	Bits     money.Amount `json:"bits"`
	Parts    money.Amount `json:"parts"`
	Rework   money.Amount `json:"rework"`
	Total    money.Amount `json:"total"`

	Decisions    money.Amount     `json:"decisions"`     // of Labour: hours of deciding
	Assumed      money.Amount     `json:"assumed"`       // lines with a part that is assumed or estimated
	CustomerPays money.Amount     `json:"customer_pays"` // of Rework: what the customer caused and pays
	Replacement  money.Amount     `json:"replacement"`   // Total with gifts at what they would cost
	Scrap        *Scrap           `json:"scrap,omitempty"`
	Lines        []CostLine       `json:"lines"`
	Operations   []OperationHours `json:"operations,omitempty"`
	Warnings     []string         `json:"warnings,omitempty"`
}

// OperationHours is the time an operation took on a neck, in its classes.
type OperationHours struct {
	Operation string     `json:"operation"`
	Class     jobs.Class `json:"class"`
	Minutes   float64    `json:"minutes"`
	Assumed   float64    `json:"assumed_min,omitzero"`
	span      time.Duration
	assumed   time.Duration
}

// Group gives the sum of a group's lines.
func (c NeckCost) Group(g CostGroup) money.Amount {
	return map[CostGroup]money.Amount{GroupLabour: c.Labour, GroupOverhead: c.Overhead, GroupSupplies: c.Supplies,
		GroupBits: c.Bits, GroupParts: c.Parts, GroupRework: c.Rework}[g]
}

// SuppliesAndBits adds two groups that a short screen shows in one line.
func (c NeckCost) SuppliesAndBits() money.Amount { return c.Supplies.Add(c.Bits) }

// CostNeck draws up the cost sheet of a neck.
//
// Labour is one line for each rate, first passes and decisions apart; overhead
// is one line over the same hours. Rework has its own lines by cause:
// its hours at labour + overhead, its supplies at their price. Supplies are one
// line each, at the price of the lots they came from. A bit is worn by its
// share of the expected life of its edge; it is there for the decision, not
// for the money.
func CostNeck(in NeckInput) NeckCost {
	s := sheet{cur: in.Rates.Currency}
	s.work(in)
	s.supplies(in)
	s.pieces(in)
	s.bits(in)
	s.parts(in)
	return s.total(in)
}

type sheet struct {
	cur        money.Currency
	lines      []CostLine
	operations []OperationHours
	warn       []string
}

// add rounds a line once; a line of nothing at all is left out.
func (s *sheet) add(l CostLine) {
	l.Amount = s.cur.Line(l.Amount)
	if !l.Replacement.IsZero() {
		if l.Replacement = s.cur.Line(l.Replacement); l.Replacement.Cmp(l.Amount) == 0 {
			l.Replacement = money.Zero
		}
	}
	l.Minutes = minutesOf(l.Span())
	slices.Sort(l.Marks)
	l.Marks = slices.Compact(l.Marks)
	s.lines = append(s.lines, l)
}

// minutesOf gives minutes to hundredths.
func minutesOf(d time.Duration) float64 { return jobs.Round2(float64(d/time.Second) / 60) }

// Span is the logged time of the line, exact.
func (l CostLine) Span() time.Duration { return time.Duration(l.Seconds) * time.Second }

func (s *sheet) total(in NeckInput) NeckCost {
	order := CostGroups()
	slices.SortStableFunc(s.lines, func(a, b CostLine) int {
		return cmp.Compare(slices.Index(order, a.Group), slices.Index(order, b.Group))
	})
	zero := s.cur.Line(money.Zero)
	out := NeckCost{Labour: zero, Overhead: zero, Supplies: zero, Bits: zero, Parts: zero, Rework: zero, Total: zero,
		Decisions: zero, Assumed: zero, CustomerPays: zero, Replacement: zero, Lines: s.lines, Operations: s.operations, Warnings: s.warn}
	sums := map[CostGroup]*money.Amount{GroupLabour: &out.Labour, GroupOverhead: &out.Overhead, GroupSupplies: &out.Supplies,
		GroupBits: &out.Bits, GroupParts: &out.Parts, GroupRework: &out.Rework}
	salvaged := zero
	for _, l := range s.lines {
		*sums[l.Group] = sums[l.Group].Add(l.Amount)
		out.Total = out.Total.Add(l.Amount)
		if l.Replacement.IsZero() {
			out.Replacement = out.Replacement.Add(l.Amount)
		} else {
			out.Replacement = out.Replacement.Add(l.Replacement)
		}
		if slices.Contains(l.Marks, MarkAssumed) || slices.Contains(l.Marks, MarkEstimated) || slices.Contains(l.Marks, MarkRunning) {
			out.Assumed = out.Assumed.Add(l.Amount)
		}
		if l.Group == GroupLabour && l.Cause == string(jobs.Deciding) {
			out.Decisions = out.Decisions.Add(l.Amount)
		}
		if l.Group == GroupRework && l.Payer == "customer" {
			out.CustomerPays = out.CustomerPays.Add(l.Amount)
		}
		if slices.Contains(l.Marks, MarkSalvage) {
			salvaged = salvaged.Sub(l.Amount)
		}
	}
	if in.Neck.Status == jobs.Scrapped {
		var span time.Duration
		for _, w := range in.Work {
			span += w.Span
		}
		out.Scrap = &Scrap{Stage: in.Stage, Minutes: minutesOf(span), Sunk: out.Total.Add(salvaged), Salvaged: salvaged, Loss: out.Total, Why: in.Neck.Why}
	}
	return out
}

// hoursText prints 8 h 20 min.
func hoursText(d time.Duration) string {
	h, m := int(d.Hours()), int(d.Minutes())%60
	if d%time.Minute >= 30*time.Second {
		m++
	}
	if m == 60 {
		h, m = h+1, 0
	}
	switch {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	}
	return fmt.Sprintf("%d h %02d min", h, m)
}
