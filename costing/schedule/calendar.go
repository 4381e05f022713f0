package schedule

import (
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

// EveningsPerWeek gives how many evenings are planned and how many are worked
// on average.
func (c Calendar) EveningsPerWeek() (planned, worked float64) {
	for _, s := range c.Slots {
		planned++
		worked += c.Attendance[s.Day].Mean()
	}
	return planned, worked
}
