package bitlife

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
)

// The verdicts on an edge for one face.
const (
	VerdictReady     = "ready"
	VerdictProve     = "prove first"
	VerdictLast      = "last headstock"
	VerdictMove      = "move to general"
	VerdictNoHistory = "no history"
)

// EdgeState is what Decide is told of an edge and of the face before it.
type EdgeState struct {
	Set    string // where the bit is
	Gone   string // lost, broken: why it cannot be used at all; "" otherwise
	Dull   string // how the edge was seen to be dull; "" otherwise
	Proven bool   // the last thing done with the edge was a clean proof hole
	Hidden bool   // nobody sees these rims
	AgeM   float64
	CutM   float64 // the job at hand
	Known  bool    // there is a rated life or an edge that wore out
	Chance float64 // that the job dulls the edge
	Costs  FaceCosts
	Retire Replacement
	// UntilM is the age up to which proving before each job pays.
	UntilM float64
}

// Decide gives the one verdict on an edge, with its reasons, the deciding one
// first.
//
//	dull, or not in the show set         move to general
//	no rated life, none worn out         no history
//	no age is best                       ready, or prove first where a proof hole pays
//	past the best age                    move to general; a clean proof hole raises it to
//	                                     prove first while proving before every job costs
//	                                     less than a fresh edge
//	the best age falls inside the job    last headstock
//	a proof hole pays and none was made  prove first
//	otherwise                            ready
//
// Hidden holes take any edge that is at hand. Past the best age it is never
// ready, however long the edge has survived and whatever a proof hole said: an
// estimate with little behind it lets a survivor vouch for itself.
func Decide(s EdgeState) (verdict string, reasons []string) {
	say := func(format string, args ...any) { reasons = append(reasons, fmt.Sprintf(format, args...)) }
	switch {
	case s.Gone != "":
		say("%s", s.Gone)
		return VerdictMove, reasons
	case s.Hidden:
		if s.Dull != "" {
			say("dull (%s), which hidden holes can bear; mind the heat", s.Dull)
		} else {
			say("hidden holes: no rim to tear, and the general set is for these")
		}
		return VerdictReady, reasons
	case s.Dull != "":
		say("dull: %s", s.Dull)
		return VerdictMove, reasons
	case s.Set != jobs.SetShow:
		say("in the %s set: not for a show face without a fresh edge or a clean proof hole", s.Set)
		return VerdictMove, reasons
	case !s.Known:
		say("no rated life, and no edge of its class has worn out: say what you expect with --rated, or prove it in offcut first")
		return VerdictNoHistory, reasons
	}
	pays := s.Costs.ProofPays(s.Chance)
	worth := fmt.Sprintf("%.2g %% x %.0f %% found x %.2f damage = %.2f against %.2f for the hole",
		100*s.Chance, 100*ProofFinds, s.Costs.Damage, s.Chance*ProofFinds*s.Costs.Damage, s.Costs.Proof)
	switch {
	case s.Retire.Finite && s.AgeM >= s.Retire.AgeM:
		say("past the age at which a fresh edge is cheaper for this face (%s, best %s)", HolesText(s.AgeM), HolesText(s.Retire.AgeM))
		proving := pays && s.AgeM+s.CutM <= s.UntilM
		switch {
		case proving && s.Proven:
			say("the proof hole just drilled was clean, and up to %s one before every job still costs less: this job may go on it, the next wants its own", HolesText(s.UntilM))
			return VerdictProve, reasons
		case proving:
			say("a clean proof hole before every job would still cost less, up to %s: %s", HolesText(s.UntilM), worth)
		case s.Proven:
			say("the proof hole was clean, yet a fresh edge is the cheaper way for this face")
		}
		return VerdictMove, reasons
	case s.Retire.Finite && s.AgeM+s.CutM > s.Retire.AgeM:
		say("the best age for this face, %s, falls inside this job, %s from now", HolesText(s.Retire.AgeM), HolesText(s.Retire.AgeM-s.AgeM))
		if pays && !s.Proven {
			say("a proof hole first pays: %s", worth)
		}
		if s.UntilM >= s.AgeM+2*s.CutM {
			say("after it: a fresh edge, or a clean proof hole before every job up to %s", HolesText(s.UntilM))
		}
		return VerdictLast, reasons
	case !s.Retire.Finite:
		say("%s", s.Retire.Why)
	}
	switch {
	case pays && !s.Proven:
		say("a proof hole pays: %s", worth)
		return VerdictProve, reasons
	case s.Proven:
		say("the proof hole just drilled was clean")
	}
	if s.Retire.Finite {
		say("%s of about %s on this edge", HolesText(s.AgeM), HolesText(s.Retire.AgeM))
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
