package workshop

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

// FinishOptions is what is known of a finished session next to its counts.
type FinishOptions struct {
	Bit     string
	Grade   *int
	Backing string
	DepthMM float64
	TempC   *float64
	Note    string

	states []jobs.NeckState // of the entry's necks, where they were derived already
}

// Finish ends an entry as done and writes all that follows from it: the holes on
// the bit and the supplies of the recipe. Entering an evening late and amending
// use it too, so the same work has the same effects however it was logged. res may
// be nil.
func (b *Book) Finish(entry jobs.Entry, counts []jobs.Count, o FinishOptions, res *DoneResult) error {
	if res == nil {
		res = &DoneResult{}
	}
	states, err := o.states, error(nil)
	if states == nil {
		if states, err = b.ShareStates(entry); err != nil {
			return err
		}
	}
	operation := b.Operations[entry.Operation]
	end := b.Now
	if end.Before(entry.From) {
		end = entry.From
	}
	if entry, err = jobs.Finish(entry, counts, states, operation, end); err != nil {
		return err
	}
	b.WarnCounts(entry, states, operation)
	if err := b.checkGrade(entry, o.Grade, counts); err != nil {
		return err
	}
	if o.Grade != nil {
		entry.Grade = o.Grade
	}
	entry.GradedNecks()
	if o.TempC != nil {
		entry.TempC = o.TempC
	}
	entry.Note = cmp.Or(o.Note, entry.Note)
	if o.Bit != "" && operation.Drills == "" {
		return &jobs.FieldError{Field: "bit", Value: o.Bit, Want: "a drilling step: " + operation.Name + " uses no bit"}
	}
	if operation.Drills == "" && (o.Backing != "" || o.DepthMM > 0) {
		return &jobs.FieldError{Field: "backing or depth", Value: cmp.Or(o.Backing, jobs.NumberText(o.DepthMM)), Want: "a drilling step: " + operation.Name + " drills nothing"}
	}
	if err := b.doubtLong(entry); err != nil { // before the record is part of what is expected
		return err
	}
	var uses []jobs.BitUse
	if operation.Drills != "" {
		if uses, err = b.LogHoles(&entry, operation, states, o); err != nil {
			return err
		}
	}
	var supplies []RecipeUse
	if entry.TotalCount() > 0 && EntryDone(entry) {
		if supplies, err = b.IssueRecipe(entry, operation); err != nil {
			return err
		}
	}
	if err := store.Put(b.Tx, store.Entries, entry); err != nil {
		return err
	}
	b.doubtShort(entry)
	b.warnClock(entry)
	res.Entry, res.Finished = b.Row(entry), EntryDone(entry)
	res.CountText, res.Unit, res.ElapsedMin = b.countText(entry, operation), operation.Unit(), res.Entry.ElapsedMin
	res.Bits, res.Supplies = holesOn(uses), suppliesOut(supplies)
	if res.Rims, err = b.rimTales(uses); err != nil {
		return err
	}
	b.cureOf(entry, operation, res)
	return b.nextOf(entry, res)
}

// cureOf gives the cure that a finished entry began.
func (b *Book) cureOf(e jobs.Entry, operation jobs.Operation, res *DoneResult) {
	unclamp, full, cold := operation.Cure(b.Shop, e.TempC)
	if full <= 0 || !EntryDone(e) {
		return
	}
	free, ready := b.Wall(e.To.Add(unclamp)), b.Wall(e.To.Add(full))
	res.CureUntil, res.Cold, res.Errand = &ready, cold, operation.Decide
	if unclamp > 0 && !operation.Decide {
		res.FreeAt = &free
	}
}

