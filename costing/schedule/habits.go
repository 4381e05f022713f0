package schedule

import (
	"math"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Habits is a calendar with what is not known of it.
type Habits struct {
	Calendar
	// LengthError and UnloggedError are the log spreads of what is not known of
	// Length and Unlogged.
	LengthError, UnloggedError float64
}

// unloggedSpread is the log spread of unlogged time between shops, of which an
// evening of the log takes its part away as in Calendar.Unlogged (judgement).
const (
	unloggedSpread = 0.1
	unloggedWeight = 5
)

// LearnHabits learns from the planned evenings of the log: which were worked,
// how long they were, and how much of them was logged. days are those of seen.
// Evenings on which nothing could be started say nothing.
func LearnHabits(shop jobs.Shop, days []jobs.Day, seen []Seen, worked []estimate.Worked) Habits {
	h := Habits{Calendar: NewCalendar(shop)}
	for i, s := range seen {
		b := &h.Attendance[days[i].Weekday()]
		switch {
		case s.Idle:
		case s.SpanMin > 0:
			b.A++
		default:
			b.B++
		}
	}
	length := LearnLength(seen)
	h.Length, h.LengthSpread = length.Factor, length.Spread
	h.LengthError = length.Spread / math.Sqrt(float64(length.Evenings+priorLengthN))
	n := 0
	if len(days) > 0 {
		unlogged := estimate.UnloggedFactor(worked, days[0], days[len(days)-1])
		h.Unlogged, n = unlogged.Factor, unlogged.Evenings
	}
	h.UnloggedError = unloggedSpread * math.Sqrt(unloggedWeight/float64(unloggedWeight+n))
	return h
}
