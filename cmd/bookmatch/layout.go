package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"

	"github.com/urfave/cli/v2"
)

func layoutCommand(e *env) *cli.Command {
	spec := &cli.StringFlag{Name: "spec", Usage: "`FILE` in TOML; the one last solved if not given", TakesFile: true}
	version := &cli.IntFlag{Name: "version", Usage: "version `N`, the newest if not given"}
	force := &cli.BoolFlag{Name: "force", Usage: "replace a file that is there"}
	return &cli.Command{
		Name: "layout", Usage: "where the tuner posts go: solved, checked, drawn at true scale, compared with the marks",
		Subcommands: []*cli.Command{
			{Name: "solve", Usage: "place the posts and keep the plan", ArgsUsage: "NECK --spec FILE --mode MODE", Description: specHelp, Action: e.layoutSolve, Flags: []cli.Flag{spec,
				&cli.StringFlag{Name: "mode", Usage: strings.Join(layout.Modes(), ", ")}}},
			{Name: "compare", Usage: "the modes side by side, and the edge that would make all even", ArgsUsage: "[NECK] [--spec FILE]", Action: e.layoutCompare, Flags: []cli.Flag{spec}},
			{Name: "check", Usage: "every check with its clearance; says whether an input changed", ArgsUsage: "NECK", Action: e.layoutCheck, Flags: []cli.Flag{version}},
			{Name: "show", Usage: "the drilling sheet", ArgsUsage: "NECK", Action: e.layoutShow, Flags: append([]cli.Flag{version}, outFlags()...)},
			{Name: "draw", Usage: "the template at true scale", ArgsUsage: "NECK --out FILE.pdf|FILE.svg", Action: e.layoutDraw, Flags: []cli.Flag{version, force,
				&cli.StringFlag{Name: "out", Usage: "`FILE` that ends in .pdf or .svg", TakesFile: true},
				&cli.StringFlag{Name: "paper", Usage: "a4 or letter; the shop's if not given"},
				&cli.StringFlag{Name: "side", Usage: "face or back; a PDF holds both if not given"},
				&cli.StringFlag{Name: "bar-across", Usage: "what the printed 100 mm bar across measured, `MM`"},
				&cli.StringFlag{Name: "bar-along", Usage: "what the printed 100 mm bar along measured, `MM`"}}},
			{Name: "freeze", Usage: "fix the plan for drilling", ArgsUsage: "NECK", Action: e.layoutFreeze, Flags: []cli.Flag{
				&cli.StringFlag{Name: "code", Usage: "the `CODE` on the template: freezes only if it is this plan"},
				&cli.StringFlag{Name: "anyway", Usage: "`WHY` to freeze a stale plan"}}},
			{Name: "marks", Usage: "compare marks or holes with the plan", ArgsUsage: "NECK --points FILE.csv | NECK HOLE end|edge|HOLE MM, HOLE at X Y, ...", Action: e.layoutMarks, Flags: append([]cli.Flag{version,
				&cli.StringFlag{Name: "points", Usage: "`FILE` with columns hole,x_mm,y_mm or hole,from,mm", TakesFile: true},
				&cli.BoolFlag{Name: "drilled", Usage: "the holes are drilled already"}}, outFlags()...)},
		},
	}
}

// specFile is a spec as it was read.
type specFile struct {
	spec layout.Spec
	text string
	path string // absolute
}

// loadSpec reads a spec and the drawing beside it. What is wrong with it is a
// usage error that names file, key and value.
func loadSpec(path string) (specFile, error) {
	raw, err := readFile("spec", path, 1<<20)
	if err != nil {
		return specFile{}, err
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return specFile{}, err
	}
	s, err := layout.ReadSpec(raw, func(name string) ([]byte, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(full), name)
		}
		return readFile("outline.file", name, 1<<20)
	})
	if err != nil {
		return specFile{}, specProblem(filepath.Base(path), err)
	}
	return specFile{spec: s, text: string(raw), path: full}, nil
}

// specProblem turns a layout's complaint about its input into wrong usage.
func specProblem(where string, err error) error {
	var bad *layout.SpecError
	if errors.As(err, &bad) {
		return usagef("", "%s: %v", where, err)
	}
	return err
}

