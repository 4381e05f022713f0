package main

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func stackCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "stack", Usage: "the thickness of the head against what the tuners clamp",
		Subcommands: []*cli.Command{
			{Name: "show", Usage: "thickness by stage, the core to aim at before the back veneer goes on, and which veneers fit", ArgsUsage: "[NECK] [--spec FILE]", Action: e.stackShow, Flags: []cli.Flag{
				&cli.StringFlag{Name: "spec", Usage: "`FILE` in TOML; the one last solved if not given", TakesFile: true},
				&cli.StringFlag{Name: "side", Usage: "try the veneers on the back or the face", Value: "back"},
				&cli.StringSliceFlag{Name: "measured", Usage: "`STAGE=MM` by caliper, such as face-glued=14.2; repeatable"}}},
		},
	}
}

// stackResult is what `stack show --json` prints.
type stackResult struct {
	Neck    string             `json:"neck,omitempty"`
	Code    string             `json:"code,omitempty"`
	Stack   layout.StackSum    `json:"stack"`
	Side    string             `json:"veneer_side"`
	Veneers []layout.VeneerFit `json:"veneers"`
}

func (e *env) stackShow(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	side := c.String("side")
	if side != "back" && side != "face" {
		return &jobs.FieldError{Field: "side", Value: side, Want: "back or face"}
	}
	res := stackResult{Side: side, Veneers: []layout.VeneerFit{}}
	var pieces []jobs.Piece
	var spec layout.Spec
	var ys []float64
	gather := func(tx *workshop.Book) error {
		var n *jobs.Neck
		if len(w) == 1 {
			found, err := tx.FindNeck(w[0])
			if err != nil {
				return err
			}
			n, res.Neck = &found, found.Code
		}
		f, mode, err := e.specFor(c, tx, n)
		if err != nil {
			return err
		}
		if spec, err = withPieces(tx, f.spec); err != nil {
			return err
		}
		if mode == "" {
			mode = layout.EvenPitch
		}
		if p, err := layout.Solve(spec, mode); err == nil {
			res.Code = p.Code
			for _, post := range p.Posts {
				ys = append(ys, post.YMM)
			}
		}
		pieces, err = store.All(tx.Tx, store.Pieces)
		return err
	}
	if err := e.view(c, gather); err != nil {
		return err
	}
	if c.String("spec") != "" {
		res.Code = ""
	}
	for _, m := range c.StringSlice("measured") {
		stage, v, _ := strings.Cut(m, "=")
		mm, err := jobs.ParseNumber("measured "+stage, v, 0.1, 100)
		if err != nil {
			return err
		}
		spec.Stack.Measured = append(spec.Stack.Measured, layout.Measured{Stage: stage, MM: mm})
	}
	if err := spec.Validate(); err != nil {
		return specProblem("stack", err)
	}
	sum, ok := layout.StackOf(spec.Stack, spec.Tuner, ys)
	if !ok {
		return usagef("", "the spec does not say enough: stack.core_mm and tuner.clamp_most_mm are needed")
	}
	res.Stack = sum
	res.Veneers = append(res.Veneers, layout.FitVeneers(spec.Stack, spec.Tuner, ys, side, veneersOf(pieces))...)
	if sum.Result == layout.Fail {
		e.Found()
	}
	if wantJSON(c) {
		return e.PrintJSON(res)
	}
	e.Say("%s: %s", sum.Result, sum.Text)
	return e.print(reports.StackReport(sum, side, res.Veneers))
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
