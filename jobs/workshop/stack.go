package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// StackShowAsk asks for the thickness of a head, layer by layer.
type StackShowAsk struct {
	Asked
	Neck string `json:"neck,omitempty" word:"[NECK]"`
	SpecAsk
	Side     string   `json:"side,omitempty" flag:"side" help:"try the veneers on the back or on the face"`
	Measured []string `json:"measured,omitempty" flag:"measured" arg:"STAGE=MM" help:"by caliper, such as face-glued=14.2"`
}

// StackResult is the thickness by stage, and which veneers fit.
type StackResult struct {
	Meta
	Neck    string             `json:"neck,omitempty"`
	Code    string             `json:"code,omitempty"`
	Stack   layout.StackSum    `json:"stack"`
	Side    string             `json:"veneer_side"`
	Veneers []layout.VeneerFit `json:"veneers"`
}

// Found says that the tuners do not clamp the head.
func (r *StackResult) Found() bool { return r.Stack.Result == layout.Fail }

// StackShow shows the thickness against what the tuners clamp.
var StackShow = Define("stack show", "", Reads, (*Book).stackShow)

func (b *Book) stackShow(ask *StackShowAsk, res *StackResult) error {
	res.Side, res.Veneers = "back", []layout.VeneerFit{}
	if ask.Side != "" {
		res.Side = ask.Side
	}
	if res.Side != "back" && res.Side != "face" {
		return &jobs.FieldError{Field: "side", Value: res.Side, Want: "back or face, such as back"}
	}
	var neck *jobs.Neck
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return err
		}
		neck, res.Neck = &n, n.Code
	}
	s, err := b.specOf(ask.SpecAsk, neck)
	if err != nil {
		return err
	}
	spec, mode := s.spec, s.mode
	if mode == "" {
		mode = layout.EvenPitch
	}
	var ys []float64
	if p, err := layout.Solve(spec, mode); err == nil {
		if ask.Spec == nil {
			res.Code = p.Code
		}
		for _, post := range p.Posts {
			ys = append(ys, post.YMM)
		}
	}
	for _, m := range ask.Measured {
		stage, v, _ := strings.Cut(m, "=")
		mm, err := jobs.ParseNumber("measured "+stage, v, 0.1, 100)
		if err != nil {
			return err
		}
		spec.Stack.Measured = append(spec.Stack.Measured, layout.Measured{Stage: stage, MM: mm})
	}
	if err := spec.Validate(); err != nil {
		return specRefusal("stack", err)
	}
	sum, ok := layout.StackOf(spec.Stack, spec.Tuner, ys)
	if !ok {
		return &jobs.Refusal{Code: "spec", Class: jobs.Invalid, Why: "the spec does not say enough: stack.core_mm and tuner.clamp_most_mm are needed", Type: []string{"layout begin --help"}}
	}
	pieces, err := store.All(b.Tx, store.Pieces)
	if err != nil {
		return err
	}
	res.Stack = sum
	res.Veneers = append(res.Veneers, layout.FitVeneers(spec.Stack, spec.Tuner, ys, res.Side, veneersOf(pieces))...)
	return nil
}

// veneersOf gives the measured veneers in stock, thinnest first.
func veneersOf(pieces []jobs.Piece) []layout.Veneer {
	var out []layout.Veneer
	for _, p := range pieces {
		if p.Kind == jobs.PieceVeneer && p.InStock() && p.ThicknessMM > 0 {
			out = append(out, layout.Veneer{Code: p.Code, MM: p.ThicknessMM})
		}
	}
	slices.SortStableFunc(out, func(a, b layout.Veneer) int {
		return strings.Compare(fmt.Sprintf("%09.3f%s", a.MM, a.Code), fmt.Sprintf("%09.3f%s", b.MM, b.Code))
	})
	return out
}