// withPieces fills the veneer thicknesses of named pieces from the stock.
func withPieces(tx *workshop.Book, s layout.Spec) (layout.Spec, error) {
	b := &desk{Book: tx}
	for _, f := range []struct {
		codes []string
		to    *[]float64
	}{{s.Stack.FacePieces, &s.Stack.FaceMM}, {s.Stack.BackPieces, &s.Stack.BackMM}} {
		if len(f.codes) == 0 {
			continue
		}
		var mm []float64
		for _, code := range f.codes {
			p, err := b.piece(code)
			if err != nil {
				return s, err
			}
			if p.ThicknessMM <= 0 {
				return s, &jobs.ConflictError{What: fmt.Sprintf("piece %q is not measured yet", p.Code), How: "piece set " + p.Code + " --thickness MM"}
			}
			mm = append(mm, p.ThicknessMM)
		}
		*f.to = mm
	}
	return s, nil
}

// solvedOf gives back the geometry of a stored plan.
func solvedOf(p jobs.Plan) (layout.Plan, error) {
	var out layout.Plan
	if err := json.Unmarshal(p.Solved, &out); err != nil {
		return out, fmt.Errorf("plan %s of %s cannot be read: %w", p.Code, p.Neck, err)
	}
	out.Neck, out.Version = p.Neck, p.Version
	return out, nil
}

// staleness says which input of a plan changed since it was solved, "" when
// none did: the spec's file where it is still there, else its text, with the
// pieces of the stock as they are measured now.
func staleness(tx *workshop.Book, p jobs.Plan) string {
	if p.Stale != "" {
		return p.Stale
	}
	solved, err := solvedOf(p)
	if err != nil {
		return err.Error()
	}
	now := solved.Spec
	if p.File != "" {
		if _, err := os.Stat(p.File); err == nil {
			f, err := loadSpec(p.File)
			if err != nil {
				return "the spec no longer reads: " + err.Error()
			}
			now = f.spec
		}
	}
	if now, err = withPieces(tx, now); err != nil {
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
	return strings.Join(parts, "; ")
}

// planState is a stored plan with all that the layout commands need of it.
type planState struct {
	neck   jobs.Neck
	plan   jobs.Plan
	solved layout.Plan
	stale  string
	shop   jobs.Shop
}

func readPlan(tx *workshop.Book, word string, version int) (ps planState, err error) {
	if ps.shop, err = tx.Shop, nil; err != nil {
		return ps, err
	}
	if ps.neck, err = tx.FindNeck(word); err != nil {
		return ps, err
	}
	if ps.plan, err = tx.PlanOf(ps.neck, version); err != nil {
		return ps, err
	}
	if ps.solved, err = solvedOf(ps.plan); err != nil {
		return ps, err
	}
	ps.stale = staleness(tx, ps.plan)
	return ps, nil
}

// state in a word or two, for the template and the echo.
func (ps planState) state() string {
	switch {
	case ps.stale != "":
		return "stale: do not drill from this"
	case ps.plan.Frozen != nil:
		return "frozen"
	}
	return "not frozen"
}

// knownThickness puts the neck's own thickness where the spec has none.
func knownThickness(p *layout.Plan, headMM float64) {
	for i := range p.Holes {
		if h := &p.Holes[i]; h.Assumed && headMM > 0 {
			h.DepthMM, h.Assumed = headMM, false
		}
	}
}

// planOf makes the record of a solved plan.
func planOf(f specFile, spec layout.Spec, p layout.Plan) (jobs.Plan, error) {
	out := jobs.Plan{Code: p.Code, Mode: p.Mode, Spec: f.text, File: f.path, SpecSum: layout.InputCode(spec), Holes: []jobs.PlanHole{}}
	for _, h := range p.Holes {
		post, _ := p.PostOf(h.String)
		// What the bit cuts, in hundredths: finer than a depth stop. An assumed
		// thickness is left to the bench, which has a usual depth of its own.
		cut := math.Round(h.CutMM()*100) / 100
		if h.Assumed {
			cut = 0
		}
		ph := jobs.PlanHole{String: h.String, Side: post.Side, DiameterMM: h.DiameterMM, DepthMM: cut, XMM: h.XMM, YMM: h.YMM, BackingMM: h.BackingMM, From: h.From}
		if h.Kind == "post" {
			out.Holes = append(out.Holes, ph)
		} else {
			ph.Kind = h.Kind
			out.Others = append(out.Others, ph)
		}
	}
	raw, err := json.Marshal(p)
	out.Solved = raw
	return out, err
}

// planJSON is what solve and show print: the plan with its record.
type planJSON struct {
	layout.Plan
	Frozen   *time.Time          `json:"frozen"`
	Stale    string              `json:"stale"`
	Made     time.Time           `json:"made"`
	Drilling []layout.DrillCount `json:"drilling"`
}

func (ps planState) json() planJSON {
	return planJSON{Plan: ps.solved, Frozen: ps.plan.Frozen, Stale: ps.stale, Made: ps.plan.Made, Drilling: layout.DrillCounts(ps.solved.Holes)}
}
