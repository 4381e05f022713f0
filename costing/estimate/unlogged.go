package estimate

import "bookmatch/jobs"

// DefaultLoose is the factor of a shop without a log (judgement).
const DefaultLoose = 1.25

// priorLooseN is how many evenings the default weighs as (judgement).
const priorUnloggedN = 5

// Worked is one evening of the log.
type Worked struct {
	Day jobs.Day
	// SpanMin runs from the first start to the last end; LoggedMin is the work
	// in it.
	SpanMin, LoggedMin float64
}

// Unlogged is the unlogged time of a shop: sweeping, finding the bit, tea.
type Unlogged struct {
	Factor   float64 `json:"factor"` // evening length / logged work
	Evenings int     `json:"evenings"`
	// Measured is the plain ratio of the evenings; Factor is it drawn towards
	// the default while evenings are few. 0 when there are none.
	Measured float64 `json:"measured,omitempty"`
}

// UnloggedFactor measures the sum of evening lengths over the sum of logged work
// of the days from first to last. With few evenings it leans on 1.25, which
// weighs as five of them (judgement).
func UnloggedFactor(worked []Worked, first, last jobs.Day) Unlogged {
	l := Unlogged{Factor: DefaultLoose}
	var span, logged float64
	for _, w := range worked {
		if w.Day < first || w.Day > last || w.LoggedMin < 20 || w.SpanMin < w.LoggedMin {
			continue
		}
		l.Evenings++
		span += w.SpanMin
		logged += w.LoggedMin
	}
	if l.Evenings == 0 {
		return l
	}
	n := float64(l.Evenings)
	l.Measured = span / logged
	l.Factor = (priorUnloggedN*DefaultLoose + n*l.Measured) / (priorUnloggedN + n)
	return l
}
