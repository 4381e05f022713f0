package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/reports"
	papers "bookmatch/reports/paper"
	"bookmatch/reports/screen"
	"bookmatch/reports/workbook"
)

// run parses the words, runs one command and gives the exit code.
func run(ctx context.Context, args []string, e *words.Env) int {
	return words.Program{Groups: groups, Commands: verbs(), Print: printReport, Save: save, Sheet: sheet}.Run(ctx, args, e)
}

// printReport prints a report on the screen that the program was started on.
func printReport(e *words.Env, w io.Writer, r reports.Report) error {
	return screen.For(e.Columns > 0, e.Columns, e.Getenv).Print(w, r)
}

// save writes a report to a file, by the ending of its name, by way of a passing
// name.
func save(e *words.Env, path, table string, force bool, r reports.Report) error {
	if table != "" && r.Table(table) == nil {
		var names []string
		for _, t := range r.Tables() {
			names = append(names, t.Name)
		}
		return &jobs.NotFoundError{Noun: "table", Value: table, Near: names}
	}
	if path == "" {
		return screen.For(e.Columns > 0, e.Columns, e.Getenv).PrintTable(e.Out, r, table)
	}
	var write func(io.Writer) error
	pages := 0
	switch ext := strings.ToLower(filepath.Ext(path)); {
	case ext == ".xlsx":
		write = func(w io.Writer) error { return workbook.Write(w, r) }
	case ext == ".csv":
		write = func(w io.Writer) error { return screen.CSV(w, r, table) }
	case papers.IsReport(path):
		if table != "" {
			r.Sections = []reports.Section{{Table: r.Table(table)}}
		}
		write = warned(e, func(w io.Writer) (warnings []jobs.Warning, err error) {
			pages, warnings, err = papers.WriteReport(w, r)
			return warnings, err
		})
	case papers.IsPicture(path) && r.Picture() != nil:
		write = warned(e, func(w io.Writer) ([]jobs.Warning, error) { return papers.WritePicture(w, path, r.Picture()) })
	default:
		want := ".pdf, .xlsx or .csv"
		if r.Picture() != nil {
			want = ".pdf, .xlsx, .csv, .png or .svg"
		}
		return &jobs.FieldError{Field: "out", Value: path, Want: "a name that ends in " + want + ", such as " + strings.TrimSuffix(path, filepath.Ext(path)) + ".xlsx"}
	}
	if err := slowly(e, "writing "+filepath.Base(path), func() error { return reports.WriteFile(path, force, write) }); err != nil {
		return err
	}
	if pages > 0 {
		path += ", " + jobs.CountText(pages, "page")
	}
	fmt.Fprintf(e.Out, "%s written to %s\n", r.Title, path)
	return nil
}

// warned passes the warnings of a writer on to the person.
func warned(e *words.Env, write func(io.Writer) ([]jobs.Warning, error)) func(io.Writer) error {
	return func(w io.Writer) error {
		warnings, err := write(w)
		for _, w := range warnings {
			e.Warn(w)
		}
		return err
	}
}

// sheet reads the rows of a workbook. One that cannot be read is wrong usage.
func sheet(raw []byte, name string, row func(no int, cells []string) error) (bool, error) {
	from1904, err := workbook.Read(raw, name, row)
	var bad *workbook.UnreadableError
	if errors.As(err, &bad) {
		err = &jobs.Refusal{Code: "sheet", Class: jobs.Invalid, Why: "a workbook that can be read is needed: " + bad.Error(), Type: []string{"data import list.csv --as entries"}}
	}
	return from1904, err
}

// slowly runs fn. When it takes longer than a second and a person watches, a line
// on stderr says what is going on.
func slowly(e *words.Env, what string, fn func() error) error {
	if !e.ErrTerminal {
		return fn()
	}
	done := make(chan error, 1)
	go func() { done <- fn() }()
	start, shown := time.Now(), false
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case err := <-done:
			if shown {
				fmt.Fprint(e.ErrOut, "\r\x1b[K")
			}
			return err
		case <-tick.C:
			shown = true
			fmt.Fprintf(e.ErrOut, "\rbookmatch: %s, %d s ...", what, int(time.Since(start).Seconds()))
		}
	}
}
