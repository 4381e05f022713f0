package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

// Copy is one dated copy of a workshop file.
type Copy struct {
	Path  string    `json:"path"`
	Day   jobs.Day  `json:"day"`
	No    int       `json:"no"` // 1 for the first of its day
	Bytes int64     `json:"bytes"`
	Made  time.Time `json:"made"` // when it was written, by the file system
}

// copyName gives the name of the n-th copy of a day: shop.db.2027-03-02.bak,
// shop.db.2027-03-02-2.bak.
func copyName(dir, file string, day jobs.Day, n int) string {
	name := file + "." + string(day)
	if n > 1 {
		name += "-" + strconv.Itoa(n)
	}
	return filepath.Join(dir, name+".bak")
}

// copyOf reads such a name back: the day and the number of the copy.
func copyOf(name, file string) (day jobs.Day, n int, ok bool) {
	rest, ours := strings.CutPrefix(name, file+".")
	rest, dated := strings.CutSuffix(rest, ".bak")
	if !ours || !dated || len(rest) < len(time.DateOnly) {
		return "", 0, false
	}
	day, err := jobs.ParseDay("copy", rest[:len(time.DateOnly)])
	if err != nil {
		return "", 0, false
	}
	if rest = rest[len(time.DateOnly):]; rest == "" {
		return day, 1, true
	}
	n, err = strconv.Atoi(strings.TrimPrefix(rest, "-"))
	return day, n, err == nil && n > 1 && rest == "-"+strconv.Itoa(n)
}

// Copies lists the dated copies of the file at path that lie in a folder
// (empty: beside the file), newest first.
func Copies(path, dir string) ([]Copy, error) {
	if dir == "" {
		dir = filepath.Dir(path)
	}
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var out []Copy
	for _, e := range list {
		day, n, ok := copyOf(e.Name(), filepath.Base(path))
		if !ok || !e.Type().IsRegular() {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		out = append(out, Copy{filepath.Join(dir, e.Name()), day, n, info.Size(), info.ModTime().UTC()})
	}
	slices.SortFunc(out, func(a, b Copy) int {
		if a.Day != b.Day {
			return strings.Compare(string(b.Day), string(a.Day))
		}
		return b.No - a.No
	})
	return out, nil
}

// Kept lists what lies beside the file and is neither it nor a dated copy: the file
// before it came to a newer schema, and what a restore or an import replaced.
// Names without the folder, oldest names first.
func Kept(path string) ([]string, error) {
	list, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	keptName := regexp.MustCompile(`^(v[0-9]+(-[0-9]+)?\.bak|replaced-[0-9]{8}T[0-9]{6}Z.*)$`)
	var out []string
	for _, e := range list {
		rest, ok := strings.CutPrefix(e.Name(), filepath.Base(path)+".")
		if ok && e.Type().IsRegular() && keptName.MatchString(rest) {
			out = append(out, e.Name())
		}
	}
	return out, nil
}

// sweep removes what commands that died left under passing names. An hour is more
// than any of them takes.
func sweep(dir, base string) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	passingName := regexp.MustCompile(`^(copying|importing|new)-[0-9]+$`)
	for _, e := range list {
		rest, ok := strings.CutPrefix(e.Name(), base+".")
		if !ok || !e.Type().IsRegular() || !passingName.MatchString(rest) {
			continue
		}
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > time.Hour {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

// Backup writes a dated copy of the file into a folder (empty: beside it) and
// checks what was written before it gives it its name. The copy is one
// consistent picture, however busy the file is. keep > 0 removes the oldest
// copies beyond that many; what was removed is returned.
func (s *Store) Backup(dir string, day jobs.Day, keep int) (made Copy, removed []string, err error) {
	return s.backup(dir, day, keep, 10000)
}

// backup makes at most so many copies of a day; when all are there it is
// fs.ErrExist.
func (s *Store) backup(dir string, day jobs.Day, keep, most int) (made Copy, removed []string, err error) {
	if dir == "" {
		dir = filepath.Dir(s.path)
	} else if err := os.MkdirAll(dir, 0o700); err != nil {
		return made, nil, err
	}
	sweep(dir, filepath.Base(s.path))
	f, err := os.CreateTemp(dir, filepath.Base(s.path)+".copying-*") // mode 0600
	if err != nil {
		return made, nil, err
	}
	defer os.Remove(f.Name())
	if err := s.copyTo(f); err != nil {
		return made, nil, fmt.Errorf("copy: %w", err)
	}
	bad, err := CheckPages(f.Name())
	if err == nil && len(bad) > 0 {
		err = fmt.Errorf("%w: the copy is not good: %s", ErrDamaged, bad[0])
	}
	if err != nil {
		return made, nil, err
	}
	for n := 1; ; n++ {
		name := copyName(dir, filepath.Base(s.path), day, n)
		err := os.Link(f.Name(), name) // never over a copy that is there
		if errors.Is(err, fs.ErrExist) && n < most {
			continue
		}
		if err != nil && !Exists(name) {
			err = os.Rename(f.Name(), name) // a file system without hard links
		}
		if err != nil {
			return made, nil, err
		}
		info, err := os.Stat(name)
		if err != nil {
			return made, nil, err
		}
		made = Copy{name, day, n, info.Size(), info.ModTime().UTC()}
		break
	}
	if err := syncDir(dir); err != nil {
		return made, nil, err
	}
	removed, err = prune(s.path, dir, keep)
	return made, removed, err
}

func prune(path, dir string, keep int) (removed []string, err error) {
	if keep <= 0 {
		return nil, nil
	}
	all, err := Copies(path, dir)
	if err != nil {
		return nil, err
	}
	for _, c := range all[min(keep, len(all)):] {
		if err := os.Remove(c.Path); err != nil {
			return removed, err
		}
		removed = append(removed, c.Path)
	}
	return removed, nil
}

// copyTo writes the file as one transaction sees it, flushes and closes f.
func (s *Store) copyTo(f *os.File) error {
	err := guard(s.path, func() error {
		return s.db.View(func(tx *bolt.Tx) error { _, err := tx.WriteTo(f); return err })
	})
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// BackupDue says whether the copy of the evening is still to be made. When it
// is made, or the shop keeps none, this costs one look at a name. A file in which
// nothing is set up yet is not worth a copy.
func (s *Store) BackupDue() (bool, error) {
	shop, day, err := s.evening()
	if err != nil || shop.BackupKeep <= 0 {
		return false, err
	}
	return !Exists(copyName(filepath.Dir(s.path), filepath.Base(s.path), day, 1)), nil
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

// BackupEvening makes the copy of the evening if it is due; nil if it is not,
// or if another command was faster.
func (s *Store) BackupEvening() (made *Copy, err error) {
	if due, err := s.BackupDue(); err != nil || !due {
		return nil, err
	}
	shop, day, err := s.evening()
	if err != nil {
		return nil, err
	}
	c, _, err := s.backup("", day, shop.BackupKeep, 1)
	if errors.Is(err, fs.ErrExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return &c, nil
}
