package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"bookmatch/cmd/bench"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports"
	"bookmatch/reports/screen"

	"github.com/urfave/cli/v2"
)

// env is what a command gets from the outside, with what the desk words ask of
// the command line.
type env struct{ *bench.Env }

func processEnv() *env { return newEnv(bench.ProcessEnv()) }

func newEnv(e *bench.Env) *env {
	e.Stale = staleness
	return &env{e}
}

// path is where the workshop's file lies.
func (e *env) path(c *cli.Context) (string, error) { return e.Path(c.String("file")) }

func (e *env) open(c *cli.Context, o store.Options) (*store.Store, error) {
	return e.Open(c.String("file"), o)
}

// view opens the file for reading, runs fn and closes it again before
// anything is drawn or printed: fn gathers values.
func (e *env) view(c *cli.Context, fn func(*store.Tx) error) error {
	return e.View(c.String("file"), fn)
}

// update opens the file for writing and runs fn in one transaction.
func (e *env) update(c *cli.Context, fn func(*store.Tx) error) error {
	return e.Update(c.String("file"), fn)
}

// wantJSON says whether the command was asked for JSON.
func wantJSON(c *cli.Context) bool { return c.Bool("json") }

// screen is what the output shows.
func (e *env) screen() screen.Screen { return screen.For(e.IsTerminal, e.Width, e.Getenv) }

// print writes a report to the screen.
func (e *env) print(r reports.Report) error {
	return e.screen().Print(e.Out, r)
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
	if info.IsDir() || info.Size() > limit {
		return nil, &jobs.FieldError{Field: field, Value: path, Want: fmt.Sprintf("a file of at most %d MB", limit>>20)}
	}
	return os.ReadFile(path)
}
