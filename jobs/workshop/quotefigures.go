package workshop

import (
	"math"
	"slices"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// QuoteFigures is one revision of a quote with everything that comes out of it.
// Hours and minutes are rounded to hundredths, chances to ten-thousandths.
type QuoteFigures struct {
	Quote    string           `json:"quote"`
	Revision int              `json:"revision"`
	Status   jobs.QuoteStatus `json:"status"` // of this revision
	Customer string           `json:"customer"`
	Title    string           `json:"title,omitempty"`
	Sent     jobs.Day         `json:"sent,omitempty"`
	Until    jobs.Day         `json:"valid_until,omitempty"`
	OwnHours float64          `json:"own_estimate_h,omitempty"`
	Necks    []string         `json:"necks,omitempty"` // codes, once accepted
	Promised jobs.Day         `json:"promised,omitempty"`
	Ask      jobs.QuoteAsk    `json:"ask"`

	Lines      []jobs.QuoteLine     `json:"lines"`
	Groups     []QuoteGroup         `json:"groups"`  // the lines added up
	Summary    []QuoteGroup         `json:"summary"` // the same in fewer rows
	Short      []QuoteGroup         `json:"short"`   // in still fewer
	Price      quote.Price          `json:"price"`
	Minimum    quote.DepositMinimum `json:"deposit_minimum"`
	DepositPct decimal.Decimal      `json:"deposit_percent"`
	Stages     []quote.Stage        `json:"stages"`
	Hours      QuoteHours           `json:"hours"`
	LossChance float64              `json:"loss_chance"`
	SafeNet    money.Amount         `json:"safe_net"` // the net price built on the safe hours
	Promise    QuotePromise         `json:"promise"`
	Rates      quote.RateCard       `json:"rates"`
	Unlogged   Unlogged             `json:"unlogged"`
	Steps      []QuoteStep          `json:"steps"`
	Assumed    []string             `json:"assumed"`
	Notes      []string             `json:"notes,omitempty"` // what to know before sending it
	Cautions   []string             `json:"cautions,omitempty"`

	Changes []jobs.ChangeOrder `json:"changes,omitempty"`
	// WithChanges is the price with every accepted change, where there is one.
	WithChanges *quote.Bill `json:"with_changes,omitempty"`
}

// QuoteGroup is the sum of the lines of a group. Hours is 0 where none are
// charged by the hour.
type QuoteGroup struct {
	Group  string       `json:"group"`
	Lines  int          `json:"lines"`
	Hours  float64      `json:"hours,omitempty"`
	Amount money.Amount `json:"amount"`
}

// QuoteHours are the hours at the bench. Percentiles of single steps do not add
// up, so these come from a simulation of the whole job.
type QuoteHours struct {
	P50     float64   `json:"p50"`
	P80     float64   `json:"p80"`
	P90     float64   `json:"p90"`
	Mean    float64   `json:"mean"`
	Resumed float64   `json:"resumed"` // of Mean: setups that come again
	P50Err  float64   `json:"p50_error"`
	P80Err  float64   `json:"p80_error"`
	P90Err  float64   `json:"p90_error"`
	Evening float64   `json:"evening"` // Mean with unlogged time
	Curve   []float64 `json:"curve"`   // hours at 5, 10 .. 95 %
	Draws   int       `json:"draws"`
	Seed    uint64    `json:"seed"`
}

// QuotePromise is when it can be finished. Dates are empty where no working
// evenings are set up.
type QuotePromise struct {
	Likely      jobs.Day        `json:"likely"`
	Safe        jobs.Day        `json:"safe"`
	P90         jobs.Day        `json:"p90"`
	Starts      jobs.Day        `json:"starts"` // day of the deposit
	LikelyWeeks float64         `json:"likely_weeks"`
	SafeWeeks   float64         `json:"safe_weeks"`
	Due         jobs.Day        `json:"due,omitempty"` // wanted by the customer
	DueChance   *float64        `json:"due_chance,omitempty"`
	Moves       []schedule.Move `json:"moves"`                       // what moves the safe date, in days
	Shortest    float64         `json:"shortest_evenings,omitempty"` // with the bench to itself
	Path        []string        `json:"longest_path,omitempty"`
	Basis       []string        `json:"basis"`
	Draws       int             `json:"draws"`
}

// Unlogged is how much longer evenings are than their logged work.
type Unlogged struct {
	Factor     float64 `json:"factor"`
	Percent    float64 `json:"percent"`
	Evenings   int     `json:"evenings"` // 0: assumed
	InOverhead bool    `json:"in_overhead,omitempty"`
}

// QuoteStep is one step of a quote with its times.
type QuoteStep struct {
	Step        int     `json:"step"`
	Operation   string  `json:"operation"`
	Quantity    float64 `json:"quantity"`
	Unit        string  `json:"unit"`
	Times       int     `json:"times"`
	Difficulty  float64 `json:"difficulty"`
	SetupMin    float64 `json:"setup_min"`
	RunMin      float64 `json:"run_min"`
	StandardMin float64 `json:"standard_min"`
	LikelyMin   float64 `json:"likely_min"`
	MeanMin     float64 `json:"mean_min"`
	SafeMin     float64 `json:"safe_min"`
	N           int     `json:"n"` // past jobs
	Rework      float64 `json:"rework_chance,omitempty"`
	CureH       float64 `json:"cure_h,omitempty"`
	Basis       string  `json:"basis"`
}

// round4 rounds chances as results give them.
func round4(x float64) float64 { return math.Round(x*1e4) / 1e4 }

// figures gives an offer as results show it.
func (o offer) figures() *QuoteFigures {
	q, r, in, out := o.quote, o.revision, o.input, o.result
	f := &QuoteFigures{Quote: q.Code, Revision: r.No, Status: r.Status, Customer: q.Customer, Title: q.Title, Sent: r.Sent, Until: r.Until,
		OwnHours: jobs.Round2(q.OwnHours), Necks: q.Necks, Promised: o.promised, Ask: in.Ask, Lines: out.Lines, Groups: groupsOf(out.Lines, in.Rates.Currency), Summary: sumsOf(out.Lines, in.Rates.Currency, summaryRows), Short: sumsOf(out.Lines, in.Rates.Currency, shortRows), Price: out.Price,
		Minimum: out.Deposit, DepositPct: in.Ask.DepositPct, Stages: out.Stages, Hours: hoursOf(in, out), LossChance: round4(out.LossChance), SafeNet: out.SafeNet,
		Promise: promiseOf(in, out), Rates: in.Rates, Assumed: out.Assumed, Notes: out.Warnings, Changes: q.Changes, Cautions: o.cautions,
		Unlogged: Unlogged{Factor: jobs.Round3(in.Unlogged.Factor), Percent: jobs.Round2(100 * (in.Unlogged.Factor - 1)), Evenings: in.Unlogged.Evenings, InOverhead: in.Ask.UnloggedInOverhead}}
	f.Price.MarginPercent, f.Price.MarkupPercent = out.Price.MarginPercent.Round(2), out.Price.MarkupPercent.Round(2)
	if f.DepositPct.Sign() <= 0 {
		f.DepositPct = quote.DefaultDepositPct()
	}
	for i, s := range in.Steps {
		e := s.Estimate
		f.Steps = append(f.Steps, QuoteStep{Step: i + 1, Operation: s.Operation, Quantity: s.Quantity, Unit: s.Unit, Times: s.Copies, Difficulty: s.Difficulty,
			SetupMin: jobs.Round2(s.Standard.SetupMin), RunMin: jobs.Round2(s.Standard.RunMin), StandardMin: jobs.Round2(e.StandardMin), LikelyMin: jobs.Round2(e.LikelyMin),
			MeanMin: jobs.Round2(e.MeanMin), SafeMin: jobs.Round2(e.SafeMin), N: e.N, Rework: round4(s.Rework), CureH: jobs.Round2(s.CureMin / 60), Basis: e.Basis})
	}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted {
			bill := quote.BillOf(q, in, out, "")
			f.WithChanges = &bill
			break
		}
	}
	return f
}

