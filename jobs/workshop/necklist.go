package workshop

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckListAsk asks for the necks that are open or on hold.
type NeckListAsk struct {
	Asked
	All bool `json:"all,omitempty" flag:"all" help:"finished and scrapped ones too"`
}

// NeckListResult lists necks: open ones first, then those on hold, finished and
// scrapped. Closed counts those that were left out.
type NeckListResult struct {
	Meta
	Necks  []NeckRow `json:"necks"`
	Closed int       `json:"closed_left_out,omitempty"`
}

// NeckRow is one neck of a list. Done of a closed neck is not counted.
type NeckRow struct {
	NeckHead
	Next    string         `json:"next"` // operation, empty when nothing is left
	State   jobs.StepState `json:"next_state,omitempty"`
	ReadyAt *time.Time     `json:"next_ready_at,omitempty"`
	Done    int            `json:"steps_done"`
	Steps   int            `json:"steps"`
}

// NeckList lists necks.
var NeckList = Define("neck list", "", Reads, (*Book).neckList)

func (b *Book) neckList(ask *NeckListAsk, res *NeckListResult) error {
	res.Necks = []NeckRow{}
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return err
		}
		if n.IsClosed() && !ask.All {
			res.Closed++
			continue
		}
		row, err := b.neckRow(n)
		if err != nil {
			return err
		}
		res.Necks = append(res.Necks, row)
	}
	rank := []jobs.Status{jobs.Open, jobs.Held, jobs.Finished, jobs.Scrapped}
	slices.SortStableFunc(res.Necks, func(x, y NeckRow) int {
		return cmp.Or(cmp.Compare(slices.Index(rank, x.Status), slices.Index(rank, y.Status)), jobs.CompareCodes(x.Neck, y.Neck))
	})
	return nil
}

func (b *Book) neckRow(n jobs.Neck) (NeckRow, error) {
	r := NeckRow{NeckHead: headOf(n)}
	if n.IsClosed() {
		r.Steps = len(n.Steps)
		return r, nil
	}
	st, err := b.NeckState(n)
	if err != nil {
		return r, err
	}
	for _, v := range st.Steps {
		if v.State == jobs.Skipped {
			continue
		}
		r.Steps++
		if v.DoneAt != nil && v.State != jobs.On {
			r.Done++
		}
	}
	r.Next, r.State, r.ReadyAt = b.comesNext(st)
	return r, nil
}

// comesNext gives the step that comes next, its state, and when its cure lets it
// begin.
func (b *Book) comesNext(st jobs.NeckState) (string, jobs.StepState, *time.Time) {
	v, ok := st.Next()
	if !ok {
		return "", "", nil
	}
	if v.ReadyAt == nil || v.State != jobs.Waiting || !v.ReadyAt.After(b.Now) {
		return v.Operation, v.State, nil
	}
	at := b.Wall(*v.ReadyAt)
	return v.Operation, v.State, &at
}

// NeckQueueAsk asks for the sheet on the wall.
type NeckQueueAsk struct{ Asked }

// NeckQueueResult is every neck on the bench in the order in which they are
// promised, and the evenings that they need. A customer is two letters: the sheet
// hangs where others see it.
type NeckQueueResult struct {
	Meta
	Date  jobs.Day   `json:"date"`
	Necks []QueueRow `json:"necks"`
	Load  *Load      `json:"load,omitempty"`
}

// QueueRow is a neck on the bench with what is left of it.
type QueueRow struct {
	Neck      string         `json:"neck"`
	Nickname  string         `json:"nickname"`
	Customer  string         `json:"customer"` // initials, "stock" for nobody
	Status    jobs.Status    `json:"status"`
	Why       string         `json:"why,omitempty" own:"words"` // of a hold
	Next      string         `json:"next"`
	State     jobs.StepState `json:"next_state,omitempty"`
	ReadyAt   *time.Time     `json:"next_ready_at,omitempty"`
	Waits     string         `json:"waits,omitempty"` // for what
	LeftH     float64        `json:"left_h"`
	Due       jobs.Day       `json:"due,omitempty"`
	Likely    jobs.Day       `json:"likely,omitempty"`
	Safe      jobs.Day       `json:"safe,omitempty"`
	SpareDays *int           `json:"spare_days,omitempty"`
	// Weeks from today to the likely date, and from there to the safe one.
	LikelyWeeks float64 `json:"likely_weeks,omitempty"`
	MoreWeeks   float64 `json:"more_weeks,omitempty"`
}

