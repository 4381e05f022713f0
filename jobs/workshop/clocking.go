package workshop

import (
	"fmt"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Settling is what became of an entry that was left on.
type Settling struct {
	Entry jobs.Entry
	Why   string // which bound gave the end
}

// Settle gives a forgotten entry its assumed end. It writes only when there is
// one, so it is shown once.
func (b *Book) Settle() (*Settling, error) {
	e, on, err := b.RunningEntry()
	if err != nil || !on || !jobs.Forgotten(e, b.Shop, b.Now) {
		return nil, err
	}
	done, why, err := b.assume(e)
	if err != nil {
		return nil, err
	}
	return &Settling{done, why}, store.Put(b.Tx, store.Entries, done)
}

// OpenNecks derives every neck that is not closed.
func (b *Book) OpenNecks() ([]jobs.NeckState, error) {
	var out []jobs.NeckState
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return nil, err
		}
		if n.IsClosed() {
			continue
		}
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

// States derives the necks that words name, in their order.
func (b *Book) States(words []string) ([]jobs.NeckState, error) {
	var out []jobs.NeckState
	for _, w := range words {
		n, err := b.FindNeck(w)
		if err != nil {
			return nil, err
		}
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

// ShareStates derives the necks of an entry.
func (b *Book) ShareStates(e jobs.Entry) ([]jobs.NeckState, error) {
	var codes []string
	for _, s := range e.Shares {
		codes = append(codes, s.Neck)
	}
	return b.States(codes)
}

// ClockIn begins an entry now; what ran before it ends (and is returned). A
// clock that is before the last record starts where that one ended.
func (b *Book) ClockIn(e jobs.Entry) (started jobs.Entry, ended *jobs.Entry, err error) {
	prev, err := b.ClockOff()
	if err != nil {
		return e, nil, err
	}
	e.ID, err = store.NextID(b.Tx, store.Entries)
	if err != nil {
		return e, prev, err
	}
	e.From, e.Written = b.Now, b.Now
	last, err := b.LatestEntries(1)
	if err != nil {
		return e, prev, err
	}
	if len(last) == 1 && last[0].To != nil && last[0].SpentSec == 0 && last[0].To.After(e.From) && last[0].To.Sub(e.From) < 6*time.Hour {
		e.From, e.ClockBack = *last[0].To, true
	}
	return e, prev, store.Put(b.Tx, store.Entries, e)
}

// ClockOff ends the running entry without saying that its step is done; nil if
// nothing is on.
func (b *Book) ClockOff() (*jobs.Entry, error) {
	e, on, err := b.RunningEntry()
	if err != nil || !on {
		return nil, err
	}
	states, err := b.ShareStates(e)
	if err != nil {
		return nil, err
	}
	e = jobs.Stop(e, b.Operations[e.Operation], states, b.Now)
	return &e, store.Put(b.Tx, store.Entries, e)
}

// LastTonight gives the entry that `done` means when nothing is on: the newest
// of this evening, if its steps are still open.
func (b *Book) LastTonight() (jobs.Entry, bool, error) {
	last, err := b.LatestEntries(1)
	if err != nil || len(last) == 0 || b.Shop.Evening(last[0].From) != b.Shop.Evening(b.Now) {
		return jobs.Entry{}, false, err
	}
	return last[0], true, nil
}

// Overlapping gives the logged entries that claim the same time as one of the
// given ones. Entries among the given are compared with each other as well.
func (b *Book) Overlapping(es []jobs.Entry) ([]jobs.Entry, error) {
	var out []jobs.Entry
	for i, e := range es {
		for _, f := range es[:i] {
			if e.From.Before(f.End(b.Now)) && f.From.Before(e.End(b.Now)) && e.SpentSec == 0 && f.SpentSec == 0 {
				return nil, &jobs.ConflictError{What: fmt.Sprintf("%s and %s overlap", f.Operation, e.Operation), How: "entry list"}
			}
		}
		near, err := b.EntriesBetween(e.From.Add(-36*time.Hour), e.End(b.Now))
		if err != nil {
			return nil, err
		}
		for _, f := range near {
			if e.Overlaps(f, b.Now) {
				out = append(out, f)
			}
		}
	}
	return out, nil
}