// sumRow is a row of a summary: its name and the groups that it adds up.
type sumRow struct {
	name   string
	groups []string
}

var (
	summaryRows = []sumRow{{"labour", []string{quote.LineLabour}}, {"setups again", []string{quote.LineResumed}}, {"rework", []string{quote.LineRework}}, {"unlogged", []string{quote.LineUnlogged}}, {"overhead", []string{quote.LineOverhead}},
		{"parts", []string{quote.LineParts}}, {"supplies, bits", []string{quote.LineSupplies, quote.LineBits}}, {"scrap allowance", []string{quote.LineScrap}}}
	shortRows = []sumRow{{"labour, rework", []string{quote.LineLabour, quote.LineResumed, quote.LineRework}}, {"unlogged", []string{quote.LineUnlogged}}, {"overhead", []string{quote.LineOverhead}},
		{"parts, supplies, bits", []string{quote.LineParts, quote.LineSupplies, quote.LineBits}}, {"scrap allowance", []string{quote.LineScrap}}}
)

// groupsOf adds the printed lines up by group, in the order of a quote.
func groupsOf(lines []jobs.QuoteLine, cur money.Currency) []QuoteGroup {
	var rows []sumRow
	for _, g := range quote.LineGroups() {
		rows = append(rows, sumRow{g, []string{g}})
	}
	return sumsOf(lines, cur, rows)
}

