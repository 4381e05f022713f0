package main

// What stands here serves the commands that are not verbs of jobs/workshop yet.
// It goes with the last of them.

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/screen"

	"github.com/urfave/cli/v2"
)

// env is what a command gets from the outside.
type env struct{ *words.Env }

func processEnv() *env             { return newEnv(words.ProcessEnv()) }
func newEnv(e *words.Env) *env     { return &env{Env: e} }
func (e *env) isTerminal() bool    { return e.Columns > 0 }
func wantJSON(c *cli.Context) bool { return c.Bool("json") }

func usagef(how, format string, args ...any) error {
	r := &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: fmt.Sprintf(format, args...)}
	if how != "" {
		r.Type = []string{how}
	}
	return r
}

func (e *env) path(c *cli.Context) (string, error) { return e.Path(c.String("file")) }

func (e *env) open(c *cli.Context, o store.Options) (*store.Store, error) {
	w, err := e.Open(c.String("file"))
	if err != nil {
		return nil, err
	}
	o.Now, o.Command = w.Now, w.Typed
	if s := w.Kept(); s != nil {
		return s.Session(o.Now, o.Command), nil
	}
	s, err := store.Open(w.Path, o)
	if err != nil {
		return nil, err
	}
	for _, x := range s.Warnings() {
		e.Env.Warn(x)
	}
	return s, nil
}

func (e *env) view(c *cli.Context, fn func(*workshop.Book) error) error {
	s, err := e.open(c, store.Options{ReadOnly: true})
	if err != nil {
		return machineErr(err)
	}
	defer s.Close()
	return machineErr(s.View(func(tx *store.Tx) error { return inBook(tx, fn) }))
}

func (e *env) update(c *cli.Context, fn func(*workshop.Book) error) error {
	s, err := e.open(c, store.Options{})
	if err != nil {
		return machineErr(err)
	}
	defer s.Close()
	return machineErr(s.Update(func(tx *store.Tx) error { return inBook(tx, fn) }))
}

func machineErr(err error) error {
	if err == nil {
		return nil
	}
	return workshop.Refused("NOT DONE", err)
}

func inBook(tx *store.Tx, fn func(*workshop.Book) error) error {
	b, err := workshop.Open(tx)
	if err != nil {
		return err
	}
	return fn(b)
}

// desk is a book with the lines that are printed once the transaction stands.
type desk struct {
	*workshop.Book
	Data  any
	lines []string
	warns []string
}

func deskBench(tx *workshop.Book) (*desk, error) { return &desk{Book: tx}, nil }

func (e *env) newBench(tx *workshop.Book) (*desk, error) { return &desk{Book: tx}, tx.SettleLeft() }

// Say keeps a line for stdout until the transaction stands.
func (b *desk) Say(format string, args ...any) {
	b.lines = append(b.lines, fmt.Sprintf(format, args...))
}

// Warn keeps a line for stderr until the transaction stands.
func (b *desk) Warn(format string, args ...any) {
	b.warns = append(b.warns, fmt.Sprintf(format, args...))
}

func (e *env) deskWord(c *cli.Context, fn func(b *desk) error) error { return e.inDesk(c, false, fn) }

func (e *env) inDesk(c *cli.Context, settle bool, fn func(b *desk) error) error {
	var b *desk
	err := e.update(c, func(tx *workshop.Book) (err error) {
		b = &desk{Book: tx}
		if settle {
			if err := tx.SettleLeft(); err != nil {
				return err
			}
		}
		return fn(b)
	})
	if err != nil {
		return err
	}
	return e.told(c, b)
}

func (e *env) told(c *cli.Context, b *desk) error {
	for _, w := range b.Warnings() {
		e.Env.Warn(w)
	}
	for _, w := range b.warns {
		e.Warn("%s", w)
	}
	if wantJSON(c) {
		return e.PrintJSON(b.Data)
	}
	for _, line := range b.lines {
		e.Say("%s", line)
	}
	return nil
}

// Say writes one line of data for a person to stdout.
func (e *env) Say(format string, args ...any) { e.Text(format, args...) }

// Text writes prose to stdout, broken at words on a terminal.
func (e *env) Text(format string, args ...any) {
	text := plain.Clean(fmt.Sprintf(format, args...))
	if !e.isTerminal() {
		fmt.Fprintln(e.Out, text)
		return
	}
	body := strings.TrimLeft(text, " ")
	indent := text[:len(text)-len(body)]
	for i, line := range plain.Wrap(body, 78-len(indent)) {
		if i == 1 {
			indent += "  "
		}
		fmt.Fprintln(e.Out, indent+line)
	}
}

