package store

import (
	"errors"
	"hash/maphash"
	"os"
	"slices"
	"strings"

	"bookmatch/jobs"
)

// Derived works out the figures that reports are made of, and calls found for
// each that cannot be right. It belongs to who knows how to work them out.
type Derived func(tx *Tx, found func(format string, args ...any)) error

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
	m.check(&h, true, derived...)
	return h, nil
}

// check looks an image over.
func (m *image) check(h *Health, meaning bool, derived ...Derived) {
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
	if err := s.View(func(tx *Tx) error { h.look(tx, meaning, derived); return nil }); err != nil {
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

// look looks at the records, and where meaning is set at what they say of one
// another and what is derived from them.
func (h *Health) look(tx *Tx, meaning bool, derived []Derived) {
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
	if !meaning {
		return
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
