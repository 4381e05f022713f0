package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
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
	// Command is what was typed. Its first word is the Verb of a change, all of it
	// the Ask {"words": Command}, until a transaction sets its own.
	Command string

	asIs bool        // leaves an older schema as it is, for who does not read records
	plan []migration // nil: the program's own; tests bring theirs
	lent bool        // a session of an open store: Close leaves it open
}

// Store is an open workshop file. Open late, close early: while it is open for
// writing no other command can read.
type Store struct {
	db   *bolt.DB
	path string
	opts Options
	// Before is the copy of the file as it was, where opening it brought it to this
	// program's schema; else empty.
	Before string
	// BeforeTroubles is what was amiss in it then, as Check finds it.
	BeforeTroubles []Trouble
	// Fallback says which meta page cannot be read, so that the other one was used
	// and the newest change may be missing; empty where both are sound.
	Fallback string
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
	fresh, err := plainFile(path)
	switch {
	case err != nil:
		return nil, err
	case fresh && !o.Create:
		return nil, fmt.Errorf("%w at %s", ErrMissing, path)
	case fresh:
		if err := believable(o.Now()); err != nil {
			return nil, err
		}
		if err := create(path, o); err != nil {
			return nil, err
		}
	}
	go castagnoli()
	if !o.ReadOnly {
		sweep(path)
	}
	db, err := openBolt(path, o)
	if err != nil {
		return nil, err
	}
	s := newStore(db, path, o)
	s.Fallback = otherMeta(path)
	if err := s.prepare(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func newStore(db *bolt.DB, path string, o Options) *Store {
	if o.Now == nil {
		o.Now = time.Now
	}
	return &Store{db: db, path: path, opts: o}
}

// create makes a file with all its buckets under a passing name and only then
// gives it its own: whoever dies on the way leaves no half file there.
func create(path string, o Options) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := passing(filepath.Dir(path), filepath.Base(path), "new")
	if err != nil {
		return noRoom(err)
	}
	temp := f.Name()
	defer os.Remove(temp)
	if err := f.Close(); err != nil {
		return err
	}
	o.ReadOnly = false
	db, err := openBolt(temp, o)
	if err != nil {
		return err
	}
	s := newStore(db, temp, o)
	err = s.prepare()
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	if err := os.Link(temp, path); err != nil && !errors.Is(err, fs.ErrExist) {
		if Exists(path) {
			return nil
		}
		return os.Rename(temp, path) // a file system without hard links
	}
	return syncDir(filepath.Dir(path))
}

// syncDir makes names in a folder last through a power cut.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// plainFile refuses what is not a plain file with something in it. A link is
// followed when it leads to one; a link to nothing is refused, since a file
// made through it would be elsewhere than was named.
func plainFile(path string) (fresh bool, err error) {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err == nil && info.Mode()&fs.ModeSymlink != 0 {
		if info, err = os.Stat(path); err != nil {
			return false, fmt.Errorf("%w: %s is a link that leads nowhere", ErrDamaged, path)
		}
	}
	switch {
	case err != nil:
		return false, err
	case !info.Mode().IsRegular():
		return false, fmt.Errorf("%w: %s is not a plain file", ErrDamaged, path)
	case info.Size() == 0:
		// bbolt would make a new file of it, and what was lost would not be noticed.
		return false, fmt.Errorf("%w: %s is empty", ErrDamaged, path)
	}
	return false, nil
}

// openBolt opens the file and makes sure that it is still the one that the path
// names: a command that waited while restore put another file in its place would
// otherwise write into the replaced one.
func openBolt(path string, o Options) (*bolt.DB, error) {
	for range 5 {
		db, file, err := tryBolt(path, o)
		if err != nil {
			return nil, err
		}
		mine, errMine := file.Stat()
		named, errNamed := os.Stat(path)
		if errMine == nil && errNamed == nil && os.SameFile(mine, named) {
			return db, nil
		}
		db.Close()
	}
	return nil, fmt.Errorf("%w (%s)", ErrBusy, path)
}

func tryBolt(path string, o Options) (db *bolt.DB, file *os.File, err error) {
	db, err = boltOpen(path, o, func(name string, flag int, mode os.FileMode) (*os.File, error) {
		f, err := os.OpenFile(name, flag, mode)
		file = f
		return f, err
	})
	if err != nil && file != nil {
		file.Close() // a panic inside bbolt leaves it open, and with it the lock
	}
	return db, file, err
}

// boltOpen opens a file of bbolt, and says what went wrong in our words.
func boltOpen(path string, o Options, openFile func(string, int, os.FileMode) (*os.File, error)) (db *bolt.DB, err error) {
	err = guard(path, func() error { // a torn page can make bbolt panic while it reads the free list
		db, err = bolt.Open(path, 0o600, &bolt.Options{
			Timeout: o.Timeout, ReadOnly: o.ReadOnly, FreelistType: bolt.FreelistMapType, NoStatistics: true, OpenFile: openFile,
		})
		return err
	})
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		err = fmt.Errorf("%w (%s)", ErrBusy, path)
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum), errors.Is(err, berrors.ErrVersionMismatch), errors.Is(err, io.ErrUnexpectedEOF), err != nil && strings.Contains(err.Error(), "file size too small"):
		err = fmt.Errorf("%w: %s: %w", ErrDamaged, path, err)
	case errors.Is(err, fs.ErrPermission) && !o.ReadOnly:
		err = fmt.Errorf("%s cannot be written: %w", path, err)
	}
	return db, err
}

// Close lets the next command in.
func (s *Store) Close() error {
	if s.opts.lent {
		return nil
	}
	return s.db.Close()
}

// Path is where the file is.
func (s *Store) Path() string { return s.path }

func (s *Store) tx(b *bolt.Tx) *Tx {
	verb, ask := typedAsk(s.opts.Command)
	return &Tx{of: s, btx: b, Now: s.opts.Now().UTC().Truncate(time.Second), Verb: verb, Ask: ask}
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
			if err := believable(tx.Now); err != nil {
				return err
			}
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
	return noRoom(err)
}

// Exists says whether there is a file at path.
func Exists(path string) bool { _, err := os.Stat(path); return err == nil }
