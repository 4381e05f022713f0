package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/urfave/cli/v2"
)

// env is all that a command gets from the outside: streams, the clock and the
// environment. Tests give their own.
type env struct {
	in          io.Reader
	out, errOut io.Writer
	now         func() time.Time
	getenv      func(string) string
	isTerminal  bool
	errTerminal bool

	args []string // as typed, for the journal
	code int      // exit code of a command that succeeded but found problems

	shared *store.Store // an open file that many commands play on (demo)
	atEnd  func()       // what is left to do when the answer has been printed
}

// clock gives the instant of the command: BOOKMATCH_NOW (RFC 3339) where it is
// set, for demos, scripts and reprints, else the machine's clock.
func (e *env) clock() (time.Time, error) {
	s := e.getenv("BOOKMATCH_NOW")
	if s == "" {
		return e.now(), nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return time.Time{}, &jobs.FieldError{Field: "BOOKMATCH_NOW", Value: s, Want: "an RFC 3339 time such as 2026-11-24T19:30:00+01:00"}
	}
	return t, nil
}

// path is where the workshop's file lies.
func (e *env) path(c *cli.Context) (string, error) {
	if p := c.String("file"); p != "" {
		return p, nil
	}
	if p := e.getenv("BOOKMATCH_FILE"); p != "" {
		return p, nil
	}
	return store.DefaultPath(e.getenv)
}

func (e *env) open(c *cli.Context, o store.Options) (*store.Store, error) {
	now, err := e.clock()
	if err != nil {
		return nil, err
	}
	if e.shared != nil {
		return e.shared.Session(func() time.Time { return now }, typed(e.args)), nil
	}
	path, err := e.path(c)
	if err != nil {
		return nil, err
	}
	o.Now = func() time.Time { return now }
	o.Command = typed(e.args)
	return store.Open(path, o)
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

// view opens the file for reading, runs fn and closes it again before
// anything is drawn or printed: fn gathers values.
func (e *env) view(c *cli.Context, fn func(*store.Tx) error) error {
	s, err := e.open(c, store.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(fn)
}

// update opens the file for writing and runs fn in one transaction.
func (e *env) update(c *cli.Context, fn func(*store.Tx) error) error {
	s, err := e.open(c, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	err = s.Update(fn)
	if due, dueErr := s.BackupDue(); err == nil && dueErr == nil && due {
		e.atEnd = func() { e.backupEvening(c) }
	}
	return err
}

// backupEvening makes the copy of the evening once the command has answered, so
// that nobody waits for it at the bench.
func (e *env) backupEvening(c *cli.Context) {
	s, err := e.open(c, store.Options{ReadOnly: true})
	if err == nil {
		_, err = s.BackupEvening()
		s.Close()
	}
	if err != nil {
		e.warn("no copy of this evening could be made: %v", err)
	}
}

// wantJSON says whether the command was asked for JSON.
func wantJSON(c *cli.Context) bool { return c.Bool("json") }

// printJSON writes v as indented JSON.
func (e *env) printJSON(v any) error {
	enc := json.NewEncoder(plain.JSONWriter{To: e.out})
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// print writes a report to the terminal.
func (e *env) print(r reports.Report) error {
	return reports.Terminal{Color: reports.WantColor(e.isTerminal, e.getenv)}.Print(e.out, r)
}

// lineWidth is what a line of text may take, as on the tables.
const lineWidth = 80

// say writes one line of data for a person to stdout, however long: another
// program finds all of it there. On a terminal it breaks at words.
func (e *env) say(format string, args ...any) {
	if e.isTerminal {
		e.text(format, args...)
		return
	}
	fmt.Fprintln(e.out, plain.Clean(fmt.Sprintf(format, args...)))
}

// text writes prose to stdout. What is longer than the screen breaks at a word,
// the rest set in below it.
func (e *env) text(format string, args ...any) {
	text := plain.Clean(fmt.Sprintf(format, args...))
	body := strings.TrimLeft(text, " ")
	indent := text[:len(text)-len(body)]
	for i, line := range plain.Wrap(body, lineWidth-2-len(indent)) {
		if i == 1 {
			indent += "  "
		}
		fmt.Fprintln(e.out, indent+line)
	}
}

// warn writes one line to stderr without failing the command.
func (e *env) warn(format string, args ...any) {
	fmt.Fprintln(e.errOut, "bookmatch: "+plain.Clean(fmt.Sprintf(format, args...)))
}

// hint writes a hint line to stderr.
func (e *env) hint(format string, args ...any) {
	fmt.Fprintln(e.errOut, "bookmatch: hint: "+plain.Clean(fmt.Sprintf(format, args...)))
}

// found ends a command whose check found problems: its output stands, the exit
// code is 4.
func (e *env) found() { e.code = exitFound }

// readFile reads a file that the builder named, with a limit on its size.
func readFile(field, path string, limit int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.IsDir() || info.Size() > limit {
		return nil, &jobs.FieldError{Field: field, Value: path, Want: fmt.Sprintf("a file of at most %d MB", limit>>20)}
	}
	return os.ReadFile(path)
}
