package store

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"
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

// Copies lists the dated copies of the file at path that are in a folder
// (empty: next to the file), newest first.
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

// Kept lists what is next to the file and is neither it nor a dated copy: the file
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
