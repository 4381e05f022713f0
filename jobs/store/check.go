package store

import (
	"bytes"
	"errors"
	"fmt"
	"hash/maphash"
	"os"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

// Trouble is one thing that a check found.
type Trouble struct {
	Where string `json:"where"` // pages, bbolt, record, index, journal, sequence, answer, reference, derived, access
	Text  string `json:"text"`
}

// Counted is how many records a bucket holds.
type Counted struct {
	Bucket  string `json:"bucket"`
	Records int    `json:"records"`
}

// Health is what a check saw. No Troubles: every page, record, index entry,
// change and figure is as it should be.
type Health struct {
	Path    string    `json:"path"`
	Schema  int       `json:"schema"`
	Bytes   int64     `json:"bytes"`
	Records []Counted `json:"records"`
	Indexed int       `json:"indexed"`
	Changes int       `json:"changes"`
	Newest  time.Time `json:"newest,omitzero"` // instant of the newest change
	// Left are files beside it that commands left which were cut off.
	Left     []string  `json:"left_behind,omitempty"`
	Troubles []Trouble `json:"troubles"`
	More     int       `json:"more,omitempty"` // troubles beyond those listed

	numbers map[string]uint64 // the last numbers given
}

// Sound says that nothing was found.
func (h Health) Sound() bool { return len(h.Troubles) == 0 }

const mostTroubles = 200

func (h *Health) found(where, format string, args ...any) {
	if len(h.Troubles) >= mostTroubles {
		h.More++
		return
	}
	h.Troubles = append(h.Troubles, Trouble{where, fmt.Sprintf(format, args...)})
}

// Check looks a file over without changing it: its pages, bbolt's own check,
// every record (decoded, validated, under its own key), every index against the
// records, every sequence, the journal replayed from the first change against the
// state, what records say of one another, and what is derived from them. What it
// finds is in Health; an error means that it could not look.
func Check(path string, derived ...Derived) (Health, error) {
	h := Health{Path: path, Troubles: []Trouble{}}
	info, err := os.Stat(path)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return h, missing(true, path)
		}
		return h, err
	}
	if info.Mode().Perm()&0o077 != 0 {
		h.found("access", "others may read or write the file (mode %04o): chmod 600 %s", info.Mode().Perm(), path)
	}
	m, err := takeImage(path)
	switch {
	case errors.Is(err, ErrDamaged):
		h.found("pages", "%v", err)
		return h, nil
	case err != nil:
		return h, err
	}
	defer m.Close()
	h.Left = Leftovers(path)
	m.check(&h, derived...)
	return h, nil
}

// check looks an image over.
func (m *image) check(h *Health, derived ...Derived) {
	if info, err := m.f.Stat(); err == nil {
		h.Bytes = info.Size()
	}
	for _, p := range checkPages(m.f) {
		h.found("pages", "%s", p)
	}
	if slices.ContainsFunc(h.Troubles, func(t Trouble) bool { return t.Where == "pages" }) {
		return // bbolt must not be let loose on it
	}
	s, err := m.open()
	if err != nil {
		h.found("pages", "%v", err)
		return
	}
	defer s.Close()
	if err := s.View(func(tx *Tx) error { h.look(tx, derived); return nil }); err != nil {
		h.found("pages", "%v", err)
	}
}

// frame looks at what does not depend on the schema: bbolt's own check and the
// sum of every value. It says whether the records can be looked at.
func (h *Health) frame(tx *Tx) bool {
	for err := range tx.btx.Check() {
		h.found("bbolt", "%v", err)
	}
	top, err := readHead(tx.btx, h.Path)
	if err != nil {
		h.found("record", "%v", err)
	}
	if !h.Sound() {
		return false
	}
	h.Schema, h.numbers = top.Schema, top.Numbers
	cur := tx.btx.Cursor()
	for name, v := cur.First(); name != nil; name, v = cur.Next() {
		if bucket := string(name); v == nil && (bucket == BitSummaries || !strings.HasPrefix(bucket, indexPrefix)) {
			h.sums(tx, bucket)
		}
	}
	return true
}

