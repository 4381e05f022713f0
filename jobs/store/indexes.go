package store

import (
	"slices"
	"strings"
)

// An index is a bucket of keys that lead to records. Each is made from the
// records alone, so that it can be made again at any time.

// rebuildIndexes empties every index and fills it again from the records.
func (tx *Tx) rebuildIndexes() error {
	for _, c := range collections {
		for _, ix := range c.indexNames() {
			if err := tx.empty(ix); err != nil {
				return err
			}
		}
		if len(c.indexNames()) == 0 {
			continue
		}
		if err := tx.fillIndexes(c); err != nil {
			return err
		}
	}
	if err := tx.fillAnswers(); err != nil {
		return err
	}
	return tx.fillSummaries()
}

// fillIndexes writes the index entries of a collection in their order: bbolt
// splits a page only when it commits, so that entries put in between would be
// moved again with each one that follows.
func (tx *Tx) fillIndexes(c anyCollection) error {
	all := map[string][]indexed{}
	cur := tx.bucket(c.name()).Cursor()
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		doc, err := document(c.nounName(), k, v)
		if err != nil {
			return err
		}
		keys, err := c.rawIndex(doc)
		if err != nil {
			return damaged(c.nounName(), k, err)
		}
		for _, ix := range keys {
			all[ix.bucket] = append(all[ix.bucket], ix)
		}
	}
	for _, name := range c.indexNames() {
		list := all[name]
		slices.SortFunc(list, func(a, b indexed) int { return strings.Compare(a.key, b.key) })
		b := tx.bucket(name)
		b.FillPercent = appended
		for _, e := range list {
			if err := b.Put([]byte(e.key), []byte(e.value)); err != nil {
				return err
			}
		}
	}
	return nil
}
