package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Started is the echo of work that began.
func Started(r *workshop.OnResult) Report {
	line := fmt.Sprintf("%s STARTED %s %s, %s.", clock(r.Entry.From), r.Entry.Operation, r.Entry.Names(), r.PlannedText)
	if r.LikelyMin > 0 {
		line += fmt.Sprintf(" Likely %s, safe %s.", upMinutes(r.LikelyMin), upMinutes(r.SafeMin))
	}
	lines := []string{line}
	var second []string
	if len(r.Plans) > 0 {
		second = append(second, "Plan "+strings.Join(r.Plans, "+")+".")
	}
	if r.VerdictText != "" {
		second = append(second, r.VerdictText+".")
	}
	if r.Ended != nil {
		second = append(second, fmt.Sprintf("Stopped %s %s after %s, not done.", r.Ended.Operation, r.Ended.Names(), minutesOf(r.Ended.ElapsedMin)))
	}
	if len(second) > 0 {
		lines = append(lines, strings.Join(second, " "))
	}
	return Report{Name: "on", Headline: lines, Cautions: r.Cautions}
}

// Stopped is the echo of off.
func Stopped(r *workshop.RunningResult) Report {
	if r.Entry == nil {
		return Report{Name: "off"}
	}
	lines := []string{fmt.Sprintf("%s STOPPED %s %s, %s, not done.", clock(r.At), r.Entry.Operation, r.Entry.Names(), minutesOf(r.ElapsedMin))}
	if r.Entry.Note != "" {
		lines = append(lines, "Noted: "+r.Entry.Note+".")
	}
	return Report{Name: "off", Headline: append(lines, "Finished? Type: done")}
}

// WentAway is the echo of away.
func WentAway(r *workshop.RunningResult) Report {
	return Report{Name: "away", Headline: []string{fmt.Sprintf("%s AWAY from %s %s.", clock(r.At), r.Entry.Operation, r.Entry.Names()), "Here again? Type: back"}}
}

// CameBack is the echo of back.
func CameBack(r *workshop.RunningResult) Report {
	return Report{Name: "back", Headline: []string{fmt.Sprintf("%s BACK at %s %s after %s.", clock(r.At), r.Entry.Operation, r.Entry.Names(), minutesOf(r.BreakMin))}}
}

// SetupOver is the echo of go.
func SetupOver(r *workshop.RunningResult) Report {
	return Report{Name: "go", Headline: []string{fmt.Sprintf("%s %s %s: setup took %s. The run begins.", clock(r.At), r.Entry.Operation, r.Entry.Names(), minutesOf(r.Entry.SetupMin))}}
}

// Finished is the echo of a finished session, and of work logged without a clock.
func Finished(r *workshop.DoneResult) Report {
	e := r.Entry
	done, open := e.Parted()
	when, word, who := "", "DONE", done
	switch {
	case e.Spent:
		if e.Evening != jobs.DayOf(r.Made) {
			when = string(e.Evening) + " " // logged later: its hour means nothing
		}
	case e.To != nil:
		when = clock(*e.To) + " "
	}
	if len(done) == 0 {
		word, who, open = "STOPPED", open, nil // all of it stays open
		if e.Spent {
			word = "LOGGED"
		}
	}
	line := fmt.Sprintf("%s%s %s %s", when, word, e.Operation, workshop.JoinNames(who))
	if e.Count() > 0 {
		line += ", " + r.CountText
	}
	line += ", " + minutesOf(r.ElapsedMin)
	if word != "DONE" {
		line += ", not done"
	}
	line += "."
	if len(open) > 0 {
		line += " Still open on " + workshop.JoinNames(open) + "."
	}
	lines := []string{line}
	if e.Note != "" {
		lines = append(lines, "Noted: "+e.Note+".")
	}
	var second []string
	second = append(second, rimsText(r.Rims)...)
	for _, h := range r.Bits {
		if len(second) > 0 {
			break
		}
		second = append(second, fmt.Sprintf("%s on bit %s.", jobs.CountText(h.Holes, "hole"), h.Bit))
	}
	if r.CureUntil != nil && r.CureUntil.After(r.Made) {
		text := "Leave it until " + when0(*r.CureUntil, r.Made)
		if r.Cold {
			text += " (cold shop: longer)"
		}
		if r.Errand {
			text = "Expected " + when0(*r.CureUntil, r.Made) + "."
		} else {
			text += ", longer if the label says so."
		}
		if r.FreeAt != nil && !r.FreeAt.Equal(*r.CureUntil) {
			text += " Clamps off " + when0(*r.FreeAt, r.Made) + "."
		}
		second = append(second, text)
	}
	if len(second) > 0 {
		lines = append(lines, strings.Join(second, " "))
	}
	var third []string
	for _, s := range r.Supplies {
		third = append(third, fmt.Sprintf("%s %s %s used.", s.Quantity, s.Unit, s.Supply))
	}
	for _, n := range r.Next {
		if n.Operation == "" {
			third = append(third, fmt.Sprintf("No step left on %s. Type: neck finish %s", n.Name, n.Name))
		} else {
			third = append(third, fmt.Sprintf("Next on %s: %s.", n.Name, n.Operation))
		}
	}
	if len(third) > 0 {
		lines = append(lines, strings.Join(third, " "))
	}
	return Report{Name: "done", Headline: lines}
}

