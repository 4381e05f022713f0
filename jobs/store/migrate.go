package store

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	bolt "go.etcd.io/bbolt"
)

// migration takes a file from the schema just before to version to. It works
// on raw buckets, so that it keeps its meaning when types move on.
type migration struct {
	to   int
	what string
	run  func(*bolt.Tx) error
}

// migrations in order; the last one's number is schemaVersion. Each has a
// fixture of the version before it in testdata/schema, and a test counts them.
var migrations = []migration{}

// prepare makes the buckets of a new file, migrates an older one and refuses a
// newer one.
func (s *Store) prepare() error {
	version := 0
	fresh := false
	err := s.db.View(func(tx *bolt.Tx) error {
		meta := tx.Bucket([]byte(bucketMeta))
		if meta == nil {
			fresh = true
			if k, _ := tx.Cursor().First(); k != nil {
				return fmt.Errorf("%w: %s holds other data", ErrDamaged, s.path)
			}
			return nil
		}
		n, err := strconv.Atoi(string(meta.Get([]byte(keySchema))))
		if err != nil {
			return fmt.Errorf("%w: %s has no schema number", ErrDamaged, s.path)
		}
		version = n
		return nil
	})
	switch {
	case err != nil:
		return err
	case fresh && s.opts.ReadOnly:
		return fmt.Errorf("%w at %s", ErrMissing, s.path)
	case fresh:
		return s.db.Update(func(tx *bolt.Tx) error { return makeBuckets(tx, s.opts.Now()) })
	case version > schemaVersion:
		return fmt.Errorf("%w: it has schema %d, this program knows %d", ErrNewer, version, schemaVersion)
	case version == schemaVersion:
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
	}
	return s.migrate(version)
}

// migrate copies the file aside and runs the missing steps in one transaction:
// a step that fails leaves the old file as it was.
func (s *Store) migrate(from int) error {
	if err := s.copyAside(fmt.Sprintf("%s.v%d.bak", s.path, from)); err != nil {
		return fmt.Errorf("copy before migrating: %w", err)
	}
	return s.db.Update(func(tx *bolt.Tx) error {
		for _, m := range migrations {
			if m.to <= from {
				continue
			}
			if err := m.run(tx); err != nil {
				return fmt.Errorf("migration to schema %d (%s): %w", m.to, m.what, err)
			}
		}
		if err := ensureBuckets(tx); err != nil {
			return err
		}
		return tx.Bucket([]byte(bucketMeta)).Put([]byte(keySchema), []byte(strconv.Itoa(schemaVersion)))
	})
}

func (s *Store) copyAside(to string) error {
	f, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := s.db.View(func(tx *bolt.Tx) error { _, err := tx.WriteTo(io.Writer(f)); return err }); err != nil {
		return err
	}
	return f.Sync()
}

func makeBuckets(tx *bolt.Tx, now time.Time) error {
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
	return meta.Put([]byte(keySchema), []byte(strconv.Itoa(schemaVersion)))
}

func ensureBuckets(tx *bolt.Tx) error {
	names := []string{bucketJournal}
	for _, c := range collections {
		names = append(names, c.name())
		names = append(names, c.indexNames()...)
	}
	for _, n := range names {
		if _, err := tx.CreateBucketIfNotExists([]byte(n)); err != nil {
			return err
		}
	}
	return nil
}
