package workshop

import (
	"fmt"
	"time"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// TonightAsk asks for the plan of an evening.
type TonightAsk struct {
	Asked
	Until string `json:"until,omitempty" flag:"until" arg:"HH:MM" help:"when work ends"`
	From  string `json:"from,omitempty" flag:"from" arg:"HH:MM" help:"when work begins, if not now"`
}

// TonightResult is the plan of an evening, and why the other necks wait.
type TonightResult struct {
	Meta
	From      time.Time        `json:"from"`
	Until     time.Time        `json:"until"`
	EndsBy    time.Time        `json:"ends_by"`
	Headline  string           `json:"headline"`
	Plan      []TonightLine    `json:"plan"`
	TwentyMin []TonightTwenty  `json:"twenty_min"`
	Waiting   []TonightWaiting `json:"waiting"`
	OpenNeck  int              `json:"open_necks"`
	MeanMin   float64          `json:"mean_min"`     // of the plan
	Unlogged  float64          `json:"unlogged"`     // share of an evening that is not logged
	Points    int              `json:"points"`       // of the plan: evenings gained, weighted by how its dates press
	Gap       float64          `json:"gap"`          // how far the best plan may be above it
	Sets      int              `json:"sets_weighed"` // plans that were looked at
	Quiet     time.Time        `json:"quiet_from"`
}

// TonightLine is one step of the plan, on several necks where they share its
// setup. Minutes are rounded to hundredths.
type TonightLine struct {
	Operation string     `json:"operation"`
	Necks     []string   `json:"necks"`
	Names     []string   `json:"names"`
	Steps     []int      `json:"steps"`
	From      time.Time  `json:"from"`
	By        time.Time  `json:"by"`
	LikelyMin float64    `json:"likely_min"`
	SafeMin   float64    `json:"safe_min"` // planned with: 4 in 5 take less
	Quantity  float64    `json:"quantity"`
	Of        float64    `json:"of"` // what is left of the step
	Amount    string     `json:"amount"`
	Drills    string     `json:"drills,omitempty"` // posts or hidden
	Partial   bool       `json:"partial"`
	Errand    bool       `json:"errand"`
	Overnight bool       `json:"overnight"` // cures past the evening
	Why       string     `json:"why"`
	Gain      float64    `json:"evenings_gained"`
	Points    int        `json:"points"`
	BeginBy   time.Time  `json:"begin_by"` // the last minute to begin
	HandledAt *time.Time `json:"handled_at"`
	CuresAt   *time.Time `json:"cures_until"`
	Needs     []string   `json:"needs"`
	Left      string     `json:"left_after"` // what the neck needs after tonight

	fromMin, toMin int
}

// TonightTwenty is one thing to do with twenty minutes.
type TonightTwenty struct {
	Operation string  `json:"operation"`
	Neck      string  `json:"neck"`
	Name      string  `json:"name"`
	SafeMin   float64 `json:"safe_min"`
}

// TonightWaiting is a neck on which nothing is planned, with the first reason.
type TonightWaiting struct {
	Neck      string     `json:"neck"`
	Name      string     `json:"name"`
	Operation string     `json:"operation"`
	Reason    string     `json:"reason"`
	LiftsAt   *time.Time `json:"lifts_at"`
	AloneMin  int        `json:"alone_min,omitempty"`
	Points    int        `json:"alone_points,omitempty"`
}

// Tonight plans an evening.
var Tonight = Define("tonight", "", Reads, (*Book).tonight)

// planner is what the plan of one evening is made from.
type planner struct {
	*Book
	from, until time.Time
	evening     schedule.Evening
	necks       map[string]*plannedNeck
	order       []string // codes
	unlogged    float64
}

// plannedNeck is an open neck with its steps as the search wants them.
type plannedNeck struct {
	state schedule.Neck
	neck  jobs.Neck
	views []jobs.StepView
	needs map[int][]string // by place of the step
	alone float64          // evenings with the bench to itself
	on    bool             // a step runs
}

func (b *Book) tonight(ask *TonightAsk, res *TonightResult) error {
	p := planner{Book: b, necks: map[string]*plannedNeck{}}
	err := b.tellLeft()
	if err != nil {
		return err
	}
	if p.from, p.until, err = b.tonightHours(ask); err != nil {
		return err
	}
	on, safe, err := b.runsUntil()
	if err != nil {
		return err
	}
	if safe.After(p.from) {
		p.from = safe
	}
	if p.from.After(p.until) {
		p.from = p.until
	}
	unlogged, err := b.Unlogged()
	if err != nil {
		return err
	}
	p.unlogged = unlogged.Factor
	if p.evening, err = b.evening(p.from, p.until, p.unlogged); err != nil {
		return err
	}
	held, err := p.gather()
	if err != nil {
		return err
	}
	in := schedule.Situation{Evening: p.evening}
	for _, code := range p.order {
		in.Necks = append(in.Necks, p.necks[code].state)
	}
	plan := schedule.Propose(in)
	return p.result(res, plan, held, on)
}

// gather reads the open necks. It gives those on hold as waiting.
func (p *planner) gather() ([]TonightWaiting, error) {
	necks, err := p.BenchNecks()
	if err != nil {
		return nil, err
	}
	var held []TonightWaiting
	stock := map[string]string{}
	for _, n := range necks {
		st, err := p.NeckState(n)
		if err != nil {
			return nil, err
		}
		if n.Status == jobs.Held {
			v, _ := st.Next()
			held = append(held, TonightWaiting{Neck: n.Code, Name: n.Name(), Operation: v.Operation, Reason: "on hold: " + n.Why})
			continue
		}
		x := &plannedNeck{neck: n, needs: map[int][]string{}}
		x.state.Code = n.Code
		if x.state.Steps, x.views, err = p.planSteps(st, p.from); err != nil {
			return nil, err
		}
		for _, v := range x.views {
			x.on = x.on || v.State == jobs.On
		}
		if err := p.gates(x, st, stock); err != nil {
			return nil, err
		}
		p.weigh(x)
		p.necks[n.Code] = x
		p.order = append(p.order, n.Code)
	}
	return held, nil
}

// weigh says how much the date of a neck presses.
func (p *planner) weigh(x *plannedNeck) {
	_, _, r, _ := schedule.Remaining(x.state, p.evening)
	x.alone = r
	perWeek := float64(max(len(p.Shop.Evenings), 1))
	days := 0.0
	if x.neck.Due != "" {
		days = float64(p.Tonight().DaysTo(x.neck.Due))
	}
	x.state.Weight = schedule.Weight(x.neck.Due != "", days, r*7/perWeek)
}

// at gives the instant of a minute of the plan.
func (p *planner) at(minute int) time.Time {
	return p.Wall(p.from.Add(time.Duration(minute) * time.Minute))
}

// name is what a neck is called.
func (p *planner) name(code string) string { return p.necks[code].neck.Name() }

// stepAt gives the place of a step by its name.
func (x *plannedNeck) stepAt(name string) int {
	for i, s := range x.state.Steps {
		if s.Name == name {
			return i
		}
	}
	return -1
}

// headline says what the evening holds.
func (p *planner) headline(res *TonightResult) string {
	until := p.Clock(p.until)
	if len(res.Plan) == 0 {
		return fmt.Sprintf("Tonight: nothing fits. You have until %s.", until)
	}
	return fmt.Sprintf("Tonight: %s, safe to finish by %s. You have until %s.", jobs.CountText(len(res.Plan), "job"), p.Clock(res.EndsBy), until)
}
