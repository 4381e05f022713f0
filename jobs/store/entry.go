package store

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"bookmatch/jobs"
)

// EntryFilter chooses entries; zero fields choose nothing away.
type EntryFilter struct {
	Neck      string // code
	Operation string
	From, To  jobs.Day // evenings, both included
	Class     jobs.Class
	Assumed   bool // only those
}

// keeps says whether an entry passes.
func (f EntryFilter) keeps(e jobs.Entry, zone *time.Location, turn jobs.Clock) bool {
	if f.Neck != "" && e.ShareOf(f.Neck) < 0 {
		return false
	}
	day := jobs.EveningOf(e.From, zone, turn)
	return (f.Operation == "" || e.Operation == f.Operation) && (f.From == "" || day >= f.From) && (f.To == "" || day <= f.To) &&
		(f.Class == "" || e.Class == f.Class) && (!f.Assumed || e.Assumed)
}

// FindEntries gives the entries that pass, in order of time, by the index that
// reads fewest: a neck's, or those of the days asked for.
func (tx *Tx) FindEntries(f EntryFilter, shop jobs.Shop) ([]jobs.Entry, error) {
	var es []jobs.Entry
	var err error
	switch {
	case f.Neck != "":
		es, err = tx.NeckEntries(f.Neck)
	case f.From != "" || f.To != "":
		from, to := time.Unix(-1<<40, 0), tx.Now.AddDate(10, 0, 0)
		if f.From != "" {
			from = f.From.Noon().Add(-48 * time.Hour)
		}
		if f.To != "" {
			to = f.To.Noon().Add(48 * time.Hour)
		}
		es, err = tx.EntriesBetween(from, to)
	case f.Operation != "":
		es, err = By(tx, Entries, EntriesByOperation, f.Operation)
	default:
		if es, err = All(tx, Entries); err == nil {
			byTime(es)
		}
	}
	if err != nil {
		return nil, err
	}
	return keepEntries(es, f, shop), nil
}

func keepEntries(es []jobs.Entry, f EntryFilter, shop jobs.Shop) []jobs.Entry {
	var out []jobs.Entry
	zone := shop.Location()
	for _, e := range es {
		if f.keeps(e, zone, shop.DayEnds) {
			out = append(out, e)
		}
	}
	return out
}

// Entry reads one entry; a number that is not there is a *NotFoundError.
func (tx *Tx) Entry(id uint64) (jobs.Entry, error) {
	e, ok, err := GetID(tx, Entries, id)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "entry", Value: fmt.Sprint(id)}
	}
	return e, err
}

// EntryChange is what one command did to an entry. Before or After is nil when
// the entry was not there.
type EntryChange struct {
	Seq           uint64
	At            time.Time
	Verb          string
	Ask           json.RawMessage
	By, Why       string // who asked, and the reason given
	Undone        bool   // the command took something back, or brought it in again
	Before, After *jobs.Entry
}

// EntryHistory gives the changes, oldest first, of the entries in ids and of those
// entries that are gone and of which keep says any state, by number.
func (tx *Tx) EntryHistory(ids map[uint64]bool, keep func(jobs.Entry) bool) (map[uint64][]EntryChange, error) {
	look, kept := map[uint64]bool{}, map[uint64]bool{}
	maps.Copy(look, ids)
	maps.Copy(kept, ids)
	gone, err := tx.goneEntries()
	if err != nil {
		return nil, err
	}
	for _, id := range gone {
		look[id] = true
	}
	all := map[uint64][]EntryChange{}
	for c, err := range changesThat(tx, false, func(raw []byte) bool {
		return slices.ContainsFunc(entriesIn(raw), func(id uint64) bool { return look[id] })
	}) {
		if err != nil {
			return nil, err
		}
		for _, r := range c.Records {
			if r.Bucket != Entries.bucket || len(r.Key) != idBytes || !look[keyNumber(r.Key)] {
				continue
			}
			x := EntryChange{Seq: c.Seq, At: c.At, Verb: c.Verb, Ask: c.Ask, By: c.By, Why: c.Why, Undone: c.Undoes > 0 || c.Redoes > 0}
			if x.Before, err = entryIn(r.Before); err != nil {
				return nil, err
			}
			if x.After, err = entryIn(r.After); err != nil {
				return nil, err
			}
			id := keyNumber(r.Key)
			all[id] = append(all[id], x)
			for _, e := range []*jobs.Entry{x.Before, x.After} {
				kept[id] = kept[id] || (e != nil && keep(*e))
			}
		}
	}
	maps.DeleteFunc(all, func(id uint64, _ []EntryChange) bool { return !kept[id] })
	return all, nil
}

// goneEntries gives the numbers of entries that were there once.
func (tx *Tx) goneEntries() (ids []uint64, err error) {
	b := tx.bucket(Entries.bucket)
	for c, err := range changesThat(tx, false, func(doc []byte) bool { return bytes.Contains(doc, []byte(`"after":null`)) }) {
		if err != nil {
			return nil, err
		}
		for _, r := range c.Records {
			if r.Bucket == Entries.bucket && len(r.Key) == idBytes && noNull(r.After) == nil && b.Get(r.Key) == nil {
				ids = append(ids, keyNumber(r.Key))
			}
		}
	}
	return ids, nil
}

// entriesIn gives the numbers of the entries that a change touches, from its
// document as it is.
func entriesIn(raw []byte) (ids []uint64) {
	mark := []byte(recordMark(Entries.bucket))
	for {
		i := bytes.Index(raw, mark)
		if i < 0 {
			return ids
		}
		raw = raw[i+len(mark):]
		key, err := base64.StdEncoding.DecodeString(string(raw[:min(len(raw), base64.StdEncoding.EncodedLen(idBytes))]))
		if err == nil && len(key) == idBytes {
			ids = append(ids, keyNumber(key))
		}
	}
}

func entryIn(raw json.RawMessage) (*jobs.Entry, error) {
	if doc := noNull(raw); len(bytes.TrimSpace(doc)) > 0 {
		var e jobs.Entry
		if err := json.Unmarshal(doc, &e); err != nil {
			return nil, fmt.Errorf("%w: a state of an entry in the journal: %w", ErrDamaged, err)
		}
		return &e, nil
	}
	return nil, nil
}

// EntryFollowers gives what points at an entry: supplies used and holes drilled
// in it.
func (tx *Tx) EntryFollowers(id uint64) ([]jobs.SupplyUse, []jobs.BitUse, error) {
	uses, err := ByID(tx, Uses, UsesByEntry, id)
	if err != nil {
		return nil, nil, err
	}
	holes, err := ByID(tx, BitUses, BitUsesByEntry, id)
	return uses, holes, err
}

// DropEntry removes an entry and all that points at it, as if it had never been
// logged. The journal keeps what was there.
func (tx *Tx) DropEntry(e jobs.Entry) (uses []jobs.SupplyUse, holes []jobs.BitUse, err error) {
	if uses, holes, err = tx.EntryFollowers(e.ID); err != nil {
		return nil, nil, err
	}
	for _, u := range uses {
		if err := Delete(tx, Uses, u); err != nil {
			return nil, nil, err
		}
	}
	for _, u := range holes {
		if err := Delete(tx, BitUses, u); err != nil {
			return nil, nil, err
		}
	}
	return uses, holes, Delete(tx, Entries, e)
}
