package bench

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports/plain"

	"golang.org/x/term"
)

// Env is all that a command gets from the outside: streams, the clock and the
// environment. Tests give their own.
type Env struct {
	In          io.Reader
	Out, ErrOut io.Writer
	Now         func() time.Time
	Getenv      func(string) string
	IsTerminal  bool
	ErrTerminal bool
	Width       int // of the terminal, in columns; 0 where it does not say

	Args []string // as typed, for the journal
	Code int      // exit code of a command that succeeded but found problems

	Shared *store.Store // an open file that many commands play on (demo)
	AtEnd  func()       // what is left to do when the answer has been printed

	// Stale says which input of a plan changed since it was solved, "" when none
	// did. Without it, work that hangs on a plan is handed over (ErrHandOver).
	Stale func(*store.Tx, jobs.Plan) string
}

// ErrHandOver says that this program cannot answer, and that nothing was
// written: the whole one is to be asked.
var ErrHandOver = errors.New("the whole program is needed for this")

// ProcessEnv is the environment of the process.
func ProcessEnv() *Env {
	return &Env{In: os.Stdin, Out: os.Stdout, ErrOut: os.Stderr, Now: time.Now, Getenv: os.Getenv, IsTerminal: isTerminal(os.Stdout), ErrTerminal: isTerminal(os.Stderr), Width: widthOf(os.Stdout)}
}

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// widthOf is the width of a terminal in columns, 0 where it does not say.
func widthOf(f *os.File) int {
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
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
		return time.Time{}, &jobs.FieldError{Field: "BOOKMATCH_NOW", Value: s, Want: "an RFC 3339 time such as 2026-11-24T19:30:00+01:00"}
	}
	return t, nil
}

// Path is where the workshop's file lies: as said, as the environment says, or
// in the user's data folder.
func (e *Env) Path(said string) (string, error) {
	if said != "" {
		return said, nil
	}
	if p := e.Getenv("BOOKMATCH_FILE"); p != "" {
		return p, nil
	}
	return store.DefaultPath(e.Getenv)
}

// Open opens the workshop's file.
func (e *Env) Open(said string, o store.Options) (*store.Store, error) {
	now, err := e.Clock()
	if err != nil {
		return nil, err
	}
	if e.Shared != nil {
		return e.Shared.Session(func() time.Time { return now }, typed(e.Args)), nil
	}
	path, err := e.Path(said)
	if err != nil {
		return nil, err
	}
	o.Now = func() time.Time { return now }
	o.Command = typed(e.Args)
	s, err := store.Open(path, o)
	if err == nil && s.Before != "" {
		e.Warn("the file was brought to what this program writes; as it was, it is kept as %s", s.Before)
		if n := len(s.BeforeTroubles); n > 0 {
			e.Warn("it was damaged before: %d found, first: %s", n, s.BeforeTroubles[0].Text)
			e.Hint("see all: bookmatch data check; a copy from before the damage: bookmatch data restore")
		}
	}
	return s, err
}

// typed gives words as they would be typed, for the journal.
func typed(args []string) string {
	out := make([]string, len(args))
	for i, a := range args {
		if out[i] = a; a == "" || strings.ContainsAny(a, " \t\n\"'|&;()<>*?$") {
			out[i] = "'" + strings.ReplaceAll(a, "'", `'\''`) + "'"
		}
	}
	return strings.Join(out, " ")
}

// View opens the file for reading, runs fn and closes it again before anything
// is drawn or printed: fn gathers values.
func (e *Env) View(said string, fn func(*store.Tx) error) error {
	s, err := e.Open(said, store.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(fn)
}

// Update opens the file for writing and runs fn in one transaction.
func (e *Env) Update(said string, fn func(*store.Tx) error) error {
	s, err := e.Open(said, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	err = s.Update(fn)
	if due, dueErr := s.BackupDue(); err == nil && dueErr == nil && due {
		e.AtEnd = func() { e.backupEvening(said) }
	}
	return err
}

// backupEvening makes the copy of the evening once the command has answered, so
// that nobody waits for it at the bench.
func (e *Env) backupEvening(said string) {
	s, err := e.Open(said, store.Options{ReadOnly: true})
	if err == nil {
		_, err = s.BackupEvening()
		s.Close()
	}
	if err != nil {
		e.Warn("no copy of this evening could be made: %v", err)
	}
}

// PrintJSON writes v as indented JSON.
func (e *Env) PrintJSON(v any) error {
	enc := json.NewEncoder(plain.JSONWriter{To: e.Out})
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// LineWidth is what a line of text may take, as on the tables.
const LineWidth = 80

// Say writes one line of data for a person to stdout, however long: another
// program finds all of it there. On a terminal it breaks at words.
func (e *Env) Say(format string, args ...any) {
	if e.IsTerminal {
		e.Text(format, args...)
		return
	}
	fmt.Fprintln(e.Out, plain.Clean(fmt.Sprintf(format, args...)))
}

// Text writes prose to stdout. What is longer than the screen breaks at a word,
// the rest set in below it.
func (e *Env) Text(format string, args ...any) {
	text := plain.Clean(fmt.Sprintf(format, args...))
	body := strings.TrimLeft(text, " ")
	indent := text[:len(text)-len(body)]
	for i, line := range plain.Wrap(body, LineWidth-2-len(indent)) {
		if i == 1 {
			indent += "  "
		}
		fmt.Fprintln(e.Out, indent+line)
	}
}

// Warn writes one line to stderr without failing the command.
func (e *Env) Warn(format string, args ...any) {
	fmt.Fprintln(e.ErrOut, "bookmatch: "+plain.Clean(fmt.Sprintf(format, args...)))
}

// Hint writes a hint line to stderr.
func (e *Env) Hint(format string, args ...any) {
	fmt.Fprintln(e.ErrOut, "bookmatch: hint: "+plain.Clean(fmt.Sprintf(format, args...)))
}

// Found ends a command whose check found problems: its output stands, the exit
// code is 4.
func (e *Env) Found() { e.Code = ExitFound }
