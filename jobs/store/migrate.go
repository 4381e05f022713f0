package store

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	bolt "go.etcd.io/bbolt"
)

// migration takes a file from the schema just before to version to. It works
// on documents and raw buckets (see Tx.rewrite), so that it keeps its meaning
// when types move on. A step without run changes indexes alone: they are made
// anew after the last step.
type migration struct {
	to   int
	what string
	run  func(*Tx) error
}

// migrations in order; the last one's number is schemaVersion, and that of the
// last with a run is documentSchema. Each schema that changed documents has a
// fixture in testdata/schema, and a test counts them.
var migrations = []migration{
	{2, "edges have cards, rework is listed by cause", nil},
	{rowsSince, "logs, lots and uses are read from rows, ages of edges from packed lists", nil},
}

// rowsSince is the schema from which indexes may keep rows.
const rowsSince = 3

// current gives the migrations of this store and the schema they lead to.
func (s *Store) current() ([]migration, int) {
	if s.opts.plan == nil {
		return migrations, schemaVersion
	}
	return s.opts.plan, s.opts.plan[len(s.opts.plan)-1].to
}

// prepare makes the buckets of a new file, migrates an older one and refuses a
// newer one.
func (s *Store) prepare() error {
	version := 0
	err := guard(s.path, func() error {
		return s.db.View(func(tx *bolt.Tx) (err error) { version, err = readVersion(tx, s.path); return err })
	})
	_, want := s.current()
	switch {
	case err != nil:
		return err
	case version == 0 && s.opts.ReadOnly:
		return fmt.Errorf("%w at %s", ErrMissing, s.path)
	case version == 0:
		return s.db.Update(func(tx *bolt.Tx) error { return makeBuckets(tx, s.opts.Now(), want) })
	case version > want:
		return fmt.Errorf("%w: it has schema %d, this program knows %d", ErrNewer, version, want)
	case version == want, s.opts.AsIs && s.sameDocuments(version):
		return nil
	}
	if s.opts.ReadOnly { // a reader cannot migrate: open again for writing, once
		s.db.Close()
		o := s.opts
		o.ReadOnly = false
		db, err := openBolt(s.path, o)
		if err != nil {
			return err
		}
		s.db = db
		now := 0 // somebody may have been faster
		err = guard(s.path, func() error {
			return s.db.View(func(tx *bolt.Tx) (err error) { now, err = readVersion(tx, s.path); return err })
		})
		if err != nil || now == want {
			return err
		}
		version = now
	}
	return guard(s.path, func() error { return s.migrate(version) })
}

// sameDocuments says that no step from a schema on changes a document.
func (s *Store) sameDocuments(from int) bool {
	steps, _ := s.current()
	return len(steps) > 0 && steps[0].to <= from+1 && !slices.ContainsFunc(steps, func(m migration) bool { return m.to > from && m.run != nil })
}

// readVersion gives the schema of a file; 0 for a file without anything in it.
func readVersion(tx *bolt.Tx, path string) (int, error) {
	meta := tx.Bucket([]byte(bucketMeta))
	if meta == nil {
		if k, _ := tx.Cursor().First(); k != nil {
			return 0, fmt.Errorf("%w: %s holds other data", ErrDamaged, path)
		}
		return 0, nil
	}
	n, err := strconv.Atoi(string(meta.Get([]byte(keySchema))))
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%w: %s has no schema number", ErrDamaged, path)
	}
	return n, nil
}