// countText prints what was counted, with the part of each neck where they differ.
func (b *Book) countText(e jobs.Entry, operation jobs.Operation) string {
	text := jobs.UnitText(e.TotalCount(), operation)
	var each []string
	differ := false
	for _, s := range e.Shares {
		if s.Count > 0 {
			each = append(each, b.NameOf(s.Neck)+" "+jobs.NumberText(s.Count))
		}
		differ = differ || s.Count != e.Shares[0].Count || s.Done != e.Shares[0].Done
	}
	if !differ || len(each) < 2 {
		return text
	}
	return text + " (" + strings.Join(each, ", ") + ")"
}

// nextOf gives what the necks of an entry need next.
func (b *Book) nextOf(e jobs.Entry, res *DoneResult) error {
	after, err := b.ShareStates(e)
	if err != nil {
		return err
	}
	for _, st := range after {
		next := NextStep{Neck: st.Neck.Code, Name: st.Neck.Name()}
		if v, ok := st.Next(); ok {
			next.Operation = v.Operation
		} else if len(st.Steps) == 0 || st.Neck.IsClosed() {
			continue
		}
		res.Next = append(res.Next, next)
	}
	return nil
}

// WarnCounts doubts a count over twice or under half of the plan, and any other
// number of holes than planned. It never refuses: the builder may be right.
func (b *Book) WarnCounts(e jobs.Entry, states []jobs.NeckState, operation jobs.Operation) {
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
				text := fmt.Sprintf("Check %s %s: %s done, %s planned. Wrong?", e.Operation, st.Neck.Name(), jobs.UnitText(s.Count, operation), jobs.NumberText(plan))
				if s.Count < plan {
					text += fmt.Sprintf(" The rest comes later? oops, then done %s %s left.", st.Neck.Name(), jobs.NumberText(s.Count))
				}
				b.Warn(jobs.Warning{Code: "count", Text: text, Hint: "oops"})
			}
		}
	}
}

// doubtLong asks about a session that took far longer than was safe to expect
// before it: mostly a break or an end that nobody clocked.
func (b *Book) doubtLong(e jobs.Entry) error {
	if e.SpentSec > 0 || e.Assumed || e.TotalCount() <= 0 {
		return nil
	}
	est, err := b.Est().Step(e.Operation, e.TotalCount())
	if err != nil {
		return err
	}
	took := e.Elapsed(b.Now).Minutes()
	if est.SafeMin > 0 && took > 3*est.SafeMin && took > est.SafeMin+45 {
		b.Warn(jobs.Warning{Code: "long", Text: fmt.Sprintf("%s, where %.0f min is safe. Was it left running, or were you away?", jobs.MinutesText(e.Elapsed(b.Now)), math.Ceil(est.SafeMin)),
			Hint: fmt.Sprintf(`entry amend %d --to %s --why "left running"`, e.ID, b.Clock(e.From.Add(time.Duration(math.Ceil(est.SafeMin))*time.Minute)))})
	}
	return nil
}

// doneAndOpen parts the necks of a session: those on which the step is done, and
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

// suppliesOut adds up what recipes took by supply. What the shop does not keep
// is left out.
func suppliesOut(uses []RecipeUse) (out []SupplyOut) {
	sums := map[string]money.Qty{}
	units := map[string]string{}
	for _, u := range uses {
		if !u.Missing {
			sums[u.Use.Supply] = sums[u.Use.Supply].Plus(u.Use.Quantity)
			units[u.Use.Supply] = string(u.Unit)
		}
	}
	for _, name := range jobs.SortedKeys(sums) {
		out = append(out, SupplyOut{name, sums[name].Round(2).String(), units[name]})
	}
	return out
}

// holesOn adds up holes by bit.
func holesOn(uses []jobs.BitUse) (out []HolesOn) {
	holes := map[string]int{}
	for _, u := range uses {
		holes[u.Bit] += u.Holes
	}
	for _, code := range jobs.SortedKeys(holes) {
		out = append(out, HolesOn{code, holes[code]})
	}
	return out
}

// RoundCount gives a count of holes as a whole number.
func RoundCount(q float64) int { return int(math.Round(q)) }