// sums finds values of a bucket that are not as they were written.
func (h *Health) sums(tx *Tx, bucket string) {
	noun := nounOf(bucket)
	cur := tx.bucket(bucket).Cursor()
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		if v == nil {
			h.found("record", "%s holds a bucket %s", bucket, keyText(k))
		} else if _, err := document(noun, k, v); err != nil {
			h.found("record", "%v", err)
		}
	}
}

// Derived works out the figures that reports are made of, and calls found for
// each that cannot be right. It belongs to who knows how to work them out.
type Derived func(tx *Tx, found func(format string, args ...any)) error

func (h *Health) look(tx *Tx, derived []Derived) {
	if _, want := tx.of.current(); !h.frame(tx) || h.Schema < want {
		return // an older file is looked at in full once it is brought up
	}
	h.strangers(tx)
	seed := maphash.MakeSeed()
	replayed := h.replay(tx, seed)
	for _, c := range collections {
		h.collection(tx, c, replayed[c.name()], seed)
	}
	for _, name := range jobs.SortedKeys(replayed) {
		for _, k := range jobs.SortedKeys(replayed[name]) {
			h.found("journal", "%s %s is in the journal but not among the records", name, keyText([]byte(k)))
		}
	}
	h.answers(tx)
	if !h.Sound() {
		return // what follows trusts the records
	}
	if err := h.references(tx); err != nil {
		h.found("reference", "%v", err)
	}
	if err := h.summaries(tx); err != nil {
		h.found("index", "%v", err)
	}
	for _, d := range derived {
		h.figures(tx, d)
	}
}

// figures runs one hook of derived figures. A panic on the way is a finding too.
func (h *Health) figures(tx *Tx, d Derived) {
	found := func(format string, args ...any) { h.found("derived", format, args...) }
	defer func() {
		if p := recover(); p != nil {
			found("a figure cannot be worked out: %v", p)
		}
	}()
	if err := d(tx, found); err != nil {
		found("%v", err)
	}
}

// strangers finds buckets that the schema does not know.
func (h *Health) strangers(tx *Tx) {
	known := map[string]bool{bucketMeta: true}
	for _, n := range bucketNames() {
		known[n] = true
	}
	cur := tx.btx.Cursor()
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		if v != nil || !known[string(k)] {
			h.found("record", "the file holds %q, which this program does not know", k)
		}
	}
}

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
		case errors.Is(err, errSum): // told already
			next++
			continue
		case err != nil:
			h.found("journal", "%v", err)
			next++
			continue
		case !bytes.Equal(k, idKey(c.Seq)):
			h.found("journal", "change %d stands under the number %s", c.Seq, keyText(k))
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
			continue // told already
		}
		if numbered(k) {
			top = keyNumber(k)
		}
		if err := c.check(k, v); err != nil {
			h.found("record", "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
		}
		if sum, ok := replayed[string(k)]; !ok {
			h.found("journal", "%s %s is not in the journal", c.name(), keyText(k))
		} else if sum != maphash.Bytes(seed, v) {
			h.found("journal", "%s %s is not as the journal has it", c.name(), keyText(k))
		}
		delete(replayed, string(k))
		entries, err := c.rawIndex(v)
		if err != nil {
			continue // told above
		}
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

// nounOf names what a bucket holds.
func nounOf(bucket string) string {
	if c := named(bucket); c != nil {
		return c.nounName()
	}
	switch bucket {
	case bucketJournal:
		return "change"
	case bucketAnswers:
		return "answer"
	case BitSummaries:
		return "summary of bit"
	}
	return bucket
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

func keyNumber(k []byte) (n uint64) {
	for _, x := range k[len(k)-8:] {
		n = n<<8 | uint64(x)
	}
	return n
}
