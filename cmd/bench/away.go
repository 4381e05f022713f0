package bench

import (
	"fmt"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

func (e *Env) away(l Line) error {
	return e.change(l, func(b *Bench, entry *jobs.Entry) error {
		if n := len(entry.Away); n > 0 && entry.Away[n-1].To == nil {
			return &jobs.ConflictError{What: "you are away since " + b.Clock(entry.Away[n-1].From), How: "say back"}
		}
		entry.Away = append(entry.Away, jobs.Span{From: b.notBefore(*entry)})
		b.Say("%s away from %s %s", b.Clock(b.Tx.Now), entry.Operation, b.NecksText(*entry))
		return nil
	})
}

func (e *Env) back(l Line) error {
	return e.change(l, func(b *Bench, entry *jobs.Entry) error {
		n := len(entry.Away)
		if n == 0 || entry.Away[n-1].To != nil {
			return &jobs.ConflictError{What: "you are not away", How: "say away first"}
		}
		to := b.Tx.Now
		if to.Before(entry.Away[n-1].From) {
			to = entry.Away[n-1].From
		}
		entry.Away[n-1].To = &to
		b.Say("%s back at %s %s after %s", b.Clock(to), entry.Operation, b.NecksText(*entry), MinutesText(to.Sub(entry.Away[n-1].From)))
		return nil
	})
}

func (e *Env) goMark(l Line) error {
	return e.change(l, func(b *Bench, entry *jobs.Entry) error {
		if entry.Go != nil {
			return &jobs.ConflictError{What: fmt.Sprintf("the run of %s %s began at %s", entry.Operation, b.NecksText(*entry), b.Clock(*entry.Go)), How: "was that too early? oops, then go again"}
		}
		at := b.notBefore(*entry)
		entry.Go = &at
		b.Say("%s %s %s: set-up took %s, the run begins", b.Clock(at), entry.Operation, b.NecksText(*entry), MinutesText(entry.SetupSpan(b.Tx.Now)))
		return nil
	})
}

// notBefore is now, or the start of the entry when the clock went back.
func (b *Bench) notBefore(e jobs.Entry) time.Time {
	if b.Tx.Now.Before(e.From) {
		return e.From
	}
	return b.Tx.Now
}

// change amends the running entry.
func (e *Env) change(l Line, fn func(*Bench, *jobs.Entry) error) error {
	return e.Do(l, func(b *Bench) error {
		entry, on, err := b.Tx.RunningEntry()
		if err != nil {
			return err
		}
		if !on {
			return b.nothingOn()
		}
		if err := fn(b, &entry); err != nil {
			return err
		}
		b.Data = map[string]any{"entry": entry}
		return store.Put(b.Tx, store.Entries, entry)
	})
}
