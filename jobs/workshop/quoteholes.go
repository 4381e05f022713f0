package workshop

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

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
		spec, err = b.measuredSpec(spec)
	}
	if err != nil {
		return jobs.Plan{}, specRefused(name, err)
	}
	p, err := layout.Solve(spec, layout.EvenPitch)
	if err != nil {
		return jobs.Plan{}, specRefused(name, err)
	}
	rec := jobs.Plan{Code: name, Mode: p.Mode, Holes: []jobs.PlanHole{}}
	for _, h := range p.Holes {
		post, _ := p.PostOf(h.String)
		cut := math.Round(h.CutMM()*100) / 100 // hundredths: finer than a depth stop
		if h.Assumed {
			cut = 0 // an assumed thickness is left to the shop's usual depth
		}
		hole := jobs.PlanHole{String: h.String, Side: post.Side, DiameterMM: h.DiameterMM, DepthMM: cut, XMM: h.XMM, YMM: h.YMM, BackingMM: h.BackingMM, From: h.From}
		if h.Kind == "post" {
			rec.Holes = append(rec.Holes, hole)
			continue
		}
		hole.Kind = h.Kind
		rec.Others = append(rec.Others, hole)
	}
	rec.Solved, err = json.Marshal(p)
	return rec, err
}

// measuredSpec fills the veneer thicknesses of named pieces from the stock.
func (b *Book) measuredSpec(s layout.Spec) (layout.Spec, error) {
	for _, f := range []struct {
		codes []string
		to    *[]float64
	}{{s.Stack.FacePieces, &s.Stack.FaceMM}, {s.Stack.BackPieces, &s.Stack.BackMM}} {
		if len(f.codes) == 0 {
			continue
		}
		var mm []float64
		for _, code := range f.codes {
			p, err := b.FindPiece(code)
			if err != nil {
				return s, err
			}
			if p.ThicknessMM <= 0 {
				return s, jobs.Refuse("not-measured", fmt.Sprintf("piece %s is not measured yet", p.Code), "piece set "+p.Code+" --thickness 0.6")
			}
			mm = append(mm, p.ThicknessMM)
		}
		*f.to = mm
	}
	return s, nil
}

// specRefused says what is wrong with a spec, with the name of its file.
func specRefused(name string, err error) error {
	var bad *layout.SpecError
	if errors.As(err, &bad) {
		return &jobs.Refusal{Code: "spec", Class: jobs.Invalid, Why: fmt.Sprintf("%s: %v", name, err), Type: []string{"layout solve --help"}}
	}
	return err
}