// migrate copies the file aside and writes it anew with the missing steps: a step
// that fails leaves the old file as it was, and takes the copy away.
func (s *Store) migrate(from int) error {
	steps, want := s.current()
	if len(steps) == 0 || steps[0].to > from+1 {
		return fmt.Errorf("%w: schema %d is older than this program can read", ErrDamaged, from)
	}
	copied, made, err := s.copyAside(from)
	if err != nil {
		return fmt.Errorf("before the file is brought to what this program writes it is copied, and that failed; it is as it was (data export and data backup read it so): %w", err)
	}
	s.BeforeTroubles = s.lookBefore(from)
	placed, err := s.anew(func(tx *Tx) error {
		tx.Verb, tx.Ask, tx.Why, tx.schema = "migrate", nil, fmt.Sprintf("schema %d to %d", from, want), want
		for _, m := range steps {
			if m.to <= from || m.run == nil {
				continue
			}
			if err := m.run(tx); err != nil {
				return fmt.Errorf("migration to schema %d (%s): %w", m.to, m.what, err)
			}
		}
		if err := tx.rebuildIndexes(); err != nil {
			return err
		}
		if _, err := tx.settle(); err != nil {
			return err
		}
		return tx.bucket(bucketMeta).Put([]byte(keySchema), []byte(strconv.Itoa(want)))
	})
	if placed {
		s.Before = copied
	} else if made {
		os.Remove(copied)
	}
	return err
}

// lookBefore looks an old file over as `data check` would. What is amiss in it is
// told and not refused, since the copy is kept and the rest may be all there is;
// but once the indexes are made anew, they no longer miss a record that is lost.
func (s *Store) lookBefore(from int) []Trouble {
	h := Health{Path: s.path}
	pages, err := CheckPages(s.path)
	if err != nil {
		h.found("pages", "%v", err)
	}
	for _, p := range pages {
		h.found("pages", "%s", p)
	}
	if s.sameDocuments(from) && h.Sound() {
		err := guard(s.path, func() error { return s.View(func(tx *Tx) error { h.look(tx); return nil }) })
		if err != nil {
			h.found("pages", "%v", err)
		}
	}
	return h.Troubles
}

// rewrite changes every document of a bucket for a migration and notes the
// change for the journal; fn gives nil to delete a record.
func (tx *Tx) rewrite(bucket string, fn func(key, value []byte) ([]byte, error)) error {
	b := tx.bucket(bucket)
	var keys [][]byte
	if err := b.ForEach(func(k, _ []byte) error { keys = append(keys, bytes.Clone(k)); return nil }); err != nil {
		return err
	}
	for _, k := range keys {
		before := bytes.Clone(b.Get(k))
		after, err := fn(k, before)
		if err != nil {
			return fmt.Errorf("%s %s: %w", bucket, keyText(k), err)
		}
		if after == nil {
			err = b.Delete(k)
		} else {
			err = b.Put(k, after)
		}
		if err != nil {
			return err
		}
		tx.note(bucket, k, before, after)
	}
	return nil
}

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
	return tx.fillCards()
}

// fillIndexes writes the index entries of a collection in their order: bbolt
// splits a page only when it commits, so that entries put in between would be
// moved again with each one that follows.
func (tx *Tx) fillIndexes(c anyCollection) error {
	all := map[string][]indexed{}
	cur := tx.bucket(c.name()).Cursor()
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		keys, err := c.rawIndex(v)
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

// indexPrefix begins the name of every bucket that is made from others.
const indexPrefix = "ix_"

func makeBuckets(tx *bolt.Tx, now time.Time, version int) error {
	meta, err := tx.CreateBucket([]byte(bucketMeta))
	if err != nil {
		return err
	}
	if err := ensureBuckets(tx); err != nil {
		return err
	}
	if err := meta.Put([]byte(keyMade), []byte(now.UTC().Format(time.RFC3339))); err != nil {
		return err
	}
	return meta.Put([]byte(keySchema), []byte(strconv.Itoa(version)))
}

// bucketNames lists every bucket but meta: records, indexes, journal.
func bucketNames() []string {
	names := []string{bucketJournal, bucketAnswers, answersByTime}
	for _, c := range collections {
		names = append(names, c.name())
		names = append(names, c.indexNames()...)
	}
	return append(names, cardIndexes...)
}

func ensureBuckets(tx *bolt.Tx) error {
	for _, n := range bucketNames() {
		if _, err := tx.CreateBucketIfNotExists([]byte(n)); err != nil {
			return err
		}
	}
	return nil
}
