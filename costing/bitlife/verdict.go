package bitlife

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
)

// The verdicts on an edge for one face.
const (
	VerdictReady    = "ready"
	VerdictTest     = "test first"
	VerdictLast     = "last headstock"
	VerdictRetire   = "retire"
	VerdictNoRecord = "no record"
)

// EdgeState is the input of Decide: the present life of a bit, and the job.
type EdgeState struct {
	Keep   string // where the bit is
	Gone   string // lost, broken: why it cannot be used at all; "" otherwise
	Dull   string // how the edge was seen to be dull; "" otherwise
	Tested bool   // the last thing done with the edge was a clean test hole
	Hidden bool   // nobody sees these rims
	AgeM   float64
	CutM   float64 // the job at hand
	Known  bool    // there is an expected life or an edge that wore out
	Chance float64 // that the job dulls the edge
	Costs  FaceCosts
	Retire Replacement
	// UntilM is the age up to which proving before each job pays.
	UntilM float64
}

// Decide gives the one verdict on an edge, with its reasons, the deciding one
// first.
//
//	dull, or not in the show set         retire
//	nothing known of its life            no record; ready for one job after a
//	                                     clean test hole
//	no age is best                       ready, or test first where a test hole pays
//	past the best age                    retire; a clean test hole raises it to
//	                                     test first while testing before every job costs
//	                                     less than a fresh edge
//	the best age falls inside the job    last headstock
//	a test hole pays and none was made  test first
//	otherwise                            ready
//
// Hidden holes take any edge that is at hand. Past the best age it is never
// ready, however long the edge has survived and whatever a test hole said: an
// estimate with little behind it lets a survivor vouch for itself.
func Decide(s EdgeState) (verdict string, reasons []string) {
	say := func(format string, args ...any) { reasons = append(reasons, fmt.Sprintf(format, args...)) }
	switch {
	case s.Gone != "":
		say("%s", s.Gone)
		return VerdictRetire, reasons
	case s.Hidden:
		if s.Dull != "" {
			say("It is dull (%s). Hidden holes allow that. Mind the heat.", s.Dull)
		} else {
			say("Hidden holes: there is no rim to tear.")
		}
		return VerdictReady, reasons
	case s.Dull != "":
		say("It is dull: %s.", s.Dull)
		return VerdictRetire, reasons
	case s.Keep != jobs.KeepShow:
		say("A show hole needs a sharpening or a clean test hole first.")
		return VerdictRetire, reasons
	case !s.Known && s.Tested:
		say("The test hole was clean, and nothing else is known of it. Test again before the next job.")
		return VerdictReady, reasons
	case !s.Known:
		say("No expected life is given and no bit of its class is worn out. Say what you expect: --life 133.")
		return VerdictNoRecord, reasons
	}
	pays := s.Costs.TestPays(s.Chance)
	worth := fmt.Sprintf("%.2g %% x %.0f %% found x %.2f = %.2f, and it costs %.2f",
		100*s.Chance, 100*s.Costs.Found, s.Costs.TornHoleCost, s.Chance*s.Costs.Found*s.Costs.TornHoleCost, s.Costs.Test)
	switch {
	case s.Retire.Finite && s.AgeM >= s.Retire.AgeM:
		if s.Costs.Change > 0 {
			say("Its wear is %s. A fresh bit is cheaper for this face from %s.", HolesText(s.AgeM), HolesText(s.Retire.AgeM))
		} else {
			say("Its wear is %s, past its expected life of %s.", HolesText(s.AgeM), HolesText(s.Retire.AgeM))
		}
		testing := pays && s.AgeM+s.CutM <= s.UntilM
		switch {
		case testing && s.Tested:
			say("The test hole was clean. A test hole before every job costs less up to %s. Drill this job. The next job needs its own test hole.", HolesText(s.UntilM))
			return VerdictTest, reasons
		case testing:
			say("A clean test hole before every job would still cost less, up to %s: %s.", HolesText(s.UntilM), worth)
		case s.Tested:
			say("The test hole was clean, but a fresh bit is cheaper for this face.")
		}
		return VerdictRetire, reasons
	case s.Retire.Finite && s.AgeM+s.CutM > s.Retire.AgeM:
		say("The best age for this face, %s, falls inside this job, %s from now.", HolesText(s.Retire.AgeM), HolesText(s.Retire.AgeM-s.AgeM))
		if pays && !s.Tested {
			say("A test hole first pays: %s.", worth)
		}
		if s.UntilM >= s.AgeM+2*s.CutM {
			say("After it: a fresh bit, or a clean test hole before every job up to %s.", HolesText(s.UntilM))
		}
		return VerdictLast, reasons
	case !s.Retire.Finite:
		say("%s", sentence(s.Retire.Why))
	}
	switch {
	case pays && !s.Tested:
		say("A test hole pays: %s.", worth)
		return VerdictTest, reasons
	case s.Tested:
		say("The test hole was clean.")
	}
	if s.Retire.Finite {
		say("Wear is %s of about %s.", HolesText(s.AgeM), HolesText(s.Retire.AgeM))
	}
	return VerdictReady, reasons
}

// HolesText shows wear as reference holes (15 mm in hard maple): metres of cut
// look absurdly small, holes are trusted.
func HolesText(m float64) string {
	n := math.Round(m / jobs.RefHoleM)
	switch {
	case n == 1:
		return "1 hole"
	case n < 1 && m > 0:
		return "under 1 hole"
	}
	return fmt.Sprintf("%.0f holes", n)
}

// Percent shows a chance in whole percents, never as a bare 0 or 100, and as
// the tables of the reports round it.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// PercentRange shows a band of chances: "1-8 %".
func PercentRange(low, high float64) string {
	a, b := Percent(low), Percent(high)
	if a == b || math.IsNaN(low) {
		return a
	}
	return strings.TrimSuffix(a, " %") + " to " + b
}
