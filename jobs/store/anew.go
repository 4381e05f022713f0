package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	bolt "go.etcd.io/bbolt"
)

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
