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

// compactBatch bounds what one transaction of a compaction holds in memory, in
// bytes.
const compactBatch = 16 << 20

// compact writes the file again without free pages and gives the new one its
// name. The old file stays locked until its name has gone to the new one, which is
// locked from its first byte on: whoever waited notices (openBolt), and nobody
// comes between.
func (s *Store) compact() error {
	path, err := filepath.EvalSymlinks(s.path)
	if err != nil {
		return err
	}
	f, err := passing(filepath.Dir(path), filepath.Base(path), "copying")
	if err != nil {
		return err
	}
	temp := f.Name()
	defer os.Remove(temp)
	sameOwner(temp, path)
	if err := f.Close(); err != nil {
		return err
	}
	o := s.opts
	o.ReadOnly = false
	db, err := openBolt(temp, o)
	if err != nil {
		return err
	}
	db.NoSync = true // it has no name yet that anybody reads; made to last below
	if err = bolt.Compact(db, s.db, compactBatch); err == nil {
		err = db.Sync()
	}
	if err == nil {
		err = os.Rename(temp, path)
	}
	if err != nil {
		return errors.Join(err, db.Close())
	}
	db.NoSync = false
	old := s.db
	s.db = db
	return errors.Join(syncDir(filepath.Dir(path)), old.Close())
}

// copyAside writes the file as it is to a name of its own next to it. A step
// that was cut off left the same copy there already: it is not made twice.
// made says whether it was made now.
func (s *Store) copyAside(version int) (to string, made bool, err error) {
	temp, err := passing(filepath.Dir(s.path), filepath.Base(s.path), "copying")
	if err != nil {
		return "", false, err
	}
	defer os.Remove(temp.Name())
	err = s.db.View(func(tx *bolt.Tx) error { _, err := tx.WriteTo(temp); return err })
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = fmt.Errorf("%w: %s ends before its last page", ErrDamaged, s.path)
	}
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err != nil {
		return "", false, noRoom(err)
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
