package workshop

import (
	"encoding/json"
	"maps"
	"slices"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// PastChange is what one change did to an entry.
type PastChange struct {
	At     time.Time       `json:"at"`
	Change uint64          `json:"change"`
	Verb   string          `json:"verb"`
	Ask    json.RawMessage `json:"ask,omitempty"`
	By     string          `json:"by,omitempty"`
	Why    string          `json:"why,omitempty" own:"words"`
	What   []string        `json:"what"`
}

// entryHistory adds to a list what became of each entry, and the entries that
// were removed.
func (b *Book) entryHistory(res *EntryListResult, f store.EntryFilter) error {
	rows, listed := map[uint64]*EntryRow{}, map[uint64]bool{}
	for i := range res.Entries {
		rows[res.Entries[i].ID], listed[res.Entries[i].ID] = &res.Entries[i], true
	}
	changes, err := b.EntryHistory(listed, func(e jobs.Entry) bool {
		day := b.Shop.Evening(e.From)
		return (f.Neck == "" || e.ShareOf(f.Neck) >= 0) && (f.Operation == "" || e.Operation == f.Operation) && (f.From == "" || day >= f.From) && (f.To == "" || day <= f.To)
	})
	if err != nil {
		return err
	}
	for _, id := range slices.Sorted(maps.Keys(changes)) {
		var past []PastChange
		var last *jobs.Entry
		for _, x := range changes[id] {
			past = append(past, PastChange{At: b.Wall(x.At), Change: x.Seq, Verb: x.Verb, Ask: x.Ask, By: x.By, Why: x.Why, What: b.changeWords(x)})
			if x.After == nil {
				last = x.Before
			}
		}
		if r := rows[id]; r != nil {
			r.History = past
		} else if end := changes[id][len(changes[id])-1]; end.After == nil && last != nil {
			r := b.Row(*last)
			r.Dropped, r.History = true, past
			res.Dropped = append(res.Dropped, r)
		}
	}
	return nil
}

// changeWords says what a change did to an entry.
func (b *Book) changeWords(x store.EntryChange) []string {
	switch {
	case x.Before == nil && x.Undone:
		return []string{"logged again"}
	case x.Before == nil:
		return []string{"logged"}
	case x.After == nil && x.Undone:
		return []string{"undone"}
	case x.After == nil:
		return []string{"removed"}
	}
	return b.difference(*x.Before, *x.After)
}
