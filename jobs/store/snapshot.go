package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"

	bolt "go.etcd.io/bbolt"
)

// A long look at the file (a check, an export) is a look at a copy of it: a bench
// word waits for the copying at most, some tens of milliseconds at twenty years.

// image is a workshop file that is open and needs no name.
type image struct {
	f    *os.File
	path string // of the file that it shows, for messages
}

// takeImage copies the file byte for byte, its torn pages too. Where there is no
// room for a copy it is the file itself, locked for as long as the image is open.
func takeImage(path string) (*image, error) {
	if fresh, err := plainFile(path); err != nil || fresh {
		return nil, errors.Join(err, missing(fresh, path))
	}
	src, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if err := lock(src, syscall.LOCK_SH); err != nil {
		return nil, errors.Join(fmt.Errorf("%w (%s)", ErrBusy, path), src.Close())
	}
	f, err := nameless(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return &image{src, path}, nil
	}
	if _, err := io.Copy(f, src); err != nil {
		f.Close()
		return &image{src, path}, nil
	}
	return &image{f, path}, src.Close()
}

// takeCopy copies the file as one transaction sees it: its records as they are,
// its meta pages fresh.
func takeCopy(path string) (*image, error) {
	f, err := nameless(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return nil, noRoom(err)
	}
	if err := copyTo(path, f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return &image{f, path}, nil
}

// copyTo writes the file as one transaction sees it.
func copyTo(path string, f *os.File) error {
	s, err := Open(path, Options{ReadOnly: true, asIs: true})
	if err != nil {
		return err
	}
	err = guard(path, func() error {
		return s.db.View(func(tx *bolt.Tx) error { _, err := tx.WriteTo(f); return err })
	})
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = fmt.Errorf("%w: %s ends before its last page", ErrDamaged, path)
	}
	return noRoom(errors.Join(err, s.Close()))
}

// open opens the image for reading. The image stays open when the store is closed.
func (m *image) open() (*Store, error) {
	fd, err := syscall.Dup(int(m.f.Fd()))
	if err != nil {
		return nil, err
	}
	f := os.NewFile(uintptr(fd), m.path)
	o := Options{ReadOnly: true, asIs: true, Timeout: DefaultTimeout}
	db, err := boltOpen(m.path, o, func(string, int, os.FileMode) (*os.File, error) { return f, nil })
	if err != nil {
		f.Close() // bbolt may have done so
		return nil, err
	}
	s := newStore(db, m.path, o)
	if err := s.prepare(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// copiedFrom is the size from which a long look is one at a copy, in bytes: some seven
// years of a shop. A shorter file is read faster than anybody types.
var copiedFrom int64 = 16 << 20

// OpenLong opens the file for a long look, at a copy where the file is large: a bench
// word meanwhile waits for the copying at most. The errors are those of Open.
func OpenLong(path string, o Options) (*Store, error) {
	o.ReadOnly = true
	if info, err := os.Stat(path); err != nil || info.Size() < copiedFrom {
		return Open(path, o)
	}
	m, err := takeImage(path)
	if err != nil {
		return nil, err
	}
	go castagnoli()
	s, err := m.open()
	if err != nil {
		return nil, errors.Join(err, m.Close())
	}
	have, err := s.schema()
	if _, want := s.current(); err != nil || have != want { // it is brought to this schema first
		s.Close()
		return Open(path, o)
	}
	s.opts, s.Fallback = o, otherMeta(path)
	if s.opts.Now == nil {
		s.opts.Now = time.Now
	}
	return s, m.Close() // the store has the copy open itself
}

// Close lets go of the image. What has no name is gone then.
func (m *image) Close() error { return m.f.Close() }

// nameless makes a file that nobody else can open and that is gone once it is
// closed, however the program ends. It is in a folder, or where that cannot be
// written, in the one for temporary files.
func nameless(dir, base string) (*os.File, error) {
	f, err := passing(dir, base, "copying")
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		f, err = passing(os.TempDir(), base, "copying")
	}
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}
