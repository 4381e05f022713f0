package bench

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FinishOptions is what `done` was told beside the counts.
type FinishOptions struct {
	Bit     string
	Grade   *int
	Backing string
	DepthMM float64
	TempC   *float64
	Note    string

	states []jobs.NeckState // of the entry's necks, where they were derived already
}

// finishResult is what became of a finished sitting.
type finishResult struct {
	Entry      jobs.Entry        `json:"entry"`
	ElapsedMin float64           `json:"elapsed_min"`
	CureUntil  *time.Time        `json:"cure_until,omitempty"`
	FreeAt     *time.Time        `json:"clamps_free_at,omitempty"`
	Cold       bool              `json:"cold,omitempty"`
	Bits       []jobs.BitUse     `json:"bit_uses,omitempty"`
	Supplies   []store.RecipeUse `json:"supply_uses,omitempty"`
	Next       []string          `json:"next,omitempty"`
}

// Finish ends an entry as done and writes all that follows from it: the holes
// on the bit and the supplies of the recipe. Entering an evening late and
// amending use it too, so the same work has the same effects however it was
// told.
func (b *Bench) Finish(entry jobs.Entry, counts []jobs.Count, o FinishOptions) (finishResult, error) {
	var res finishResult
	states, err := o.states, error(nil)
	if states == nil {
		if states, err = b.Tx.ShareStates(entry, b.Operations, b.Shop); err != nil {
			return res, err
		}
	}
	operation := b.Operations[entry.Operation]
	end := b.Tx.Now
	if end.Before(entry.From) {
		end = entry.From
	}
	if entry, err = jobs.Finish(entry, counts, states, operation, end); err != nil {
		return res, err
	}
	b.WarnCounts(entry, states, operation)
	if o.Grade != nil {
		entry.Grade = o.Grade
	}
	if o.TempC != nil {
		entry.TempC = o.TempC
	}
	if o.Note != "" {
		entry.Note = o.Note
	}
	if o.Bit != "" && operation.Drills == "" {
		return res, &jobs.FieldError{Field: "bit", Value: o.Bit, Want: "a drilling step: " + operation.Name + " uses no bit"}
	}
	if operation.Drills == "" && (o.Backing != "" || o.DepthMM > 0) {
		return res, &jobs.FieldError{Field: "backing or depth", Value: cmp.Or(o.Backing, NumberText(o.DepthMM)), Want: "a drilling step: " + operation.Name + " drills nothing"}
	}
	if operation.Drills != "" {
		if res.Bits, err = b.LogHoles(&entry, operation, states, o); err != nil {
			return res, err
		}
	}
	if entry.TotalCount() > 0 && EntryDone(entry) {
		if res.Supplies, err = b.Tx.IssueRecipe(entry, operation); err != nil {
			return res, err
		}
	}
	if err := store.Put(b.Tx, store.Entries, entry); err != nil {
		return res, err
	}
	b.doubtLong(entry)
	res.Entry, res.ElapsedMin = entry, entry.Elapsed(b.Tx.Now).Minutes()
	if unclamp, full, cold := operation.Cure(b.Shop, entry.TempC); full > 0 && EntryDone(entry) {
		free, ready := entry.To.Add(unclamp), entry.To.Add(full)
		res.CureUntil, res.Cold = &ready, cold
		if unclamp > 0 {
			res.FreeAt = &free
		}
	}
	after, err := b.Tx.ShareStates(entry, b.Operations, b.Shop)
	if err != nil {
		return res, err
	}
	for _, st := range after {
		if v, ok := st.Next(); ok {
			res.Next = append(res.Next, st.Neck.Name()+" "+v.Operation)
		} else if len(st.Steps) > 0 {
			res.Next = append(res.Next, st.Neck.Name()+" has no step left: neck finish "+st.Neck.Name())
		}
	}
	return res, nil
}

// WarnCounts doubts a count of more than twice or less than half of what the
// step planned, and any other number of holes than planned: a slip of the hand
// that would teach the standards and wear the bit. It is only told, because the
// hand may be right.
func (b *Bench) WarnCounts(e jobs.Entry, states []jobs.NeckState, operation jobs.Operation) {
	if e.Class != jobs.First {
		return
	}
	for _, s := range e.Shares {
		for _, st := range states {
			v, ok := st.View(s.Step)
			if !ok || st.Neck.Code != s.Neck || !s.Done {
				continue
			}
			if plan := v.Quantity - v.Counted; plan > 0 && (s.Count > 2*plan || 2*s.Count < plan || operation.Drills != "" && s.Count != plan) {
				b.Warn("%s %s: %s where %s were planned; if that is not so, oops takes it back", e.Operation, st.Neck.Name(), UnitText(s.Count, operation), NumberText(plan))
				if s.Count < plan {
					b.Warn(`hint: the rest later, or with another bit? oops, then: done %s %s left`, st.Neck.Name(), NumberText(s.Count))
				}
			}
		}
	}
}

