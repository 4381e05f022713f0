package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// holesOf gives what is drilled by a neck's plan or by a layout spec, named
// after the plan's code or the file. A spec is placed by even pitch: the holes
// and their depths are the same in every mode.
func (b *Book) holesOf(w QuoteWishes) (jobs.Plan, error) {
	if w.LayoutSpec.Name == "" {
		n, err := b.FindNeck(w.Layout)
		if err != nil {
			return jobs.Plan{}, err
		}
		plan, ok, err := b.CurrentPlan(n.Code)
		if err == nil && !ok {
			err = jobs.Refuse("no-plan", fmt.Sprintf("neck %s has no layout plan", n.Name()), "layout solve "+n.Name()+" --spec head.toml --mode balanced")
		}
		return plan, err
	}
	name := w.LayoutSpec.Name
	spec, err := layout.ReadSpec([]byte(w.LayoutSpec.Text), func(file string) ([]byte, error) {
		if w.Drawing.Name == "" {
			return nil, &jobs.Refusal{Code: "drawing", Class: jobs.Missing, Why: fmt.Sprintf("%s takes its outline from %s", name, file), Type: []string{fmt.Sprintf("quote draft Q1 --layout-spec %s --drawing %s", name, file)}}
		}
		return []byte(w.Drawing.Text), nil
	})
	if err == nil {
		spec, err = b.WithPieces(spec)
	}
	if err != nil {
		return jobs.Plan{}, specRefusal(name, err)
	}
	p, err := layout.Solve(spec, layout.EvenPitch)
	if err != nil {
		return jobs.Plan{}, specRefusal(name, err)
	}
	rec, err := planRecord(specText{spec: spec, text: w.LayoutSpec.Text, name: name}, p)
	rec.Code = name
	return rec, err
}
