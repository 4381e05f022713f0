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

	"bookmatch/jobs"
)

// Loss is what the file has that a copy to be restored has not.
type Loss struct {
	Changes []Change `json:"changes"` // newest first, without their records
	More    int      `json:"more"`    // beyond those listed
	// Unknown says why it cannot be known: the present file cannot be read.
	Unknown string `json:"unknown,omitempty"`
	// Apart says that the copy has changes which the file has not.
	Apart int `json:"apart,omitempty"`
}

// Lost compares the journals of the file at path and of a copy: changes with
// the same number and check sum are the same.
func Lost(path, from string, most int) (Loss, error) {
	mine, err := seals(path)
	if err != nil {
		if errors.Is(err, ErrMissing) || errors.Is(err, ErrBusy) {
			return Loss{}, err
		}
		return Loss{Unknown: err.Error()}, nil
	}
	theirs, err := seals(from)
	if err != nil {
		return Loss{Unknown: err.Error()}, nil
	}
	same := 0
	for same < min(len(mine), len(theirs)) && mine[same].sum == theirs[same].sum {
		same++
	}
	loss := Loss{Apart: len(theirs) - same, More: max(len(mine)-same-most, 0)}
	for i := len(mine) - 1; i >= same+loss.More; i-- {
		loss.Changes = append(loss.Changes, mine[i].Change)
	}
	return loss, nil
}

// sealedChange is a change without its records, and the sum of its document.
type sealedChange struct {
	Change
	sum string
}

// seals reads the journal without the records.
func seals(path string) (out []sealedChange, err error) {
	s, err := Open(path, Options{ReadOnly: true, asIs: true})
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if v, err := s.schema(); err != nil || v != schemaVersion {
		return nil, errors.Join(err, fmt.Errorf("%s has schema %d, and its changes cannot be compared", path, v))
	}
	err = s.View(func(tx *Tx) error {
		cur := tx.bucket(bucketJournal).Cursor()
		for k, value := cur.First(); k != nil; k, value = cur.Next() {
			c, err := readChange(k, value)
			if err != nil {
				return err
			}
			c.Records = nil
			out = append(out, sealedChange{c, string(value[:sealLen])})
		}
		return nil
	})
	return out, err
}

// Staged is a file that is ready next to the one it is to replace. Looking at
// it does not touch what it was copied from, not even to migrate it.
type Staged struct{ path, temp string }

// Stage copies from next to path, mode 0600. A path that is a link is refused: what
// it leads to would stay, and the link be replaced.
func Stage(path, from string) (*Staged, error) {
	if err := noLink(path); err != nil {
		return nil, err
	}
	if a, errA := os.Stat(path); errA == nil {
		if b, errB := os.Stat(from); errB == nil && os.SameFile(a, b) {
			return nil, &jobs.ConflictError{What: from + " is the workshop file itself, and no copy", How: "data restore"}
		}
	}
	temp, err := copyBeside(path, from)
	if err != nil {
		return nil, err
	}
	return &Staged{path, temp}, nil
}

// Check looks the staged file over.
func (g *Staged) Check(derived ...Derived) (Health, error) { return Check(g.temp, derived...) }

// Lost says what the present file has that the staged one has not.
func (g *Staged) Lost(most int) (Loss, error) { return Lost(g.path, g.temp, most) }

// Place puts the staged file in the place of the present one. What stood there
// is kept under the name it returns; empty if nothing did.
func (g *Staged) Place(now time.Time) (kept string, err error) { return replace(g.path, g.temp, now) }

// Discard removes what is left of the staging.
func (g *Staged) Discard() { os.Remove(g.temp) }

// copyBeside copies a plain file to a passing name next to path, mode 0600.
func copyBeside(path, from string) (temp string, err error) {
	if fresh, err := plainFile(from); err != nil || fresh {
		if fresh {
			err = &jobs.NotFoundError{Noun: "copy", Value: from}
		}
		return "", err
	}
	src, err := os.Open(from)
	if err != nil {
		return "", err
	}
	defer src.Close()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	sweep(path)
	f, err := passing(filepath.Dir(path), filepath.Base(path), "copying")
	if err != nil {
		return "", noRoom(err)
	}
	_, err = io.Copy(f, src)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return "", noRoom(err)
	}
	return f.Name(), nil
}

// noLink refuses a path that is a link and says where it leads.
func noLink(path string) error {
	to, err := os.Readlink(path)
	if err != nil {
		return nil // no link
	}
	return &jobs.ConflictError{What: fmt.Sprintf("%s is a link to %s, and a restore would replace the link by a file. Name the file itself: --file %s", path, to, to)}
}

func missing(fresh bool, path string) error {
	if fresh {
		return fmt.Errorf("%w at %s", ErrMissing, path)
	}
	return nil
}

// replace gives the file temp the name path, at once or not at all, and keeps
// what stood there. It holds the lock of the old file meanwhile; a command that
// waits for that lock notices afterwards that it has the wrong file (openBolt).
func replace(path, temp string, now time.Time) (kept string, err error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.Link(temp, path); err == nil { // never over one made meanwhile
			return "", syncDir(filepath.Dir(path))
		} else if errors.Is(err, fs.ErrExist) {
			return "", err
		}
		return "", errors.Join(os.Rename(temp, path), syncDir(filepath.Dir(path)))
	case err != nil:
		return "", err
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%w: %s is not a plain file; move it away first", ErrDamaged, path)
	}
	old, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer old.Close()
	if err := lock(old, syscall.LOCK_EX); err != nil {
		return "", fmt.Errorf("%w (%s)", ErrBusy, path)
	}
	for n := 1; ; n++ {
		kept = fmt.Sprintf("%s.replaced-%s", path, now.UTC().Format("20060102T150405Z"))
		if n > 1 {
			kept += fmt.Sprintf("-%d", n)
		}
		err := os.Link(path, kept)
		if errors.Is(err, fs.ErrExist) && n < 1000 {
			continue
		}
		if err != nil { // a file system without hard links
			err = os.Rename(path, kept)
		}
		if err != nil {
			return "", err
		}
		break
	}
	if err := os.Chmod(kept, 0o600); err != nil {
		return kept, err
	}
	if err := os.Rename(temp, path); err != nil {
		return kept, err
	}
	return kept, syncDir(filepath.Dir(path))
}

// lock waits as long as a command would for the lock that bbolt takes: how is
// syscall.LOCK_EX or LOCK_SH.
func lock(f *os.File, how int) error {
	end := time.Now().Add(DefaultTimeout)
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
		if err == nil || time.Now().After(end) {
			return err
		}
		time.Sleep(20 * time.Millisecond)
	}
}
