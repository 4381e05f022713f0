package workshop

import (
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckShowAsk asks for everything about one neck.
type NeckShowAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
	// Undated leaves the promised date out, which takes longest.
	Undated bool `json:"undated,omitempty"`
}

// NeckShowResult is one neck with its steps, hours, cost, date and plan.
type NeckShowResult struct {
	Meta
	NeckHead
	Veneer   string         `json:"veneer,omitempty"`
	Route    string         `json:"route"`
	Why      string         `json:"why,omitempty" own:"words"` // of a hold or a scrapping
	Starts   jobs.Day       `json:"starts,omitempty"`
	Added    time.Time      `json:"added"`
	Closed   *time.Time     `json:"closed,omitempty"`
	Papers   string         `json:"papers,omitempty"`
	Quote    string         `json:"quote,omitempty"`
	Notes    []NeckRemark   `json:"notes"`
	Steps    []NeckStep     `json:"steps"`
	Progress NeckProgress   `json:"progress"`
	Hours    NeckHours      `json:"hours"`
	Promise  *NeckPromise   `json:"promise,omitempty"`
	Parts    []PartRow      `json:"parts"`
	Cost     quote.NeckCost `json:"cost"`
	AtEnd    money.Amount   `json:"cost_at_end,omitzero"` // expected: Cost and what is left
	Rates    quote.RateCard `json:"rates"`
	Sale     NeckSale       `json:"sale"`
	Layout   *NeckPlan      `json:"layout"`
	Review   *quote.Review  `json:"review,omitempty"` // against the quote it was accepted from
	Late     int            `json:"changed_after_closing,omitempty"`
	Cautions []string       `json:"cautions,omitempty"`
}

// NeckHead names a neck.
type NeckHead struct {
	Neck     string      `json:"neck"`
	Nickname string      `json:"nickname"`
	Title    string      `json:"title"`
	Customer string      `json:"customer"`
	Wood     string      `json:"wood"`
	Status   jobs.Status `json:"status"`
	Due      jobs.Day    `json:"due"`
}

func headOf(n jobs.Neck) NeckHead {
	return NeckHead{Neck: n.Code, Nickname: n.Nickname, Title: n.Title, Customer: n.Customer, Wood: n.Wood, Status: n.Status, Due: n.Due}
}

// Name is the nickname where there is one, else the code.
func (h NeckHead) Name() string {
	if h.Nickname != "" {
		return h.Nickname
	}
	return h.Neck
}

// Full is the name with the code behind it: "ada (N1)".
func (h NeckHead) Full() string {
	if h.Nickname == "" {
		return h.Neck
	}
	return h.Nickname + " (" + h.Neck + ")"
}

// IsClosed says that the neck is finished or scrapped.
func (h NeckHead) IsClosed() bool { return h.Status == jobs.Finished || h.Status == jobs.Scrapped }

// NeckStep is one step of a neck. A started step has the estimate of what is
// left of it.
type NeckStep struct {
	Step         int            `json:"step"`
	Operation    string         `json:"operation"`
	State        jobs.StepState `json:"state"`
	Quantity     float64        `json:"quantity"`
	Unit         string         `json:"unit"`
	QuantityText string         `json:"quantity_text"`  // "14 inlays"
	Needs        []int          `json:"needs"`          // numbers of the steps that it needs
	After        []string       `json:"after"`          // the same by name, with how far each must be
	WaitsFor     []string       `json:"waits_for"`      // operations that are not done or not cured
	Gate         jobs.Gate      `json:"gate,omitempty"` // that a record has to open first
	Order        int            `json:"order"`          // in which the steps left may be done, from 1
	Group        string         `json:"group,omitempty"`
	Errand       bool           `json:"errand,omitempty"` // an errand or a decision
	SetupMin     float64        `json:"setup_min"`
	RunMin       float64        `json:"run_min"`
	LikelyMin    float64        `json:"likely_min"`
	SafeMin      float64        `json:"safe_min"`
	ActualMin    float64        `json:"actual_min"`
	ReworkMin    float64        `json:"rework_min,omitempty"`
	CureH        float64        `json:"cure_h,omitempty"`
	DoneAt       *time.Time     `json:"done_at,omitempty"`
	ReadyAt      *time.Time     `json:"ready_at,omitempty"`
	Scuff        bool           `json:"scuff,omitempty"`   // too long after the coat before: scuff it first
	Assumed      bool           `json:"assumed,omitempty"` // an end in it was not clocked
	Difficulty   float64        `json:"difficulty,omitempty"`
	Skip         string         `json:"skip,omitempty"`
	Basis        string         `json:"basis"`
	Note         string         `json:"note,omitempty"`
}

// IsDone says that the step was done, cured or not.
func (s NeckStep) IsDone() bool { return s.DoneAt != nil && s.State != jobs.On }

// IsLeft says that the step is still to be done.
func (s NeckStep) IsLeft() bool { return !s.IsDone() && s.State != jobs.Skipped }

