package main

import (
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func (e *env) layoutMarks(c *cli.Context) error {
	w, err := typedWords(c, 1, -1)
	if err != nil {
		return err
	}
	var marks []layout.Mark
	var readings []layout.Reading
	if path := c.String("points"); path != "" {
		raw, err := readFile("points", path, 1<<20)
		if err != nil {
			return err
		}
		if marks, readings, err = layout.ReadPoints(string(raw)); err != nil {
			return specProblem(path, err)
		}
	}
	m, r, err := typedMarks(w[1:])
	if err != nil {
		return err
	}
	marks, readings = append(marks, m...), append(readings, r...)
	if len(marks)+len(readings) == 0 {
		return usagef("bookmatch "+strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch")+" "+c.Command.ArgsUsage), "no marks: give --points FILE.csv or type them, such as 1 end 50.1, 1 edge 13.4, 2 1 26.0, 2 edge 13.6")
	}
	var ps planState
	drilled := c.Bool("drilled")
	err = e.view(c, func(tx *workshop.Book) error {
		if ps, err = readPlan(tx, w[0], c.Int("version")); err != nil {
			return err
		}
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		st, err := tx.NeckState(ps.neck)
		for _, v := range st.Steps {
			drilled = drilled || b.Operations[v.Operation].Drills == jobs.DrillsPosts && v.State == jobs.Done
		}
		return err
	})
	if err != nil {
		return err
	}
	res, err := layout.CompareMarks(ps.solved, marks, readings, drilled)
	if err != nil {
		return specProblem("marks", err)
	}
	if !res.Pass {
		e.Found()
	}
	if ps.stale != "" {
		e.Warn("plan %s is stale: %s", ps.plan.Code, ps.stale)
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(res)
	}
	sheet := reports.LayoutMarks(res, ps.solved)
	ps.frame(&sheet)
	if sheet.Made, err = e.Clock(); err != nil {
		return err
	}
	return e.hand(c, paper{report: sheet})
}

// typedMarks reads "1 end 50.1, 1 edge 13.4, 2 1 26.0, 3 at -5.5 100.1".
func typedMarks(words []string) (marks []layout.Mark, readings []layout.Reading, err error) {
	text := strings.Join(words, " ")
	if strings.TrimSpace(text) == "" {
		return nil, nil, nil
	}
	for part := range strings.SplitSeq(text, ", ") {
		f := strings.Fields(strings.TrimSuffix(part, ","))
		want := &jobs.FieldError{Field: "mark", Value: part, Want: "HOLE end|edge|HOLE MM or HOLE at X Y"}
		if len(f) < 3 {
			return nil, nil, want
		}
		hole, err := strconv.Atoi(f[0])
		if err != nil {
			return nil, nil, want
		}
		num := make([]float64, 0, 2)
		for _, s := range f[2:] {
			v, err := jobs.ParseNumber("mark", s, -5000, 5000)
			if err != nil {
				return nil, nil, err
			}
			num = append(num, v)
		}
		switch {
		case f[1] == "at" && len(num) == 2:
			marks = append(marks, layout.Mark{Hole: hole, XMM: num[0], YMM: num[1]})
		case len(num) == 1 && layout.ReadingOf(hole, f[1], num[0]).From != "":
			readings = append(readings, layout.ReadingOf(hole, f[1], num[0]))
		default:
			return nil, nil, want
		}
	}
	return marks, readings, nil
}
