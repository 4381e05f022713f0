package words

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Env is all that a command gets from the outside: streams, the clock and the
// environment. Tests give their own.
type Env struct {
	In          io.Reader
	Out, ErrOut io.Writer
	Now         func() time.Time
	Getenv      func(string) string
	// Columns is the width of the terminal that Out is, 0 when it is none.
	Columns     int
	ErrTerminal bool

	Args []string // as typed
	Code int      // exit code of a command that succeeded and found problems

	// Shop is an open shop that many commands play on. Nil opens the file
	// for each command.
	Shop *workshop.Workshop
}

// ProcessEnv is the environment of the process.
func ProcessEnv() *Env {
	e := &Env{In: os.Stdin, Out: os.Stdout, ErrOut: os.Stderr, Now: time.Now, Getenv: os.Getenv, ErrTerminal: isTerminal(os.Stderr)}
	if isTerminal(os.Stdout) {
		e.Columns = columns(os.Stdout)
	}
	return e
}

// Clock gives the instant of the command: BOOKMATCH_NOW (RFC 3339) where it is
// set, for demos, scripts and reprints, else the machine's clock.
func (e *Env) Clock() (time.Time, error) {
	s := e.Getenv("BOOKMATCH_NOW")
	if s == "" {
		return e.Now(), nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil || t.Year() < 1900 || t.Year() > 2200 {
		return time.Time{}, &jobs.Refusal{Code: "clock", Class: jobs.Invalid, What: "NOT STARTED", Why: fmt.Sprintf("BOOKMATCH_NOW is %q, which is no RFC 3339 time. Unset it, or set a time", s)}
	}
	return t, nil
}

// Path is where the workshop's file is: as said, as the environment says, or in
// the user's data folder by the XDG Base Directory rules.
func (e *Env) Path(said string) (string, error) {
	if said != "" {
		return said, nil
	}
	if p := e.Getenv("BOOKMATCH_FILE"); p != "" {
		return p, nil
	}
	if dir := e.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "bookmatch", "shop.db"), nil
	}
	home := e.Getenv("HOME")
	if home == "" {
		return "", errors.New("no home folder is known: say where the file is with --file")
	}
	return filepath.Join(home, ".local", "share", "bookmatch", "shop.db"), nil
}

// Open gives a handle on the shop of a command.
func (e *Env) Open(said string) (*workshop.Workshop, error) {
	now, err := e.Clock()
	if err != nil {
		return nil, err
	}
	w := e.Shop
	if w == nil {
		path, err := e.Path(said)
		if err != nil {
			return nil, err
		}
		w = workshop.At(path, nil)
	}
	w.In = e.In
	w.Now, w.Typed = func() time.Time { return now }, typed(e.Args)
	return w, nil
}

// typed gives words as they would be typed.
func typed(args []string) string {
	out := make([]string, len(args))
	for i, a := range args {
		if out[i] = a; a == "" || strings.ContainsAny(a, " \t\n\"'|&;()<>*?$") {
			out[i] = "'" + strings.ReplaceAll(a, "'", `'\''`) + "'"
		}
	}
	return strings.Join(out, " ")
}

// ReadFile reads a file that the builder named, or standard input for "-", up to
// a limit in bytes. What is no plain file, and what is larger, is refused.
func (e *Env) ReadFile(path string, limit int64) ([]byte, error) {
	from := e.In
	if path != "-" {
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, &jobs.NotFoundError{Noun: "file", Value: path}
		}
		if err != nil {
			return nil, err
		}
		if !info.Mode().IsRegular() {
			return nil, &jobs.FieldError{Field: "file", Value: path, Want: "a plain file, or - to read what is piped in"}
		}
		f, err := os.Open(path)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		from = f
	}
	raw, err := io.ReadAll(io.LimitReader(from, limit+1))
	if err == nil && int64(len(raw)) > limit {
		err = &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("at most %d KB", limit>>10)}
	}
	return raw, err
}
