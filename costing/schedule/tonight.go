package schedule

import (
	"math"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// overNight is the cure from which a step closes an evening: what follows it
// cannot be done tonight. Judgement: four hours.
const overNightMin = 4 * 60

// Tonight is all that the choice of the evening's work is told. It is decided
// from values alone: the same values give the same plan.
type Tonight struct {
	Now, Until time.Time
	From       time.Time // when work can begin; zero is now
	NextVisit  time.Time // start of the next evening
	Shop       jobs.Shop
	Operations map[string]jobs.Operation
	Necks      []TonightNeck
	// Estimate answers for an operation and a quantity.
	Estimate func(operation string, q float64) estimate.Estimate
	// Unlogged is the un-logged time of the shop.
	Unlogged estimate.Unlogged
	// DustTonight names dusty work that was logged this evening already.
	DustTonight string
	Errands     []Errand
}

// TonightNeck is an open or held neck as the log has it. Gates and Needs are by
// step number, for the steps that could be reached tonight: what stops a step
// besides order and cure, and what it should be told.
type TonightNeck struct {
	State jobs.NeckState
	Gates map[int]Gate
	Needs map[int][]string
}

// Gate stops a step.
type Gate struct {
	Reason string
	Lifts  *time.Time
}

// Errand is a small thing beside the bench: order parts, prove a bit.
type Errand struct {
	Text    string  `json:"text"`
	Minutes float64 `json:"minutes"`
	Why     string  `json:"why"`
}

// TonightLine is one sitting of a plan. Its safe minutes end before the next
// line begins.
type TonightLine struct {
	Operation string    `json:"operation"`
	Necks     []string  `json:"necks"`
	Names     []string  `json:"names"`
	Quantity  float64   `json:"quantity"`
	Starts    time.Time `json:"starts"`
	EndsBy    time.Time `json:"ends_by"`
	LikelyMin float64   `json:"likely_min"`
	SafeMin   float64   `json:"safe_min"`
	Why       string    `json:"why"`
	Closes    bool      `json:"overnight,omitempty"` // cures over night: comes last
	// Part says that Quantity is as much of the step as fits; it stays open.
	Part      bool       `json:"partial,omitempty"`
	CureUntil *time.Time `json:"cure_until,omitempty"`
	Needs     []string   `json:"needs,omitempty"`
	Basis     string     `json:"basis"`

	mean  float64
	of    float64 // the whole quantity of a part
	steps map[string]int
}

// BlockedNeck is a neck on which nothing is planned tonight: the first reason,
// and when it lifts if that is known.
type BlockedNeck struct {
	Neck      string     `json:"neck"`
	Name      string     `json:"name"`
	Operation string     `json:"operation"`
	Reason    string     `json:"reason"`
	LiftsAt   *time.Time `json:"lifts_at"`
}

// ShortLine is something for when there are only twenty minutes.
type ShortLine struct {
	Text    string  `json:"text"`
	SafeMin float64 `json:"safe_min"`
	Why     string  `json:"why"`
}

// TonightPlan is the answer: a plan, at most one other, what to do with twenty
// minutes, and the necks that wait.
type TonightPlan struct {
	From    time.Time     `json:"from"`
	Until   time.Time     `json:"until"`
	Plan    []TonightLine `json:"plan"`
	Other   []TonightLine `json:"other,omitempty"`
	Short   []ShortLine   `json:"twenty_min"`
	Blocked []BlockedNeck `json:"blocked"`
	Notes   []string      `json:"notes"`
}

// shortMin is what fits when there is hardly any time.
const shortMin = 20

// tonightStep is a remaining step as the planner sees it.
type tonightStep struct {
	no                int
	operation         jobs.Operation
	q                 float64
	difficulty        float64
	doneMin           float64
	gate              *Gate
	needs             []string
	closes            bool
	behind            int // steps that wait for it
	likely, safe, avg float64
	basis             string
}

// tonightNeck is a neck in the planner.
type tonightNeck struct {
	code, name string
	steps      []tonightStep // remaining, in order
	avail      time.Time     // when the first may begin
	block      *Gate         // what stops the neck as a whole
	curing     bool          // it is a cure: decisions may still be made
	order      float64       // leverage: the smallest first
	leverage   string        // in words
	hours      float64       // mean of what is left
	done       bool          // nothing left
}

// read lays a neck out for the planner.
func (t Tonight) read(n TonightNeck) tonightNeck {
	st := n.State
	out := tonightNeck{code: st.Neck.Code, name: st.Neck.Name(), avail: t.start()}
	for _, v := range st.Steps {
		switch v.State {
		case jobs.Done, jobs.Skipped:
			continue
		case jobs.Curing:
			if v.ReadyAt != nil && v.ReadyAt.After(out.avail) {
				out.avail = *v.ReadyAt
				until := *v.ReadyAt
				out.curing = true
				out.block = &Gate{v.Operation + " cures until " + t.Shop.WhenFrom(until, t.Now), &until}
			}
			continue
		}
		out.steps = append(out.steps, t.step(v, n))
	}
	out.done = len(out.steps) == 0
	if out.block != nil && out.avail.Before(t.Until) {
		out.block = nil // lifts tonight: the first step waits until then
	}
	for i := range out.steps {
		out.steps[i].behind = len(out.steps) - 1 - i
	}
	switch {
	case st.Neck.Status == jobs.Held:
		out.block, out.curing = &Gate{"held: " + st.Neck.Why, nil}, false
	case st.Neck.Starts != "" && st.Neck.Starts > t.Shop.Evening(t.Now):
		at := t.dayStart(st.Neck.Starts)
		out.block, out.curing = &Gate{"starts on " + string(st.Neck.Starts), &at}, false
	}
	t.leverage(&out, st.Neck)
	return out
}

func (t Tonight) start() time.Time {
	if t.From.After(t.Now) {
		return t.From
	}
	return t.Now
}

// dayStart is when work on a day begins.
func (t Tonight) dayStart(d jobs.Day) time.Time {
	from := jobs.Clock(18 * 60)
	if slot, ok := t.Shop.SlotOn(d); ok {
		from = slot.From
	}
	at, err := jobs.WallTime(d, from, t.Shop.Location(), "")
	if err != nil {
		return d.Noon()
	}
	return at
}

func (t Tonight) step(v jobs.StepView, n TonightNeck) tonightStep {
	k := t.Operations[jobs.PresentName(v.Operation, t.Operations)]
	s := tonightStep{no: v.No, operation: k, q: v.Quantity, difficulty: estimate.DifficultyOf(v.Difficulty), needs: n.Needs[v.No], closes: k.CureMin >= overNightMin}
	if left := v.Quantity - v.Counted; left > 0 && v.Counted > 0 {
		s.q = left
	} else if v.Counted == 0 {
		s.doneMin = v.Actual.Minutes()
	}
	if g, ok := n.Gates[v.No]; ok {
		s.gate = &g
	}
	if v.State == jobs.On {
		s.gate = &Gate{"on now", nil}
	}
	s.likely, s.safe, s.avg, s.basis = t.minutes(k.Name, s.q, s.difficulty, s.doneMin)
	return s
}

// minutes estimates a sitting; minutes already put into a step without a count
// are taken off, but never more than three quarters.
func (t Tonight) minutes(operation string, q, difficulty, done float64) (likely, safe, mean float64, basis string) {
	e := t.Estimate(operation, q)
	off := func(m float64) float64 { return math.Max(m*difficulty-done, m*difficulty/4) }
	return off(e.LikelyMin), off(e.SafeMin), off(e.MeanMin), e.Basis
}

// In shows every time of the plan in a zone.
func (p *TonightPlan) In(zone *time.Location) {
	p.From, p.Until = p.From.In(zone), p.Until.In(zone)
	at := func(t *time.Time) *time.Time {
		if t == nil {
			return nil
		}
		local := t.In(zone)
		return &local
	}
	for _, lines := range [][]TonightLine{p.Plan, p.Other} {
		for i := range lines {
			l := &lines[i]
			l.Starts, l.EndsBy, l.CureUntil = l.Starts.In(zone), l.EndsBy.In(zone), at(l.CureUntil)
		}
	}
	for i := range p.Blocked {
		p.Blocked[i].LiftsAt = at(p.Blocked[i].LiftsAt)
	}
}