// Warn writes one line to stderr without failing the command.
func (e *env) Warn(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if h, ok := strings.CutPrefix(text, "hint: "); ok {
		e.Hint("%s", h)
		return
	}
	fmt.Fprintln(e.ErrOut, "bookmatch: "+plain.Clean(text))
}

// Hint writes what to type to stderr.
func (e *env) Hint(format string, args ...any) {
	fmt.Fprintln(e.ErrOut, "  Type: "+plain.Clean(fmt.Sprintf(format, args...)))
}

// Found ends a command whose check found problems.
func (e *env) Found() { e.Code = words.ExitFound }

// print writes a report to the terminal.
func (e *env) print(r reports.Report) error {
	return printReport(e.Env, e.Out, r)
}

// readFile reads a file that the builder named, with a limit on its size.
func readFile(field, path string, limit int64) ([]byte, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &jobs.NotFoundError{Noun: "file", Value: path}
	}
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > limit {
		return nil, &jobs.FieldError{Field: field, Value: path, Want: fmt.Sprintf("a plain file of at most %d MB", limit>>20)}
	}
	return os.ReadFile(path)
}

// typedWords gives the positional words of a command: between low and high of
// them (high below zero: any number).
func typedWords(c *cli.Context, low, high int) ([]string, error) {
	got := c.Args().Slice()
	if len(got) < low || (high >= 0 && len(got) > high) {
		what := "too few words"
		if len(got) > low {
			what = fmt.Sprintf("too many words from %q on", got[max(high, 0)])
		}
		full := strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch"))
		return nil, usagef(strings.TrimSpace(full+" "+c.Command.ArgsUsage), "%s: %s", c.Command.FullName(), what)
	}
	return got, nil
}

func (e *env) screen() screen.Screen { return screen.For(e.Columns > 0, e.Columns, e.Getenv) }

func noneOr(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// parseGrade reads a rim grade of a flag.
func parseGrade(field, s string) (*int, error) { return workshop.ParseGrade(s) }

// stamp reads --on: a date stands for its beginning or, where what happened
// comes after deliveries of the same day, for its end; today is now. A date
// with a time is that instant. A day that lies ahead is refused: what is not there
// yet cannot be on hand, or used.
func (b *desk) stamp(c *cli.Context, end bool) (time.Time, error) {
	s := strings.TrimSpace(c.String("on"))
	zone := b.Shop.Location()
	if s == "" {
		return b.Now, nil
	}
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return b.notLater(t.UTC())
	}
	date, clock, timed := strings.Cut(strings.Replace(s, "T", " ", 1), " ")
	day, err := jobs.ParseDay("on", date)
	if err != nil {
		return time.Time{}, err
	}
	if timed {
		at, err := jobs.ParseClock("on", clock)
		if err != nil {
			return time.Time{}, err
		}
		t, err := jobs.WallTime(day, at, zone, "")
		if err != nil {
			return t, err
		}
		return b.notLater(t)
	}
	if end && day == jobs.DayOf(b.Now.In(zone)) {
		return b.Now, nil
	}
	midnight, err := time.ParseInLocation(time.DateOnly, string(day), zone)
	if err != nil {
		return midnight, err
	}
	if end {
		next, err := time.ParseInLocation(time.DateOnly, string(day.Add(1)), zone)
		if err != nil {
			return next, err
		}
		return b.notLater(next.Add(-time.Second).UTC())
	}
	return b.notLater(midnight.UTC())
}

func (b *desk) notLater(t time.Time) (time.Time, error) {
	day := jobs.DayOf(t.In(b.Shop.Location()))
	switch {
	case day > jobs.DayOf(b.Now.In(b.Shop.Location())):
		return t, &jobs.FieldError{Field: "on", Value: string(day), Want: "a day that is not in the future"}
	case t.After(b.Now):
		b.Warn("%s lies ahead of now; it is kept as written", t.In(b.Shop.Location()).Format("2006-01-02 15:04"))
	}
	return t, nil
}

// openStates derives every neck that is on the bench or held.
func openStates(b *desk) ([]jobs.NeckState, error) {
	necks, err := b.BenchNecks()
	if err != nil {
		return nil, err
	}
	var out []jobs.NeckState
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}