// rimsText says what the rims did to the bit, each thing once. Clean rims are not
// worth a sentence.
func rimsText(rims []workshop.RimTale) (out []string) {
	for _, x := range rims {
		text := x.Text
		if len(x.Type) > 0 {
			text += " Type: " + strings.Join(x.Type, ", or ")
		}
		if x.Says != "clean" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// Undone is the echo of oops.
func Undone(r *workshop.OopsResult) Report {
	word := "UNDONE"
	if r.Redo {
		word = "BROUGHT BACK"
	}
	line := fmt.Sprintf("%s: %s.", word, workshop.WordsOf(r.Verb, r.Ask))
	if r.Running != nil {
		line += fmt.Sprintf(" %s %s is running, since %s.", r.Running.Operation, r.Running.Names(), clock(r.Running.From))
	}
	lines := []string{line}
	var records []string
	for _, x := range r.Records {
		records = append(records, x.What+" "+x.State)
	}
	if n := len(records); n > 4 {
		records = append(records[:4], fmt.Sprintf("and %d more", n-4))
	}
	if len(records) > 0 {
		lines = append(lines, strings.Join(records, ", ")+".")
	}
	if !r.Redo {
		lines = append(lines, "Wrong? Type: oops --redo")
	}
	return Report{Name: "oops", Headline: lines}
}

// WhatRuns is what runs, what cures and what comes next.
func WhatRuns(r *workshop.NowResult) Report {
	out := Report{Name: "now"}
	if x := r.Running; x == nil {
		out.Headline = []string{"Nothing is running."}
		out.Next = []string{"tonight"}
	} else {
		line := fmt.Sprintf("%s %s, %s so far, since %s.", x.Operation, workshop.JoinNames(x.Necks), minutesOf(x.ElapsedMin), clock(x.From))
		if x.LikelyMin > 0 {
			line += fmt.Sprintf(" Likely by %s, safe by %s.", clock(x.From.Add(spanOf(x.LikelyMin))), clock(x.From.Add(spanOf(x.SafeMin))))
		}
		out.Headline = []string{line}
		out.Next = []string{"done", "off"}
		if x.Away != nil {
			out.Headline = append(out.Headline, "Away since "+clock(*x.Away)+".")
			out.Next = []string{"back"}
		}
	}
	for _, c := range r.Cures {
		out.Headline = append(out.Headline, fmt.Sprintf("%s %s cures until %s, longer if the label says so.", c.Operation, c.Name, when0(c.Until, r.Made)))
	}
	return out
}

// clock prints the time of day of an instant in its own zone.
func clock(t time.Time) string { return t.Format("15:04") }

// when0 prints an instant as "Wed 07:16", with its date where it is six days
// off or more.
func when0(t, now time.Time) string {
	if d := t.Sub(now); d > 6*24*time.Hour || d < -6*24*time.Hour {
		return t.Format("Mon 2 Jan 2006 15:04")
	}
	return t.Format("Mon 15:04")
}

// minutesOf prints minutes as whole ones, "under a minute" below one.
func minutesOf(m float64) string { return jobs.MinutesText(spanOf(m)) }

// upMinutes prints an estimate in whole minutes, rounded up.
func upMinutes(m float64) string { return fmt.Sprintf("%.0f min", math.Ceil(m)) }

func spanOf(minutes float64) time.Duration { return time.Duration(minutes * float64(time.Minute)) }
