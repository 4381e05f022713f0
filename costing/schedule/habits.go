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
	LengthError   float64 `json:"length_error"`
	UnloggedError float64 `json:"unlogged_error"`
	// Follows is how often the builder takes the step of a neck that the rule of
	// thumb puts first. Else he takes any of that neck that he could begin.
	Follows float64 `json:"follows"`
}

// Choice is one start of the log: how many steps of the neck could have been
// started, and whether the one that the rule of thumb puts first was.
type Choice struct {
	Options int
	First   bool
}

// Before the log says better seven starts of ten follow the rule, and that
// weighs as ten starts (judgement).
const (
	priorFollows  = 0.7
	priorFollowsN = 10
)

// LearnFollows learns from starts with a choice how often the rule is followed.
// One of so many options is also taken by chance, which is taken out.
func LearnFollows(starts []Choice) float64 {
	first, chance, n := priorFollowsN*priorFollows, 0.0, float64(priorFollowsN)
	for _, s := range starts {
		if s.Options < 2 {
			continue
		}
		n++
		chance += 1 / float64(s.Options)
		if s.First {
			first++
		}
	}
	return math.Min(1, math.Max(0, (first-chance)/(n-chance)))
}

// unloggedSpread is the log spread of unlogged time between shops, of which an
// evening of the log takes its part away as in Calendar.Unlogged (judgement).
const (
	unloggedSpread = 0.1
	unloggedWeight = 5
)

// LearnHabits learns from the planned evenings of the log: which were worked, how
// long they were, and what was started. days are those of seen. Unlogged time is
// measured over worked. Evenings on which nothing could be started say nothing.
func LearnHabits(shop jobs.Shop, days []jobs.Day, seen []Seen, worked []estimate.Worked, starts []Choice) Habits {
	h := Habits{Calendar: NewCalendar(shop), Follows: LearnFollows(starts)}
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