// NeckProgress counts the steps that do not fall away. Share is the part of their
// likely minutes that is done.
type NeckProgress struct {
	Done  int     `json:"steps_done"`
	Steps int     `json:"steps"`
	Share float64 `json:"share"`
}

// NeckHours is the time logged on a neck, and the average time that is left.
type NeckHours struct {
	TotalMin   float64 `json:"total_min"`
	FirstMin   float64 `json:"first_min"`
	ReworkMin  float64 `json:"rework_min"`
	DecideMin  float64 `json:"decide_min"`
	OutsideMin float64 `json:"outside_min"` // on no step of the route
	Evenings   int     `json:"evenings"`
	LeftH      float64 `json:"left_h"`
}

// NeckPlan is the newest layout plan of a neck.
type NeckPlan struct {
	Code      string `json:"code"`
	Version   int    `json:"version"`
	Mode      string `json:"mode"`
	Holes     int    `json:"holes"`
	Drilled   int    `json:"drilled"`
	Frozen    bool   `json:"frozen"`
	OutOfDate string `json:"out_of_date,omitempty"` // why
}

// NeckShow shows one neck.
var NeckShow = Define("neck show", "", Long, (*Book).neckShow)

func (b *Book) neckShow(ask *NeckShowAsk, res *NeckShowResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	entries, err := b.NeckEntries(n.Code)
	if err != nil {
		return err
	}
	entries = b.settleView(entries)
	met, err := b.met(n)
	if err != nil {
		return err
	}
	st := jobs.Derive(n, entries, b.Operations, b.Shop, b.Now, met...)
	res.NeckHead, res.Late = headOf(n), st.Late
	res.Veneer, res.Route, res.Why, res.Starts, res.Papers, res.Quote = n.Veneer, n.Route, n.Why, n.Starts, n.Papers, n.Quote
	res.Added, res.Notes = b.Wall(n.Added), b.remarks(n, entries)
	if n.Closed != nil {
		at := b.Wall(*n.Closed)
		res.Closed = &at
	}
	if res.Steps, err = b.neckSteps(st); err != nil {
		return err
	}
	res.Progress = progressOf(res.Steps)
	res.Hours = b.neckHours(n.Code, entries)
	if err := b.neckMoney(n, res); err != nil {
		return err
	}
	if !n.IsClosed() {
		left, err := b.leftMin(st)
		if err != nil {
			return err
		}
		res.Hours.LeftH = jobs.Round2(left / 60)
		if !ask.Undated {
			if res.Promise, err = b.promiseOf(n); err != nil {
				return err
			}
			if res.AtEnd, err = b.costAtEnd(st, res.Cost, res.Rates); err != nil {
				return err
			}
		}
	}
	if res.Layout, err = b.neckPlan(st); err != nil {
		return err
	}
	if res.Review, err = b.neckReview(n); err != nil {
		return err
	}
	res.Cautions, err = b.neckCautions(n)
	return err
}

// neckSteps gives the steps of a neck with their times.
func (b *Book) neckSteps(st jobs.NeckState) ([]NeckStep, error) {
	out := []NeckStep{}
	numbers := map[string]int{}
	for i, s := range st.Neck.Graph() {
		numbers[s.Name] = st.Steps[i].No
	}
	order := map[int]int{}
	for i, v := range st.Left() {
		order[v.No] = i + 1
	}
	for _, v := range st.Steps {
		k := b.Operations[jobs.PresentName(v.Operation, b.Operations)]
		t, err := b.timesOf(v)
		if err != nil {
			return nil, err
		}
		s := NeckStep{Step: v.No, Operation: v.Operation, State: v.State, Quantity: v.Quantity, Unit: k.Unit(), QuantityText: jobs.UnitText(v.Quantity, k), Needs: []int{},
			SetupMin: jobs.Round2(k.SetupMin), RunMin: jobs.Round2(k.RunMin * v.Quantity), LikelyMin: jobs.Round2(t.likely), SafeMin: jobs.Round2(t.safe), CureH: jobs.Round2(k.CureMin / 60),
			ActualMin: jobs.Round2(v.Actual.Minutes()), ReworkMin: jobs.Round2(v.Rework.Minutes()), Scuff: v.Scuff, Assumed: v.Assumed, Difficulty: v.Difficulty, Skip: v.Skip, Basis: t.basis, Note: v.Note}
		s.Errand, s.Group, s.Order, s.After, s.WaitsFor = k.Decide, k.Group, order[v.No], append([]string{}, v.Needs...), []string{}
		for _, text := range v.Needs {
			if need, err := jobs.ParseNeed(text); err == nil {
				s.Needs = append(s.Needs, numbers[need.Step])
			}
		}
		for _, w := range v.Waits {
			if !slices.Contains(s.WaitsFor, w.Step.Operation) {
				s.WaitsFor = append(s.WaitsFor, w.Step.Operation)
			}
		}
		if v.State == jobs.Ready && !st.Neck.IsClosed() {
			if s.Gate, err = b.shutGate(k, st); err != nil {
				return nil, err
			}
		}
		if v.DoneAt != nil {
			at := b.Wall(*v.DoneAt)
			s.DoneAt = &at
		}
		if v.ReadyAt != nil && v.ReadyAt.After(b.Now) {
			at := b.Wall(*v.ReadyAt)
			s.ReadyAt = &at
		}
		out = append(out, s)
	}
	return out, nil
}

