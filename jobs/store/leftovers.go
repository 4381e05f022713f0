package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// passing makes a file next to another under a name that says whose it is, mode
// 0600: "shop.db.copying-4711-..." is of the process 4711. It gets another name or
// goes when that process is done; what a killed one left is swept.
func passing(dir, base, what string) (*os.File, error) {
	return os.CreateTemp(dir, fmt.Sprintf("%s.%s-%d-*", base, what, os.Getpid()))
}

var passingName = regexp.MustCompile(`^(copying|importing|new|state)-([0-9]+)-[0-9]+$`)

// Leftovers gives the names of files next to path that commands left which were
// cut off.
func Leftovers(path string) []string {
	dir, base := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range list {
		rest, ok := strings.CutPrefix(e.Name(), base+".")
		m := passingName.FindStringSubmatch(rest)
		if !ok || m == nil || !e.Type().IsRegular() {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		if pid, err := strconv.Atoi(m[2]); err != nil || gone(pid) || time.Since(info.ModTime()) > time.Hour {
			out = append(out, e.Name())
		}
	}
	return out
}

// gone says that no process has this number.
func gone(pid int) bool { return errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) }

// sweep removes them.
func sweep(path string) {
	for _, name := range Leftovers(path) {
		os.Remove(filepath.Join(filepath.Dir(path), name))
	}
}