// SayDone is the echo of a finished step.
func (b *Bench) SayDone(res finishResult) {
	b.Data = res
	e := res.Entry
	operation := b.Operations[e.Operation]
	finished, open := doneAndOpen(e)
	when, word, who := b.Clock(*e.To), "done", finished
	if e.SpentSec > 0 && b.Shop.Evening(*e.To) != b.Shop.Evening(b.Tx.Now) {
		when = string(b.Shop.Evening(*e.To)) // told later: its hour means nothing
	}
	if len(finished.Shares) == 0 {
		word, who, open = "ended", open, finished // all of it stays open
	}
	line := fmt.Sprintf("%s %s %s %s: %s in %s", when, word, e.Operation, b.NecksText(who), UnitText(e.TotalCount(), operation), MinutesText(e.Elapsed(b.Tx.Now)))
	if word == "ended" {
		line += "; the step stays open"
	} else if len(open.Shares) > 0 {
		line += "; it stays open on " + b.NecksText(open)
	}
	if len(res.Bits) > 0 {
		line += "; on " + BitsText(res.Bits)
	}
	if used := usedText(res.Supplies); used != "" {
		line += "; used " + used
	}
	b.Say("%s", line)
	if res.CureUntil != nil && res.CureUntil.After(b.Tx.Now) {
		cold := ""
		if res.Cold {
			cold = fmt.Sprintf(" (below %g C: stretched %g times)", b.Shop.ColdBelowC, b.Shop.ColdFactor)
		}
		text := fmt.Sprintf("      cure until %s%s, follow the label", b.Shop.WhenFrom(*res.CureUntil, b.Tx.Now), cold)
		if res.FreeAt != nil && !res.FreeAt.Equal(*res.CureUntil) {
			text += fmt.Sprintf("; clamps off %s", b.Shop.When(*res.FreeAt))
		}
		b.Say("%s", text)
	}
	if len(res.Next) > 0 {
		b.Say("      next: %s", strings.Join(res.Next, "; "))
	}
	b.doubtShort(e)
	if e.ClockBack {
		b.Warn("the clock stands before the start of this entry: no time was counted; mend it with entry amend %d --to HH:MM", e.ID)
	}
}

// doneAndOpen parts the necks of a sitting: those on which the step is done, and
// those on which it stays open.
func doneAndOpen(e jobs.Entry) (finished, open jobs.Entry) {
	for _, s := range e.Shares {
		if s.Done {
			finished.Shares = append(finished.Shares, s)
		} else {
			open.Shares = append(open.Shares, s)
		}
	}
	return finished, open
}

// usedText names what the recipes took: "4.8 ml wood-glue". What the shop does
// not keep is left out.
func usedText(uses []store.RecipeUse) string {
	sums := map[string]money.Qty{}
	units := map[string]string{}
	for _, u := range uses {
		if !u.Missing {
			sums[u.Use.Supply] = sums[u.Use.Supply].Plus(u.Use.Quantity)
			units[u.Use.Supply] = string(u.Unit)
		}
	}
	var parts []string
	for _, name := range jobs.SortedKeys(sums) {
		parts = append(parts, fmt.Sprintf("%s %s %s", sums[name].Round(2).String(), units[name], name))
	}
	return strings.Join(parts, ", ")
}

// BitsText names the holes on each bit: "S10-1 6 holes".
func BitsText(uses []jobs.BitUse) string {
	holes := map[string]int{}
	for _, u := range uses {
		holes[u.Bit] += u.Holes
	}
	var parts []string
	for _, code := range jobs.SortedKeys(holes) {
		parts = append(parts, code+" "+CountText(holes[code], "hole"))
	}
	return strings.Join(parts, ", ")
}

// CountText prints a count with its noun: "1 evening", "6 holes", "2 entries".
func CountText(n int, noun string) string {
	stem, y := strings.CutSuffix(noun, "y")
	switch {
	case n == 1:
	case y:
		noun = stem + "ies"
	default:
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// RoundCount gives a count of holes as a whole number.
func RoundCount(q float64) int { return int(math.Round(q)) }
