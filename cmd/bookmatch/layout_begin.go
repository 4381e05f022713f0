package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

// beginQuestions asks a person at a terminal for what a spec cannot do without.
func beginQuestions(e *words.Env, _ *workshop.Workshop, asked workshop.Ask) error {
	a := asked.(*workshop.LayoutBeginAsk)
	if e.Columns == 0 || len(a.Missing()) == 0 {
		return nil
	}
	in := bufio.NewReader(e.In)
	question := func(text string) string {
		fmt.Fprint(e.ErrOut, "bookmatch: "+text+": ")
		line, _ := in.ReadString('\n')
		return strings.TrimSpace(line)
	}
	length := func(text, field string, to *float64) (err error) {
		if *to > 0 {
			return nil
		}
		if s := question(text + ", such as 42mm or 1 5/8in"); s != "" {
			*to, err = jobs.ParseLength(field, s)
		}
		return err
	}
	if a.Posts == "" {
		a.Posts = question("posts on the bass side and on the treble side, such as 6+0 or 3+3")
	}
	if a.SpanMM == 0 {
		if err := length("width of the nut", "nut-width", &a.NutMM); err != nil {
			return err
		}
	}
	if err := length("hole that the tuner wants", "hole", &a.HoleMM); err != nil {
		return err
	}
	for a.Outline == "" {
		s := question("head: distance from the fretboard end and width there, such as 30mm=76mm; Enter ends")
		if s == "" {
			break
		}
		a.Widths = append(a.Widths, s)
	}
	return nil
}

// thenSolve leads from a spec that was started to solving it.
func thenSolve(res workshop.Result) (string, map[string][]string) {
	r := res.(*workshop.BeginResult)
	return "layout solve", map[string][]string{"neck": {r.Name}, "spec": {r.Text}, "mode": {"balanced"}}
}

// writeSpec writes the spec to its file.
func writeSpec(e *words.Env, a workshop.Ask, res workshop.Result) error {
	ask, r := a.(*workshop.LayoutBeginAsk), res.(*workshop.BeginResult)
	if ask.Out == "" {
		return nil
	}
	if !strings.HasSuffix(strings.ToLower(ask.Out), ".toml") {
		return &jobs.FieldError{Field: "out", Value: ask.Out, Want: "a name that ends in .toml, such as " + r.Name + ".toml"}
	}
	return reports.WriteFile(ask.Out, ask.Force, func(w io.Writer) error {
		_, err := io.WriteString(w, r.Text)
		return err
	})
}
