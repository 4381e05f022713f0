package main

import (
	"fmt"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func (e *env) away(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		if n := len(entry.Away); n > 0 && entry.Away[n-1].To == nil {
			return &jobs.ConflictError{What: "you are away since " + b.clock(entry.Away[n-1].From), How: "say back"}
		}
		entry.Away = append(entry.Away, jobs.Span{From: b.notBefore(*entry)})
		b.say("%s away from %s %s", b.clock(b.tx.Now), entry.Kind, b.necksText(*entry))
		return nil
	})
}

func (e *env) back(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		n := len(entry.Away)
		if n == 0 || entry.Away[n-1].To != nil {
			return &jobs.ConflictError{What: "you are not away", How: "say away first"}
		}
		to := b.tx.Now
		if to.Before(entry.Away[n-1].From) {
			to = entry.Away[n-1].From
		}
		entry.Away[n-1].To = &to
		b.say("%s back at %s %s after %s", b.clock(to), entry.Kind, b.necksText(*entry), minutesText(to.Sub(entry.Away[n-1].From)))
		return nil
	})
}

func (e *env) goMark(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		if entry.Go != nil {
			return &jobs.ConflictError{What: fmt.Sprintf("the run of %s %s began at %s", entry.Kind, b.necksText(*entry), b.clock(*entry.Go)), How: "was that too early? oops, then go again"}
		}
		at := b.notBefore(*entry)
		entry.Go = &at
		b.say("%s %s %s: set-up took %s, the run begins", b.clock(at), entry.Kind, b.necksText(*entry), minutesText(entry.SetupSpan(b.tx.Now)))
		return nil
	})
}

// notBefore is now, or the start of the entry when the clock went back.
func (b *bench) notBefore(e jobs.Entry) time.Time {
	if b.tx.Now.Before(e.From) {
		return e.From
	}
	return b.tx.Now
}

// change amends the running entry.
func (e *env) change(c *cli.Context, fn func(*bench, *jobs.Entry) error) error {
	if _, err := words(c, 0, 0); err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		entry, on, err := b.tx.RunningEntry()
		if err != nil {
			return err
		}
		if !on {
			return nothingOn()
		}
		if err := fn(b, &entry); err != nil {
			return err
		}
		b.data = map[string]any{"entry": entry}
		return store.Put(b.tx, store.Entries, entry)
	})
}
