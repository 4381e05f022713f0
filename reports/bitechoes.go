package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// BitAdded is the echo of a bit that was added.
func BitAdded(r *workshop.BitResult) Report {
	line := fmt.Sprintf("ADDED %s: kept for %s", r.Bit.Label(), jobs.KeepText(r.Bit.Keep))
	if r.Life.ExpectedHoles > 0 {
		line += ", expected life " + holesText(r.Life.ExpectedHoles)
	}
	return Report{Name: "bit", Headline: []string{line + "."}, Next: []string{"bit verdict " + r.Bit.Code}}
}

// BitChanged is the echo of a bit of which something was changed.
func BitChanged(r *workshop.BitSetResult) Report {
	if len(r.Changed) == 0 {
		return Report{Name: "bit", Headline: []string{fmt.Sprintf("%s was so already.", r.Bit.Label())}}
	}
	return Report{Name: "bit", Headline: []string{fmt.Sprintf("CHANGED %s: %s.", r.Bit.Label(), strings.Join(r.Changed, ", "))}}
}

// HolesLogged is the echo of holes that were logged.
func HolesLogged(r *workshop.BitUseResult) Report {
	u := r.Use
	out := Report{Name: "bit"}
	if u.Bit == "" {
		out.Headline = []string{fmt.Sprintf("LOGGED use %d: %s with an unknown bit of %s mm.", u.ID, jobs.CountText(u.Holes, "hole"), jobs.FormatMM(u.UnknownMM)),
			"They count in full for each bit that it may have been."}
		return out
	}
	what := "hole"
	if u.Test {
		what = "test hole"
	}
	out.Headline = []string{fmt.Sprintf("LOGGED use %d: %s with %s, %s of wear. Its wear is %s.", u.ID, jobs.CountText(u.Holes, what), u.Bit, holesText(r.CutHoles), holesText(r.Life.Wear))}
	switch r.Says {
	case "clean":
		out.Headline = append(out.Headline, "The rim is clean.")
	case "dull":
		out.Headline = append(out.Headline, fmt.Sprintf("%s is DULL: %s.", u.Bit, r.Why), fmt.Sprintf("Type: bit sharpen %s, or bit move %s --to general --why dull", u.Bit, u.Bit))
	case "struck":
		out.Headline = append(out.Headline, fmt.Sprintf("%s is out: %s.", u.Bit, r.Why), fmt.Sprintf("Type: bit sharpen %s, or bit move %s --to general --why broken", u.Bit, u.Bit))
	}
	return out
}

// HolesRemoved is the echo of holes that were removed from the log.
func HolesRemoved(r *workshop.BitDropResult) Report {
	return Report{Name: "bit", Headline: []string{fmt.Sprintf("REMOVED use %d: %s. Every figure is as before it.", r.Use.ID, jobs.CountText(r.Use.Holes, "hole"))}}
}

// BitMoved is the echo of a bit that is kept for something else.
func BitMoved(r *workshop.BitMoveResult) Report {
	return Report{Name: "bit", Headline: []string{fmt.Sprintf("MOVED %s: kept for %s. %s", r.Life.Bit, jobs.KeepText(r.Life.Keep), countsText(r.Life))}}
}

// BitSharpened is the echo of a sharpening.
func BitSharpened(r *workshop.BitMoveResult) Report {
	return Report{Name: "bit", Headline: []string{fmt.Sprintf("LOGGED %s sharpened, life %d: kept for %s. Its wear starts at zero.", r.Life.Bit, r.Life.Life, jobs.KeepText(r.Life.Keep)),
		strings.Replace(countsText(*r.Before), "Its life", "The life before", 1)}}
}

// countsText says what a life counts as: "Its life counts as worn out at 90 holes
// (found dull)."
func countsText(l workshop.LifeRow) string {
	switch {
	case l.Event:
		return fmt.Sprintf("Its life counts as worn out at %s (%s).", holesText(l.LifeHoles), l.End)
	case l.Closed:
		return fmt.Sprintf("Its life counts as good up to %s (%s).", holesText(l.LifeHoles), l.End)
	}
	return "Its life goes on."
}
