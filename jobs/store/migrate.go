package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"

	bolt "go.etcd.io/bbolt"
)

// migration takes a file from the schema just before to version to. It works on
// documents (see Tx.rewrite), so that it keeps its meaning when types move on.
type migration struct {
	to   int
	what string
	run  func(*Tx) error
}

// migrations in order; schemaVersion is the number of the last, or 1. Each
// schema has a fixture in testdata/schema, and a test counts them.
var migrations = []migration{}

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
	version, err := s.schema()
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
	case version == want, s.opts.asIs:
		return nil
	}
	if s.opts.ReadOnly { // a reader cannot migrate: open again for writing, once
		s.db.Close()
		o := s.opts
		o.ReadOnly = false
		if s.db, err = openBolt(s.path, o); err != nil {
			return err
		}
		if version, err = s.schema(); err != nil || version == want { // somebody was faster
			return err
		}
	}
	return guard(s.path, func() error { return s.migrate(version) })
}

// schema gives the schema of the file; 0 for a file without anything in it.
func (s *Store) schema() (version int, err error) {
	err = guard(s.path, func() error {
		return s.db.View(func(tx *bolt.Tx) error {
			h, err := readHead(tx, s.path)
			version = h.Schema
			return err
		})
	})
	return version, err
}

// migrate copies the file aside, runs the missing steps in one transaction and
// writes the file again without the pages that they left free. A step that fails
// leaves the old file as it was, and takes the copy away.
func (s *Store) migrate(from int) error {
	steps, want := s.current()
	if len(steps) == 0 || steps[0].to > from+1 {
		return fmt.Errorf("%w: schema %d is older than this program can read", ErrDamaged, from)
	}
	copied, made, err := s.copyAside(from)
	if err != nil {
		return fmt.Errorf("before the file is brought to what this program writes it is copied, and that failed; it is as it was: %w", err)
	}
	s.BeforeTroubles = s.lookBefore()
	err = s.db.Update(func(b *bolt.Tx) error {
		if err := ensureBuckets(b); err != nil {
			return err
		}
		tx := s.tx(b)
		tx.Verb, tx.Ask, tx.Why, tx.schema = "migrate", nil, fmt.Sprintf("schema %d to %d", from, want), want
		for _, m := range steps {
			if m.to <= from {
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
		if _, err := tx.numbers(); err != nil {
			return err
		}
		tx.head.Schema = want
		return writeHead(tx.bucket(bucketMeta), *tx.head)
	})
	if err != nil {
		if made {
			err = errors.Join(err, os.Remove(copied))
		}
		return err
	}
	s.Before = copied
	return s.compact()
}

// lookBefore looks at what can be looked at in a file of any schema: its pages
// and the sums of its values. What is amiss is reported and not refused, since the
// copy is kept and the rest may be all there is.
func (s *Store) lookBefore() []Trouble {
	h := Health{Path: s.path}
	pages, err := CheckPages(s.path)
	if err != nil {
		h.found("pages", "%v", err)
	}
	for _, p := range pages {
		h.found("pages", "%s", p)
	}
	if h.Sound() {
		if err := s.View(func(tx *Tx) error { h.frame(tx); return nil }); err != nil {
			h.found("pages", "%v", err)
		}
	}
	return h.Troubles
}

// rewrite changes every document of a bucket for a migration and notes the
// change for the journal; fn gives nil to delete a record.
func (tx *Tx) rewrite(bucket string, fn func(key, doc []byte) ([]byte, error)) error {
	b := tx.bucket(bucket)
	var keys [][]byte
	if err := b.ForEach(func(k, _ []byte) error { keys = append(keys, bytes.Clone(k)); return nil }); err != nil {
		return err
	}
	for _, k := range keys {
		before, err := document(bucket, k, b.Get(k))
		if err != nil {
			return err
		}
		before = bytes.Clone(before)
		after, err := fn(k, before)
		if err != nil {
			return fmt.Errorf("%s %s: %w", bucket, keyText(k), err)
		}
		if after == nil {
			err = b.Delete(k)
		} else {
			err = b.Put(k, seal(k, after))
		}
		if err != nil {
			return err
		}
		tx.note(bucket, k, before, after)
	}
	return nil
}
