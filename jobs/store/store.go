package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// Options of Open. The zero value opens for writing, waits two seconds for
// another command and reads the machine's clock.
type Options struct {
	Now      func() time.Time
	ReadOnly bool
	// Create makes the file (and its folder) if it is missing.
	Create  bool
	Timeout time.Duration
	Command string // what was typed, for the journal
}

// Store is an open workshop file. Open late, close early: while it is open for
// writing no other command can read.
type Store struct {
	db   *bolt.DB
	path string
	opts Options
}

// Errors of Open that a person can do something about.
var (
	ErrMissing = errors.New("there is no workshop file")
	ErrBusy    = errors.New("another bookmatch command is using the workshop file")
	ErrNewer   = errors.New("the workshop file was written by a newer bookmatch")
	ErrDamaged = errors.New("the workshop file is damaged or is not a workshop file")
)

// DefaultTimeout is how long a second command waits for the file.
const DefaultTimeout = 2 * time.Second

// Open opens the file at path. A missing file is ErrMissing unless Create is
// set; a file held by another command is ErrBusy after the timeout; an older
// schema is copied aside and migrated; a newer one is ErrNewer.
func Open(path string, o Options) (*Store, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Timeout == 0 {
		o.Timeout = DefaultTimeout
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && !o.Create:
		return nil, fmt.Errorf("%w at %s", ErrMissing, path)
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return nil, err
		}
		o.ReadOnly = false
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%w: %s is not a plain file", ErrDamaged, path)
	case info.Size() == 0:
		// bbolt would make a new file of it, and what was lost would not be noticed.
		return nil, fmt.Errorf("%w: %s is empty", ErrDamaged, path)
	}
	db, err := openBolt(path, o)
	if err != nil {
		return nil, err
	}
	s := &Store{db, path, o}
	if err := s.prepare(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func openBolt(path string, o Options) (db *bolt.DB, err error) {
	defer func() { // a torn page can make bbolt panic while it reads the free list
		if p := recover(); p != nil {
			db, err = nil, fmt.Errorf("%w: %s: %v", ErrDamaged, path, p)
		}
	}()
	db, err = bolt.Open(path, 0o600, &bolt.Options{Timeout: o.Timeout, ReadOnly: o.ReadOnly, FreelistType: bolt.FreelistMapType})
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return nil, fmt.Errorf("%w (%s)", ErrBusy, path)
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum), errors.Is(err, berrors.ErrVersionMismatch):
		return nil, fmt.Errorf("%w: %s: %w", ErrDamaged, path, err)
	case errors.Is(err, fs.ErrPermission) && !o.ReadOnly:
		return nil, fmt.Errorf("%s cannot be written: %w", path, err)
	}
	return db, err
}

// Close lets the next command in.
func (s *Store) Close() error { return s.db.Close() }

// Path is where the file lies.
func (s *Store) Path() string { return s.path }

func (s *Store) tx(b *bolt.Tx) *Tx {
	return &Tx{btx: b, Now: s.opts.Now().UTC().Truncate(time.Second), Command: s.opts.Command}
}

// View runs fn on a consistent picture of the file.
func (s *Store) View(fn func(*Tx) error) error {
	return guard(s.path, func() error {
		return s.db.View(func(b *bolt.Tx) error { return fn(s.tx(b)) })
	})
}

// errNothing ends a transaction that wrote nothing without a commit.
var errNothing = errors.New("nothing changed")

// Update runs fn and keeps all of what it wrote, with its journal entry, or
// none of it.
func (s *Store) Update(fn func(*Tx) error) error {
	err := guard(s.path, func() error {
		return s.db.Update(func(b *bolt.Tx) error {
			tx := s.tx(b)
			if err := fn(tx); err != nil {
				return err
			}
			changed, err := tx.settle()
			if err == nil && !changed {
				return errNothing
			}
			return err
		})
	})
	if errors.Is(err, errNothing) {
		return nil
	}
	return err
}

// guard turns a panic out of torn pages into an error that says so; a panic of
// our own code passes through.
func guard(path string, fn func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			if !fromBolt(p) {
				panic(p)
			}
			err = fmt.Errorf("%w: %s: %v", ErrDamaged, path, p)
		}
	}()
	return fn()
}

// DefaultPath is where the workshop's file lies when nothing else is said: the
// user's data folder by the XDG Base Directory rules.
func DefaultPath(getenv func(string) string) (string, error) {
	if dir := getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "bookmatch", "shop.db"), nil
	}
	home := getenv("HOME")
	if home == "" {
		return "", errors.New("no home folder is known: say where the file is with --file")
	}
	return filepath.Join(home, ".local", "share", "bookmatch", "shop.db"), nil
}

// Exists says whether there is a file at path.
func Exists(path string) bool { _, err := os.Stat(path); return err == nil }