// sumsOf adds the printed lines up by row. A row without lines is left out.
func sumsOf(lines []jobs.QuoteLine, cur money.Currency, rows []sumRow) []QuoteGroup {
	out := []QuoteGroup{}
	for _, row := range rows {
		g := QuoteGroup{Group: row.name, Amount: cur.Line(money.Zero)}
		hours := decimal.Zero
		for _, l := range lines {
			if !slices.Contains(row.groups, l.Group) {
				continue
			}
			g.Lines++
			g.Amount = g.Amount.Add(l.Amount)
			if l.Unit == "h" && l.Group != quote.LineOverhead {
				hours = hours.Add(l.Quantity.Decimal)
			}
		}
		if g.Hours, _ = hours.Float64(); g.Lines > 0 {
			out = append(out, g)
		}
	}
	return out
}

func hoursOf(in quote.Input, out quote.Quoted) QuoteHours {
	h := out.Hours
	r := QuoteHours{P50: jobs.Round2(h.P50), P80: jobs.Round2(h.P80), P90: jobs.Round2(h.P90), Mean: jobs.Round2(h.Mean), Resumed: jobs.Round2(h.Resumed), P50Err: jobs.Round2(h.P50Error), P80Err: jobs.Round2(h.P80Error),
		P90Err: jobs.Round2(h.P90Error), Evening: jobs.Round2(h.Mean * max(in.Unlogged.Factor, 1)), Draws: h.Draws, Seed: h.Seed}
	for _, x := range h.Curve {
		r.Curve = append(r.Curve, jobs.Round2(x))
	}
	return r
}

func promiseOf(in quote.Input, out quote.Quoted) QuotePromise {
	p := out.Promise
	r := QuotePromise{Likely: p.Likely, Safe: p.Safe, P90: p.P90, Starts: p.Starts, LikelyWeeks: p.LikelyWeeks, SafeWeeks: p.SafeWeeks, Due: in.Ask.Due, Moves: p.Moves, Shortest: jobs.Round1(p.Shortest), Path: p.Path, Basis: p.Basis, Draws: p.Draws}
	if p.DueChance != nil {
		chance := round4(*p.DueChance)
		r.DueChance = &chance
	}
	return r
}
