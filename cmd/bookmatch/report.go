package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"bookmatch/jobs"
	"bookmatch/reports"
	papers "bookmatch/reports/paper"
	"bookmatch/reports/screen"
	"bookmatch/reports/workbook"

	"github.com/urfave/cli/v2"
)

// reportCommand lists the reports. To add one, write its builder in package
// reports and a func here that gathers it as a paper.
func reportCommand(e *env) *cli.Command {
	sub := func(name, usage, args string, gather func(*cli.Context) (paper, error), flags ...cli.Flag) *cli.Command {
		return &cli.Command{Name: name, Usage: usage, ArgsUsage: args, Flags: append(flags, outFlags()...), Action: func(c *cli.Context) error {
			p, err := gather(c)
			if err != nil {
				return err
			}
			return e.hand(c, p)
		}}
	}
	return &cli.Command{
		Name: "report", Usage: "tables for the eye, or with --out a workbook (.xlsx) or one table (.csv)",
		Subcommands: []*cli.Command{
			sub("year", "the year: hours, what an hour earned, true overhead, rework, holes, standards", "[YEAR]", e.reportYear),
		},
	}
}

// outFlags are the flags of every report.
func outFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "out", Usage: "write `FILE` (.xlsx or .csv; .png or .svg where there is a drawing) instead of printing", TakesFile: true},
		&cli.StringFlag{Name: "table", Usage: "the one `TABLE` that a .csv holds, or that is printed"},
		&cli.BoolFlag{Name: "force", Usage: "replace a file that is there"},
	}
}

// paper is a finished report, with its drawing if it has one.
type paper struct {
	report  reports.Report
	picture reports.Picture
	above   bool // the screen shows the picture before the tables
	below   bool // or after them
}

// hand gives a paper to whoever asked: a file by way of a temporary name, JSON,
// or the terminal.
func (e *env) hand(c *cli.Context, p paper) error {
	path, table := c.String("out"), c.String("table")
	if table != "" && p.report.Table(table) == nil {
		var names []string
		for _, t := range p.report.Tables() {
			names = append(names, t.Name)
		}
		return &jobs.NotFoundError{Noun: "table", Value: table, Near: names}
	}
	switch {
	case path != "":
	case wantJSON(c):
		return screen.JSON(e.Out, p.report)
	case table != "":
		return e.screen().PrintTable(e.Out, p.report, table)
	default:
		if p.above {
			fmt.Fprintln(e.Out, p.picture.Text(e.screen().Columns())+"\n")
		}
		if err := e.print(p.report); err != nil || !p.below {
			return err
		}
		_, err := fmt.Fprintln(e.Out, "\n"+p.picture.Text(e.screen().Columns()))
		return err
	}
	write, err := e.writer(p, path, table)
	if err != nil {
		return err
	}
	if err := e.notTheFile(c, path); err != nil {
		return err
	}
	if err := e.slowly("writing "+filepath.Base(path), func() error { return reports.WriteFile(path, c.Bool("force"), write) }); err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]string{"out": path})
	}
	e.Say("%s written to %s", p.report.Title, path)
	return nil
}

// warnAll writes warnings to stderr.
func (e *env) warnAll(warnings []jobs.Warning) {
	for _, w := range warnings {
		e.Env.Warn(w)
	}
}

// writer picks the form by the ending of the file's name.
func (e *env) writer(p paper, path, table string) (func(io.Writer) error, error) {
	full := p.report.At(reports.Full)
	switch ext := strings.ToLower(filepath.Ext(path)); {
	case ext == ".xlsx":
		return func(w io.Writer) error { return workbook.Write(w, full) }, nil
	case ext == ".csv":
		return func(w io.Writer) error { return screen.CSV(w, full, table) }, nil
	case papers.IsPicture(path) && p.picture != nil:
		return func(w io.Writer) error {
			warnings, err := papers.WritePicture(w, path, p.picture)
			e.warnAll(warnings)
			return err
		}, nil
	}
	want := "a name that ends in .xlsx or .csv"
	if p.picture != nil {
		want = "a name that ends in .xlsx, .csv, .png or .svg"
	}
	return nil, &jobs.FieldError{Field: "out", Value: path, Want: want}
}