// Load sets what is left against the evenings there are.
type Load struct {
	LeftH           float64 `json:"left_h"`
	UnloggedPercent float64 `json:"unlogged_percent"`
	EveningH        float64 `json:"evening_h"`
	Evenings        float64 `json:"evenings"`
	PlannedPerWeek  float64 `json:"planned_per_week"`
	WorkedPerWeek   float64 `json:"worked_per_week"`
	Weeks           float64 `json:"weeks,omitempty"`
}

// NeckQueue is the sheet for the wall.
var NeckQueue = Define("report neck", "", Long, (*Book).neckQueue)

func (b *Book) neckQueue(_ *NeckQueueAsk, res *NeckQueueResult) error {
	res.Date, res.Necks = b.Tonight(), []QueueRow{}
	states, err := b.BenchStates()
	if err != nil {
		return err
	}
	dates, err := b.promises()
	if err != nil {
		return err
	}
	byName := map[string]jobs.NeckState{}
	for _, st := range states {
		byName[st.Neck.Name()] = st
	}
	var order []jobs.NeckState
	for _, j := range dates.line {
		if st, ok := byName[j.Name]; ok {
			order = append(order, st)
			delete(byName, j.Name)
		}
	}
	for _, name := range jobs.SortedKeys(byName) { // on hold, or nothing left but to finish
		order = append(order, byName[name])
	}
	left := 0.0
	for _, st := range order {
		row, err := b.queueRow(st, dates)
		if err != nil {
			return err
		}
		left += row.LeftH
		res.Necks = append(res.Necks, row)
	}
	if len(res.Necks) > 0 && len(dates.cal.Slots) > 0 {
		res.Load = loadOf(jobs.Round2(left), dates)
	}
	return nil
}

func (b *Book) queueRow(st jobs.NeckState, dates *promises) (QueueRow, error) {
	n := st.Neck
	r := QueueRow{Neck: n.Code, Nickname: n.Nickname, Customer: "stock", Status: n.Status, Due: n.Due}
	if n.Customer != "" {
		r.Customer = initials(n.Customer)
	}
	r.Next, r.State, r.ReadyAt = b.comesNext(st)
	switch {
	case n.Status == jobs.Held:
		r.Why, r.Waits = n.Why, "on hold: "+n.Why
	case r.ReadyAt != nil:
		r.Waits = "cure, " + b.Shop.WhenFrom(*r.ReadyAt, b.Now)
	case r.State == jobs.On:
		r.Waits = "running"
	}
	left, err := b.leftMin(st)
	if err != nil {
		return r, err
	}
	r.LeftH = jobs.Round2(left / 60)
	if p := dates.of(n); p != nil {
		r.Likely, r.Safe, r.SpareDays = p.Likely, p.Safe, p.SpareDays
		r.LikelyWeeks = jobs.Round1(float64(b.Tonight().DaysTo(p.Likely)) / 7)
		r.MoreWeeks = jobs.Round1(float64(p.Likely.DaysTo(p.Safe)) / 7)
	}
	return r, nil
}

func loadOf(leftH float64, dates *promises) *Load {
	cal := dates.cal
	planned, worked := cal.EveningsPerWeek()
	length := 0.0
	for _, s := range cal.Slots {
		length += float64(s.Minutes())
	}
	length = length / float64(len(cal.Slots)) * cal.Length
	evenings := leftH * 60 * cal.Unlogged / length
	l := &Load{LeftH: leftH, UnloggedPercent: jobs.Round1((cal.Unlogged - 1) * 100), EveningH: jobs.Round2(length / 60), Evenings: jobs.Round1(evenings), PlannedPerWeek: jobs.Round1(planned), WorkedPerWeek: jobs.Round1(worked)}
	if worked > 0 {
		l.Weeks = jobs.Round1(evenings / worked)
	}
	return l
}

// initials shortens the name of a customer.
func initials(name string) string {
	var out []rune
	for _, w := range strings.Fields(name) {
		out = append(out, []rune(w)[0])
	}
	return strings.ToUpper(string(out))
}
