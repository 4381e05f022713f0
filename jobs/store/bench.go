package store

import (
	"fmt"
	"time"

	"bookmatch/jobs"
)

// Settling is what became of an entry that was left on.
type Settling struct {
	Entry jobs.Entry
	Why   string // which bound gave the end
}

// Settle gives a forgotten entry its assumed end. It writes only when there is
// one, so it is shown once.
func (tx *Tx) Settle(operations map[string]jobs.Operation, shop jobs.Shop) (*Settling, error) {
	e, on, err := tx.RunningEntry()
	if err != nil || !on || !jobs.Forgotten(e, shop, tx.Now) {
		return nil, err
	}
	done, why, err := tx.assume(e, operations, shop)
	if err != nil {
		return nil, err
	}
	return &Settling{done, why}, Put(tx, Entries, done)
}

// States derives the necks that words name, in their order.
func (tx *Tx) States(words []string, operations map[string]jobs.Operation, shop jobs.Shop) ([]jobs.NeckState, error) {
	var out []jobs.NeckState
	for _, w := range words {
		n, err := tx.FindNeck(w)
		if err != nil {
			return nil, err
		}
		st, err := tx.NeckState(n, operations, shop)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

// ShareStates derives the necks of an entry.
func (tx *Tx) ShareStates(e jobs.Entry, operations map[string]jobs.Operation, shop jobs.Shop) ([]jobs.NeckState, error) {
	var codes []string
	for _, s := range e.Shares {
		codes = append(codes, s.Neck)
	}
	return tx.States(codes, operations, shop)
}

// ClockIn begins an entry now; what ran before it ends (and is returned). A
// clock that stands before the last record starts where that one ended.
func (tx *Tx) ClockIn(e jobs.Entry, operations map[string]jobs.Operation, shop jobs.Shop) (started jobs.Entry, ended *jobs.Entry, err error) {
	prev, err := tx.ClockOff(operations, shop)
	if err != nil {
		return e, nil, err
	}
	e.ID, err = NextID(tx, Entries)
	if err != nil {
		return e, prev, err
	}
	e.From, e.Written = tx.Now, tx.Now
	last, err := tx.LatestEntries(1)
	if err != nil {
		return e, prev, err
	}
	if len(last) == 1 && last[0].To != nil && last[0].SpentSec == 0 && last[0].To.After(e.From) && last[0].To.Sub(e.From) < 6*time.Hour {
		e.From, e.ClockBack = *last[0].To, true
	}
	return e, prev, Put(tx, Entries, e)
}

// ClockOff ends the running entry without saying that its step is done; nil if
// nothing is on.
func (tx *Tx) ClockOff(operations map[string]jobs.Operation, shop jobs.Shop) (*jobs.Entry, error) {
	e, on, err := tx.RunningEntry()
	if err != nil || !on {
		return nil, err
	}
	states, err := tx.ShareStates(e, operations, shop)
	if err != nil {
		return nil, err
	}
	e = jobs.Stop(e, operations[e.Operation], states, tx.Now)
	return &e, Put(tx, Entries, e)
}

// LastTonight gives the entry that `done` means when nothing is on: the newest
// of this evening, if its steps are still open.
func (tx *Tx) LastTonight(shop jobs.Shop) (jobs.Entry, bool, error) {
	last, err := tx.LatestEntries(1)
	if err != nil || len(last) == 0 || shop.Evening(last[0].From) != shop.Evening(tx.Now) {
		return jobs.Entry{}, false, err
	}
	return last[0], true, nil
}

// Overlapping gives the logged entries that claim the same time as one of the
// given ones. Entries among the given are compared with each other as well.
func (tx *Tx) Overlapping(es []jobs.Entry) ([]jobs.Entry, error) {
	var out []jobs.Entry
	for i, e := range es {
		for _, f := range es[:i] {
			if e.From.Before(f.End(tx.Now)) && f.From.Before(e.End(tx.Now)) && e.SpentSec == 0 && f.SpentSec == 0 {
				return nil, &jobs.ConflictError{What: fmt.Sprintf("%s and %s overlap", f.Operation, e.Operation), How: "look at the times"}
			}
		}
		near, err := tx.EntriesBetween(e.From.Add(-36*time.Hour), e.End(tx.Now))
		if err != nil {
			return nil, err
		}
		for _, f := range near {
			if e.Overlaps(f, tx.Now) {
				out = append(out, f)
			}
		}
	}
	return out, nil
}
