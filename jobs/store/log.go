package store

import (
	"bytes"
	"slices"
	"sort"
	"time"

	"bookmatch/jobs"
)

// How much of the log the estimates read: with a half-life of eight past jobs an
// older one no longer moves them, and a long log must not slow the bench down.
const ()

// NeckEntries gives the entries of a neck in order of time.
func (tx *Tx) NeckEntries(code string) ([]jobs.Entry, error) {
	return By(tx, Entries, EntriesByNeck, code)
}

// EntriesBetween gives the entries that began in [from, to), in order of time.
func (tx *Tx) EntriesBetween(from, to time.Time) ([]jobs.Entry, error) {
	var out []jobs.Entry
	var err error
	cur := tx.bucket(EntriesByTime).Cursor()
	end := timeKey(to)
	for k, rec := cur.Seek(timeKey(from)); k != nil && bytes.Compare(k[:8], end) < 0; k, rec = cur.Next() {
		if out, err = addTo(tx, Entries, rec, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// LatestEntries gives the newest n entries of the whole log, oldest first.
func (tx *Tx) LatestEntries(n int) ([]jobs.Entry, error) {
	out := make([]jobs.Entry, 0, n)
	var err error
	cur := tx.bucket(EntriesByTime).Cursor()
	for k, rec := cur.Last(); k != nil && len(out) < n; k, rec = cur.Prev() {
		if out, err = addTo(tx, Entries, rec, out); err != nil {
			return nil, err
		}
	}
	slices.Reverse(out)
	return out, nil
}

// Evening gives the entries that belong to a shop day, in order of time.
func (tx *Tx) Evening(shop jobs.Shop, day jobs.Day) ([]jobs.Entry, error) {
	noon, zone := day.Noon(), shop.Location()
	near, err := tx.EntriesBetween(noon.Add(-48*time.Hour), noon.Add(48*time.Hour))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(near, func(e jobs.Entry) bool { return jobs.EveningOf(e.From, zone, shop.DayEnds) != day }), nil
}

// RunningEntry gives the entry that is on, if any.
func (tx *Tx) RunningEntry() (jobs.Entry, bool, error) {
	on, err := By(tx, Entries, EntriesRunning, "on")
	if err != nil || len(on) == 0 {
		return jobs.Entry{}, false, err
	}
	return on[len(on)-1], true, nil
}

// byTime orders entries by start, then number.
func byTime(es []jobs.Entry) {
	sort.SliceStable(es, func(i, j int) bool {
		if !es[i].From.Equal(es[j].From) {
			return es[i].From.Before(es[j].From)
		}
		return es[i].ID < es[j].ID
	})
}
