package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
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
		tx.Command, tx.schema = fmt.Sprintf("(schema %d to %d)", from, want), want
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

// anew writes what is no index into a new file beside this one, lets fn do its
// work there, and gives the new file the name of this one. Changed in place, a
// 20-year file would be left with a third of its pages free, and every command
// after it would read and write the list of them. The old file stays locked until
// its name has gone to the new one; whoever waited for the lock notices (openBolt).
// The new one is locked from its first byte on and stays open, so that nobody comes
// between. placed says that the new file has the name, whatever failed after that.
func (s *Store) anew(fn func(*Tx) error) (placed bool, err error) {
	path, err := filepath.EvalSymlinks(s.path)
	if err != nil {
		return false, err
	}
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".copying-*") // mode 0600
	if err != nil {
		return false, err
	}
	temp := f.Name()
	defer os.Remove(temp)
	sameOwner(temp, path)
	if err := f.Close(); err != nil {
		return false, err
	}
	o := s.opts
	o.ReadOnly = false
	db, err := openBolt(temp, o)
	if err != nil {
		return false, err
	}
	db.NoSync = true // it has no name yet that anybody reads; made to last below
	err = s.db.View(func(from *bolt.Tx) error { return copyRecords(db, from) })
	if err == nil {
		to := &Store{db: db, path: s.path, opts: s.opts}
		err = db.Update(func(b *bolt.Tx) error {
			if err := ensureBuckets(b); err != nil {
				return err
			}
			return fn(to.tx(b))
		})
	}
	if err == nil {
		err = db.Sync()
	}
	if err == nil {
		err = os.Rename(temp, path)
	}
	if err != nil {
		return false, errors.Join(err, db.Close())
	}
	db.NoSync = false
	old := s.db
	s.db = db
	return true, errors.Join(syncDir(filepath.Dir(path)), old.Close())
}

// copyBatch bounds what one transaction of copyRecords holds in memory, in bytes.
const copyBatch = 16 << 20

// copyRecords copies every bucket that is no index, in order of its keys.
func copyRecords(to *bolt.DB, from *bolt.Tx) error {
	return from.ForEach(func(name []byte, b *bolt.Bucket) error {
		if bytes.HasPrefix(name, []byte(indexPrefix)) {
			return nil
		}
		cur := b.Cursor()
		k, v := cur.First()
		for again := true; again; again = k != nil {
			err := to.Update(func(tx *bolt.Tx) error {
				c, err := tx.CreateBucketIfNotExists(name)
				if err != nil {
					return err
				}
				c.FillPercent = appended
				if err := c.SetSequence(b.Sequence()); err != nil {
					return err
				}
				for size := 0; k != nil && size < copyBatch; k, v = cur.Next() {
					size += len(k) + len(v)
					if v == nil {
						return fmt.Errorf("%w: %s holds a bucket %s", ErrDamaged, name, keyText(k))
					}
					if err := c.Put(k, v); err != nil {
						return err
					}
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
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
			return unreadable(c.nounName(), k, err)
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

// copyAside writes the file as it stands to a name of its own beside it. A step
// that was cut off left the same copy there already: it is not made twice.
// made says whether it was made now.
func (s *Store) copyAside(version int) (to string, made bool, err error) {
	sweep(filepath.Dir(s.path), filepath.Base(s.path))
	temp, err := os.CreateTemp(filepath.Dir(s.path), filepath.Base(s.path)+".copying-*") // mode 0600
	if err != nil {
		return "", false, err
	}
	defer os.Remove(temp.Name())
	if err := s.copyTo(temp); err != nil {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = fmt.Errorf("%w: %s ends before its last page", ErrDamaged, s.path)
		}
		return "", false, err
	}
	sameOwner(temp.Name(), s.path)
	for n := 1; ; n++ {
		to = fmt.Sprintf("%s.v%d.bak", s.path, version)
		if n > 1 {
			to = fmt.Sprintf("%s.v%d-%d.bak", s.path, version, n)
		}
		err := os.Link(temp.Name(), to) // never over a copy that is there
		if errors.Is(err, fs.ErrExist) {
			if info, err := os.Lstat(to); err == nil && info.Mode().IsRegular() {
				if same, err := sameBytes(temp.Name(), to); err != nil || same {
					return to, false, err
				}
			}
			if n < 1000 {
				continue
			}
		}
		if err != nil && !Exists(to) {
			err = os.Rename(temp.Name(), to) // a file system without hard links
		}
		return to, true, err
	}
}

// sameOwner gives a new file the owner of another, where this process may.
func sameOwner(name, like string) {
	if info, err := os.Stat(like); err == nil {
		if st, ok := info.Sys().(*syscall.Stat_t); ok {
			os.Chown(name, int(st.Uid), int(st.Gid)) // only root may give files away
		}
	}
}

func sameBytes(a, b string) (bool, error) {
	f, err := os.Open(a)
	if err != nil {
		return false, err
	}
	defer f.Close()
	g, err := os.Open(b)
	if err != nil {
		return false, err
	}
	defer g.Close()
	x, y := make([]byte, 1<<16), make([]byte, 1<<16)
	for {
		n, errX := io.ReadFull(f, x)
		m, errY := io.ReadFull(g, y)
		if !bytes.Equal(x[:n], y[:m]) {
			return false, nil
		}
		if errX != nil || errY != nil {
			ended := func(err error) bool { return errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) }
			return ended(errX) && ended(errY), nil
		}
	}
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
	names := []string{bucketJournal}
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
