package workshop

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// Load reads the layout spec that is named, where --layout names a file.
func (w *QuoteWishes) Load(l Loader) error {
	if !strings.HasSuffix(strings.ToLower(w.Layout), ".toml") {
		return nil
	}
	w.LayoutSpec = &SpecAsk{SpecFile: w.Layout}
	err := w.LayoutSpec.Load(l)
	w.Layout = w.LayoutSpec.SpecFile
	return err
}

// holesOf gives what is drilled by a neck's plan or by a layout spec, named
// after the plan's code or the file. A spec is placed by even pitch: the holes
// and their depths are the same in every mode.
func (b *Book) holesOf(w QuoteWishes) (jobs.Plan, error) {
	if w.LayoutSpec == nil {
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
	s, err := b.specOf(*w.LayoutSpec, nil)
	if err != nil {
		return jobs.Plan{}, err
	}
	p, err := layout.Solve(s.spec, layout.EvenPitch)
	if err != nil {
		return jobs.Plan{}, specRefusal(s.name, err)
	}
	rec, err := planRecord(s, p)
	rec.Code = s.name
	return rec, err
}
