package workshop

import (
	"encoding/json"
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// SolvedOf gives back the geometry of a stored plan.
func SolvedOf(p jobs.Plan) (layout.Plan, error) {
	var out layout.Plan
	if err := json.Unmarshal(p.Solved, &out); err != nil {
		return out, fmt.Errorf("plan %s of %s cannot be read: %w", p.Code, p.Neck, err)
	}
	out.Neck, out.Version = p.Neck, p.Version
	return out, nil
}

// WithPieces fills the veneer thicknesses of named pieces from the stock.
func (b *Book) WithPieces(s layout.Spec) (layout.Spec, error) {
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

// OutOfDate says which input of a plan changed since it was solved, "" when none
// did. It compares the stored spec with the pieces of the stock as they are
// measured now.
func (b *Book) OutOfDate(p jobs.Plan) string {
	if p.OutOfDate != "" {
		return p.OutOfDate
	}
	solved, err := SolvedOf(p)
	if err != nil {
		return err.Error()
	}
	return b.OutOfDateAgainst(p, solved, solved.Spec)
}

// OutOfDateAgainst says how a spec differs from the one that a plan was solved from.
func (b *Book) OutOfDateAgainst(p jobs.Plan, solved layout.Plan, now layout.Spec) string {
	now, err := b.WithPieces(now)
	if err != nil {
		return err.Error()
	}
	if layout.InputCode(now) == p.SpecSum {
		return ""
	}
	changes := layout.Changes(solved.Spec, now)
	var parts []string
	for _, c := range changes[:min(2, len(changes))] {
		parts = append(parts, c.String())
	}
	if n := len(changes) - 2; n > 0 {
		parts = append(parts, fmt.Sprintf("and %d more", n))
	}
	if len(parts) == 0 {
		return "its spec changed"
	}
	return strings.Join(parts, ", ")
}
