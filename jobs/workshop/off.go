package workshop

import (
	"fmt"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// RunningAsk is what the words for running work ask. Entry is the entry that
// was seen running. Nil means whatever runs.
type RunningAsk struct {
	Asked
	Entry *uint64 `json:"entry,omitempty"`
}

// OffAsk stops work.
type OffAsk struct {
	RunningAsk
	Note string `json:"note,omitempty" word:"[NOTE]..."`
}

// RunningResult is what became of the entry that runs or ran.
type RunningResult struct {
	Meta
	Entry      *EntryRow `json:"entry"`
	ElapsedMin float64   `json:"elapsed_min"`
	BreakMin   float64   `json:"break_min,omitempty"`
	At         time.Time `json:"at"` // the instant that the word names
}

// Off stops work without saying that its step is done. Away begins a break, Back
// ends it. Go says that the setup is over.
var (
	Off  = Define("off", "NOT STOPPED", Writes|Settles, (*Book).off)
	Away = Define("away", "NOT CHANGED", Writes|Settles, (*Book).away)
	Back = Define("back", "NOT CHANGED", Writes|Settles, (*Book).back)
	Go   = Define("go", "NOT CHANGED", Writes|Settles, (*Book).goMark)
)

func (b *Book) off(ask *OffAsk, res *RunningResult) error {
	if err := b.stillRuns(ask.Entry); err != nil {
		return err
	}
	ended, err := b.ClockOff()
	if err != nil {
		return err
	}
	if ended == nil {
		if b.left != nil { // the forgotten entry has just got its end: that is what off meant
			return nil
		}
		return b.nothingRuns()
	}
	if ask.Note != "" {
		ended.Note = ask.Note
		if err := store.Put(b.Tx, store.Entries, *ended); err != nil {
			return err
		}
	}
	b.fill(res, *ended, *ended.To)
	b.doubtShort(*ended)
	b.warnClock(*ended)
	return nil
}

func (b *Book) fill(res *RunningResult, e jobs.Entry, at time.Time) {
	row := b.Row(e)
	res.Entry, res.ElapsedMin, res.At = &row, row.ElapsedMin, b.Wall(at)
}

func (b *Book) warnClock(e jobs.Entry) {
	if e.ClockBack {
		b.Warn(jobs.Warning{Code: "clock-back", Text: "The clock is behind the start of this entry, so no time was counted.", Hint: fmt.Sprintf(`entry amend %d --to %s --why "the clock was wrong"`, e.ID, b.Clock(e.From.Add(time.Hour)))})
	}
}

// doubtShort asks about an entry of a minute or less. It is kept and teaches
// nothing, and is mostly a slip.
func (b *Book) doubtShort(e jobs.Entry) {
	if e.SpentSec == 0 && !e.ClockBack && e.Elapsed(b.Now) < 2*time.Minute {
		b.Warn(jobs.Warning{Code: "short", Text: fmt.Sprintf("%s %s took %s: costed, not used for estimates. A slip?", e.Operation, b.NecksText(e), jobs.MinutesText(e.Elapsed(b.Now))), Hint: "oops"})
	}
}

// nothingRuns says so, and what became of an entry that was left running. Who
// comes back the next evening and says done means that one.
func (b *Book) nothingRuns() error {
	if e := b.left; e != nil {
		end := b.Clock(*e.To)
		return jobs.Refuse("nothing-runs", fmt.Sprintf("nothing is running. %s %s was not stopped on %s", e.Operation, b.NecksText(*e), b.Shop.Evening(e.From)),
			fmt.Sprintf(`entry amend %d --done --to %s --why "it was finished"`, e.ID, end))
	}
	return jobs.Refuse("nothing-runs", "nothing is running, so nothing changed", "tonight")
}

// running gives the entry that a word means.
func (b *Book) running(ask RunningAsk) (jobs.Entry, error) {
	if err := b.stillRuns(ask.Entry); err != nil {
		return jobs.Entry{}, err
	}
	e, on, err := b.RunningEntry()
	if err == nil && !on {
		err = b.nothingRuns()
	}
	return e, err
}

func (b *Book) away(ask *RunningAsk, res *RunningResult) error {
	e, err := b.running(*ask)
	if err != nil {
		return err
	}
	if n := len(e.Away); n > 0 && e.Away[n-1].To == nil {
		return jobs.Refuse("away", "you are away since "+b.Clock(e.Away[n-1].From), "back")
	}
	at := b.notBefore(e)
	e.Away = append(e.Away, jobs.Span{From: at})
	b.fill(res, e, at)
	return store.Put(b.Tx, store.Entries, e)
}

func (b *Book) back(ask *RunningAsk, res *RunningResult) error {
	e, err := b.running(*ask)
	if err != nil {
		return err
	}
	n := len(e.Away)
	if n == 0 || e.Away[n-1].To != nil {
		return jobs.Refuse("not-away", "you are not away", "away")
	}
	to := b.Now
	if to.Before(e.Away[n-1].From) {
		to = e.Away[n-1].From
	}
	e.Away[n-1].To = &to
	b.fill(res, e, to)
	res.BreakMin = jobs.Round2(to.Sub(e.Away[n-1].From).Minutes())
	return store.Put(b.Tx, store.Entries, e)
}

func (b *Book) goMark(ask *RunningAsk, res *RunningResult) error {
	e, err := b.running(*ask)
	if err != nil {
		return err
	}
	if e.Go != nil {
		return jobs.Refuse("go", fmt.Sprintf("the setup of %s %s was over at %s. Too early? Take it back, then say go again", e.Operation, b.NecksText(e), b.Clock(*e.Go)), "oops")
	}
	at := b.notBefore(e)
	e.Go = &at
	b.fill(res, e, at)
	return store.Put(b.Tx, store.Entries, e)
}

// notBefore is now, or the start of the entry when the clock went back.
func (b *Book) notBefore(e jobs.Entry) time.Time {
	if b.Now.Before(e.From) {
		return e.From
	}
	return b.Now
}
