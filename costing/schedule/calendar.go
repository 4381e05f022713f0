package schedule

import (
	"math"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Beta is a belief about a chance: as if A evenings had been worked and B
// missed.
type Beta struct {
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// Mean of the belief; a belief without evidence is taken as certain work.
func (b Beta) Mean() float64 {
	if b.A+b.B <= 0 {
		return 1
	}
	return b.A / (b.A + b.B)
}

// Calendar is when work is done: what is planned and what the log says of it.
type Calendar struct {
	Slots    []jobs.Slot `json:"slots"`
	Holidays []jobs.Day  `json:"holidays,omitempty"`
	// Attendance by weekday, Sunday first: the chance that a planned evening is
	// really worked.
	Attendance [7]Beta `json:"attendance"`
	// Length is how long an evening really is against the plan: a lognormal
	// factor with this median and log spread.
	Length       float64 `json:"length"`
	LengthSpread float64 `json:"length_spread"`
	// Unlogged is the length of an evening divided by its logged work (see
	// UnloggedFactor).
	Unlogged float64 `json:"unlogged"`
	// QuietAfter stops noisy operations; 0 is none.
	QuietAfter jobs.Clock `json:"quiet_after,omitempty"`
}

// Priors for what the log has not shown yet. Judgement: three planned evenings
// of four are worked.
const (
	priorWorked, priorMissed = 3, 1
	priorLengthN             = 4
	priorLengthSpread        = 0.2
)

// NewCalendar gives the calendar of a shop without a log.
func NewCalendar(shop jobs.Shop) Calendar {
	c := Calendar{Slots: shop.Evenings, Holidays: shop.Holidays, Length: 1, LengthSpread: priorLengthSpread, Unlogged: estimate.DefaultLoose, QuietAfter: shop.QuietAfter}
	for i := range c.Attendance {
		c.Attendance[i] = Beta{priorWorked, priorMissed}
	}
	return c
}

// Learn takes in what the log says of the days from first to last (both
// included): which planned evenings were worked, how long they were, and how
// much of them was logged. Evenings without a plan count towards lengths only
// through their log, days off do not count as missed.
func (c Calendar) Learn(worked []estimate.Worked, first, last jobs.Day) Calendar {
	came := map[jobs.Day]estimate.Worked{}
	for _, w := range worked {
		if w.Day >= first && w.Day <= last {
			came[w.Day] = w
		}
	}
	off := map[jobs.Day]bool{}
	for _, h := range c.Holidays {
		off[h] = true
	}
	planned := map[int]jobs.Slot{}
	for _, s := range c.Slots {
		planned[int(s.Day)] = s
	}
	var n, sum, sum2 float64
	if first != "" && last != "" {
		for day := first; day <= last; day = day.Add(1) {
			slot, plan := planned[int(day.Weekday())]
			if !plan || off[day] {
				continue
			}
			w, ok := came[day]
			if !ok {
				c.Attendance[slot.Day].B++
				continue
			}
			c.Attendance[slot.Day].A++
			if w.SpanMin >= 20 && slot.Minutes() > 0 {
				y := math.Log(w.SpanMin / float64(slot.Minutes()))
				n, sum, sum2 = n+1, sum+y, sum2+y*y
			}
		}
	}
	if n > 0 {
		mean := sum / n
		ss := sum2 - n*mean*mean
		c.Length = math.Exp(sum / (n + priorLengthN))
		c.LengthSpread = math.Sqrt((priorLengthN*priorLengthSpread*priorLengthSpread + math.Max(0, ss)) / (n + priorLengthN))
	}
	c.Unlogged = estimate.UnloggedFactor(worked, first, last).Factor
	return c
}

// EveningsPerWeek gives how many evenings are planned and how many are worked
// on average.
func (c Calendar) EveningsPerWeek() (planned, worked float64) {
	for _, s := range c.Slots {
		planned++
		worked += c.Attendance[s.Day].Mean()
	}
	return planned, worked
}
