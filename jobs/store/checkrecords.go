package store

import (
	"bytes"
	"errors"
	"hash/maphash"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// replay goes through the journal from the first change and gives the hash of
// each record as it leaves it. Each change must find what it says stood before.
func (h *Health) replay(tx *Tx, seed maphash.Seed) map[string]map[string]uint64 {
	state := map[string]map[string]uint64{}
	b := tx.bucket(bucketJournal)
	cur := b.Cursor()
	next := uint64(1)
	for k, raw := cur.First(); k != nil; k, raw = cur.Next() {
		c, err := readChange(k, raw)
		switch {
		case errors.Is(err, errSum): // reported already
			next++
			continue
		case err != nil:
			h.found("journal", "%v", err)
			next++
			continue
		case !bytes.Equal(k, idKey(c.Seq)):
			h.found("journal", "change %d is stored under the number %s", c.Seq, keyText(k))
		case c.Seq != next:
			h.found("journal", "changes %d to %d are missing", next, c.Seq-1)
		}
		next = c.Seq + 1
		h.Changes++
		if c.At.After(h.Newest) {
			h.Newest = c.At
		}
		for _, r := range c.Records {
			m := state[r.Bucket]
			if m == nil {
				m = map[string]uint64{}
				state[r.Bucket] = m
			}
			before, after := noNull(r.Before), noNull(r.After)
			was, there := m[string(r.Key)]
			if there != (before != nil) || there && was != maphash.Bytes(seed, before) {
				h.found("journal", "change %d does not find %s as the changes before it left it", c.Seq, r.Name())
			}
			if after == nil {
				delete(m, string(r.Key))
			} else {
				m[string(r.Key)] = maphash.Bytes(seed, after)
			}
		}
	}
	if last := h.numbers[bucketJournal]; last != next-1 {
		h.found("journal", "the newest change is %d where %d were written", next-1, last)
	}
	return state
}

// collection looks at the records of one bucket, takes them off the replayed
// state, and compares its indexes.
func (h *Health) collection(tx *Tx, c anyCollection, replayed map[string]uint64, seed maphash.Seed) {
	b := tx.bucket(c.name())
	count, top := 0, uint64(0)
	want := map[string]int{}
	cur := b.Cursor()
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		count++
		v, sound := unseal(k, v)
		if !sound {
			continue // reported already
		}
		if numbered(k) {
			top = keyNumber(k)
		}
		entries, err := c.check(k, v)
		if err != nil {
			h.found("record", "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
		}
		if sum, ok := replayed[string(k)]; !ok {
			h.found("journal", "%s %s is not in the journal", c.name(), keyText(k))
		} else if sum != maphash.Bytes(seed, v) {
			h.found("journal", "%s %s is not as the journal has it", c.name(), keyText(k))
		}
		delete(replayed, string(k))
		for _, e := range entries {
			want[e.bucket]++
			if got := tx.bucket(e.bucket).Get([]byte(e.key)); !bytes.Equal(got, k) {
				h.found("index", "%s misses %s %s", e.bucket, c.name(), keyText(k))
			}
		}
	}
	given := h.numbers[c.name()]
	if other, ok := sequenceOf[c.name()]; ok {
		given = h.numbers[other]
	}
	if given < top {
		h.found("sequence", "%s would give number %d again", c.name(), given+1)
	}
	h.Records = append(h.Records, Counted{c.name(), count})
	for _, ix := range c.indexNames() {
		n := keysIn(tx.bucket(ix))
		if n != want[ix] {
			h.found("index", "%s has %d entries where the records ask for %d", ix, n, want[ix])
		}
		h.Indexed += n
	}
}

func keysIn(b *bolt.Bucket) int {
	n := 0
	cur := b.Cursor()
	for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
		n++
	}
	return n
}

// sequenceOf names buckets that take their numbers from another's sequence.
var sequenceOf = map[string]string{"bit_moves": "bit_uses"}