// stepTimes is the time of a step in minutes, unrounded.
type stepTimes struct {
	likely, safe, mean float64
	basis              string
}

// timesOf estimates a step, a started one for what is left of it, as tonight does.
func (b *Book) timesOf(v jobs.StepView) (stepTimes, error) {
	if v.DoneAt != nil && v.State != jobs.On {
		v.Counted, v.Actual = 0, 0 // the whole of it, next to what it took
	}
	e, _, err := b.stepLeft(v, b.Operations[jobs.PresentName(v.Operation, b.Operations)])
	return stepTimes{e.LikelyMin, e.SafeMin, e.MeanMin, e.Basis}, err
}

func progressOf(steps []NeckStep) (p NeckProgress) {
	all, done := 0.0, 0.0
	for _, s := range steps {
		if s.State == jobs.Skipped {
			continue
		}
		p.Steps++
		all += s.LikelyMin
		if s.IsDone() {
			p.Done++
			done += s.LikelyMin
		} else if s.State == jobs.Started || s.State == jobs.On {
			all, done = all+s.ActualMin, done+s.ActualMin
		}
	}
	if all > 0 {
		p.Share = math.Round(done/all*1000) / 1000
	}
	return p
}

func (b *Book) neckHours(code string, entries []jobs.Entry) (h NeckHours) {
	var total, first, rework, decide, outside time.Duration
	evenings := map[jobs.Day]bool{}
	for _, x := range entries {
		i := x.ShareOf(code)
		if i < 0 {
			continue
		}
		d := x.ShareOut(b.Now)[i]
		evenings[b.Shop.Evening(x.From)] = true
		total += d
		switch x.Class {
		case jobs.Rework:
			rework += d
		case jobs.Deciding:
			decide += d
		default:
			first += d
		}
		if x.Shares[i].Step == 0 {
			outside += d
		}
	}
	mins := func(d time.Duration) float64 { return jobs.Round2(d.Minutes()) }
	return NeckHours{TotalMin: mins(total), FirstMin: mins(first), ReworkMin: mins(rework), DecideMin: mins(decide), OutsideMin: mins(outside), Evenings: len(evenings)}
}

func (b *Book) neckMoney(n jobs.Neck, res *NeckShowResult) error {
	in, err := b.NeckInput(n)
	if err != nil {
		return err
	}
	res.Cost, res.Rates = quote.CostNeck(in), in.Rates
	res.Parts = []PartRow{}
	for _, p := range in.Parts {
		res.Parts = append(res.Parts, b.partRow(p, n))
	}
	res.Sale, err = b.neckSale(n, res.Cost, res.Hours)
	return err
}

func (b *Book) neckPlan(st jobs.NeckState) (*NeckPlan, error) {
	p, ok, err := b.CurrentPlan(st.Neck.Code)
	if err != nil || !ok {
		return nil, err
	}
	out := &NeckPlan{Code: p.Code, Version: p.Version, Mode: p.Mode, Holes: len(p.Holes), Frozen: p.Frozen != nil, OutOfDate: p.OutOfDate}
	for _, v := range st.Steps {
		if b.Operations[v.Operation].Drills == "posts" {
			out.Drilled += int(v.Counted)
		}
	}
	return out, nil
}

// neckReview sets a neck against the quote that it was accepted from. Nil where
// there is none.
func (b *Book) neckReview(n jobs.Neck) (*quote.Review, error) {
	if n.Quote == "" {
		return nil, nil
	}
	q, ok, err := store.Get(b.Tx, store.Quotes, n.Quote)
	if err != nil || !ok || q.Status != jobs.QuoteAccepted {
		return nil, err
	}
	rv, err := b.ReviewOf(q)
	if err != nil {
		return nil, err
	}
	return &rv, nil
}

// neckCautions gives what the woods of a neck ask for: dust and trade rules.
func (b *Book) neckCautions(n jobs.Neck) ([]string, error) {
	var out []string
	for _, name := range slices.Compact([]string{n.Wood, n.Veneer}) {
		w, ok, err := store.Get(b.Tx, store.Woods, name)
		if err != nil || !ok {
			if err != nil {
				return nil, err
			}
			continue
		}
		for _, t := range []string{w.Dust, w.TradeControl} {
			if t != "" {
				out = append(out, w.Title+": "+strings.TrimSuffix(t, ".")+".")
			}
		}
	}
	return out, nil
}
