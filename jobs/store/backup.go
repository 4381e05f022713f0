package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"bookmatch/jobs"
)

// retryCopy is how long no copy of the evening is tried after one that was not
// sound: the trouble is reported meanwhile, and the bench goes on.
const retryCopy = time.Hour

// Backed is what a backup made.
type Backed struct {
	Copy    Copy     `json:"copy"`
	Removed []string `json:"removed"` // copies beyond those that are kept
	Health  Health   `json:"health"`
}

// Backup writes a dated copy of the file into a folder (empty: next to it). The
// copy is one consistent picture, however busy the file is, and is looked at in
// full before it gets its name: one that is not sound is not kept, and ErrDamaged
// says why. Its number is the highest of the day plus one. keep > 0 removes the
// oldest copies beyond that many, never the one just made.
func Backup(path, dir string, day jobs.Day, keep int, derived ...Derived) (made Backed, err error) {
	if dir == "" {
		dir = filepath.Dir(path)
	} else if err := os.MkdirAll(dir, 0o700); err != nil {
		return made, noRoom(err)
	}
	base := filepath.Base(path)
	sweep(filepath.Join(dir, base))
	f, err := passing(dir, base, "copying")
	if err != nil {
		return made, noRoom(err)
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if err := copyTo(path, f); err != nil {
		return made, fmt.Errorf("copy: %w", err)
	}
	if err := f.Sync(); err != nil {
		return made, noRoom(err)
	}
	made.Health = Health{Path: path, Troubles: []Trouble{}}
	(&image{f, path}).check(&made.Health, true, derived...)
	if !made.Health.Sound() {
		return made, fmt.Errorf("%w: the copy is not good and was not kept: %s", ErrDamaged, made.Health.Troubles[0].Text)
	}
	if made.Copy, err = nameCopy(f.Name(), dir, base, day); err != nil {
		return made, err
	}
	made.Health.Path = made.Copy.Path
	if dir == filepath.Dir(path) {
		st := readState(path)
		st.Sound[filepath.Base(made.Copy.Path)] = soundCopy{made.Copy.Bytes, made.Copy.Made}
		st.Unsound = nil
		if err := st.write(path); err != nil {
			return made, err
		}
	}
	made.Removed, err = prune(path, dir, keep, made.Copy.Path)
	return made, err
}

// nameCopy gives a copy the next name of its day.
func nameCopy(temp, dir, base string, day jobs.Day) (Copy, error) {
	all, err := Copies(filepath.Join(dir, base), dir)
	if err != nil {
		return Copy{}, err
	}
	n := 1
	for _, c := range all {
		if c.Day == day {
			n = max(n, c.No+1)
		}
	}
	for ; ; n++ {
		name := copyName(dir, base, day, n)
		err := os.Link(temp, name) // never over a copy that is there
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil && !Exists(name) {
			err = os.Rename(temp, name) // a file system without hard links
		}
		if err != nil {
			return Copy{}, noRoom(err)
		}
		info, err := os.Stat(name)
		if err != nil {
			return Copy{}, err
		}
		return Copy{name, day, n, info.Size(), info.ModTime().UTC()}, syncDir(dir)
	}
}

// prune removes copies beyond keep, the oldest first. made counts among those that
// are kept: it is known to be sound, which of no other is sure.
func prune(path, dir string, keep int, made string) (removed []string, err error) {
	if keep <= 0 {
		return nil, nil
	}
	all, err := Copies(path, dir)
	if err != nil {
		return nil, err
	}
	kept := 1
	for _, c := range all {
		if c.Path == made {
			continue
		}
		if kept++; kept <= keep {
			continue
		}
		if err := os.Remove(c.Path); err != nil {
			return removed, err
		}
		removed = append(removed, c.Path)
	}
	return removed, nil
}

// BackupDue says whether the copy of the evening is still to be made: none of its
// copies is known to be sound. This costs a look at a small file and at one name.
// A file in which nothing is set up yet is not worth a copy.
func (s *Store) BackupDue() (bool, error) {
	shop, day, err := s.evening()
	if err != nil || shop.BackupKeep <= 0 {
		return false, err
	}
	return dueOn(readState(s.path), s.path, day, s.opts.Now()), nil
}

func dueOn(st copyState, path string, day jobs.Day, now time.Time) bool {
	for name, c := range st.Sound {
		if of, _, ok := copyOf(name, filepath.Base(path)); ok && of == day && c.is(filepath.Join(filepath.Dir(path), name)) {
			return false
		}
	}
	since := time.Duration(retryCopy)
	if st.Unsound != nil {
		since = now.Sub(st.Unsound.At)
	}
	return since < 0 || since >= retryCopy
}

func (s *Store) evening() (shop jobs.Shop, day jobs.Day, err error) {
	if s.opts.lent {
		return shop, "", nil // a demo plays many evenings in a minute
	}
	err = s.View(func(tx *Tx) (err error) {
		shop, err = tx.Shop()
		day = shop.Evening(tx.Now)
		return err
	})
	if errors.Is(err, errNoShop) {
		return jobs.Shop{}, "", nil
	}
	return shop, day, err
}

// BackupEvening makes the copy of the evening if it is due; nil if it is not. A
// copy of this evening that nobody looked at yet is looked at first. What is found
// amiss is kept for LastUnsound.
func BackupEvening(path string, now func() time.Time, derived ...Derived) (made *Copy, err error) {
	s, err := Open(path, Options{Now: now, ReadOnly: true})
	if err != nil {
		return nil, err
	}
	shop, day, err := s.evening()
	if err := errors.Join(err, s.Close()); err != nil || shop.BackupKeep <= 0 {
		return nil, err
	}
	st := readState(path)
	if !dueOn(st, path, day, now()) {
		return nil, nil
	}
	copies, err := Copies(path, "")
	if err != nil {
		return nil, err
	}
	for _, c := range copies {
		if c.Day != day {
			continue
		}
		if h, err := Check(c.Path, derived...); err == nil && h.Sound() {
			st.Sound[filepath.Base(c.Path)], st.Unsound = soundCopy{c.Bytes, c.Made}, nil
			return nil, st.write(path)
		}
	}
	b, err := Backup(path, "", day, shop.BackupKeep, derived...)
	if errors.Is(err, ErrDamaged) {
		st.Unsound = &Unsound{now(), err.Error()}
		if len(b.Health.Troubles) > 0 {
			st.Unsound.Text = b.Health.Troubles[0].Text
		}
		return nil, errors.Join(err, st.write(path))
	}
	if err != nil {
		return nil, err
	}
	return &b.Copy, nil
}
