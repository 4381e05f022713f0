package workshop

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// LayoutSolveAsk places the posts of a neck and keeps the plan.
type LayoutSolveAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
	SpecAsk
	Mode string `json:"mode,omitempty" flag:"mode" help:"straight-row, even-pitch, even-edge or balanced" of:"straight-row even-pitch even-edge balanced"`
}

// PlanResult is a plan with what is known of its record.
type PlanResult struct {
	Meta
	layout.Plan
	NeckName  string              `json:"neck_name"`
	Title     string              `json:"neck_title"`
	Frozen    *time.Time          `json:"frozen"`
	OutOfDate string              `json:"out_of_date"` // which input changed, "" when none did
	PlanMade  time.Time           `json:"plan_made"`
	Drilling  []layout.DrillCount `json:"drilling"`
	Same      bool                `json:"unchanged,omitempty"` // solving gave the plan that was there
	Replaces  string              `json:"replaces,omitempty"`  // code of the plan whose paper is void now
	Bits      []SheetBit          `json:"bits,omitempty"`
	Cautions  []string            `json:"cautions,omitempty"`
	Versions  []PlanVersion       `json:"versions,omitempty"`
}

// SheetBit is the bit for one sort of hole, or why there is none.
type SheetBit struct {
	Drills string `json:"drills"`
	Bit    string `json:"bit"`
	// Verdict is whether the bit is good for these holes, and how to set up the press.
	Verdict *VerdictRow `json:"verdict,omitempty"`
}

// PlanVersion is one version of a neck's plan.
type PlanVersion struct {
	Version int        `json:"version"`
	Code    string     `json:"code"`
	Mode    string     `json:"mode"`
	Made    time.Time  `json:"made"`
	Frozen  *time.Time `json:"frozen"`
}

// State is the plan's state in a word or two, for the template and the screen.
func (r *PlanResult) State() string {
	switch {
	case r.OutOfDate != "":
		return "out of date: do not use this paper"
	case r.Frozen != nil:
		return "frozen"
	}
	return "not frozen"
}

// PlanAsk asks for a plan of a neck.
type PlanAsk struct {
	Asked
	Neck    string `json:"neck" word:"NECK"`
	Version int    `json:"version,omitempty" flag:"version" arg:"N" help:"version N, else the newest"`
}

// LayoutCheckAsk asks for all checks of a plan, and whether a spec differs from
// the one it was solved from.
type LayoutCheckAsk struct {
	PlanAsk
	SpecAsk
}

// CheckPlanResult is every check of a plan.
type CheckPlanResult struct {
	PlanResult
	Result string `json:"result"` // pass, tight or fail
}

// Found says that a check fails or that the plan is out of date.
func (r *CheckPlanResult) Found() bool { return r.Result == layout.Fail || r.OutOfDate != "" }

// LayoutDrawAsk asks for the template at true scale. The bars are what the printed
// 100 mm bars measured: the drawing makes up for the printer.
type LayoutDrawAsk struct {
	PlanAsk
	Out       string  `json:"out" flag:"out" arg:"FILE" help:"file that ends in .pdf or .svg"`
	Paper     string  `json:"paper,omitempty" flag:"paper" help:"a4 or letter, else the shop's" of:"a4 letter"`
	Side      string  `json:"side,omitempty" flag:"side" help:"face or back; a PDF has both if not given" of:"face back"`
	BarAcross float64 `json:"bar_across_mm,omitempty" flag:"bar-across" arg:"MM" unit:"mm" help:"what the printed 100 mm bar across measured"`
	BarAlong  float64 `json:"bar_along_mm,omitempty" flag:"bar-along" arg:"MM" unit:"mm" help:"what the printed 100 mm bar along measured"`
	Force     bool    `json:"force,omitempty" flag:"force" help:"replace a file that exists"`
}

// DrawResult is the plan that was drawn, and where to. The bars are what the
// printed 100 mm bars measure, by the ask or by the shop's printer. 0 is not
// measured.
type DrawResult struct {
	PlanResult
	Out         string  `json:"out"`
	BarAcrossMM float64 `json:"bar_across_mm,omitempty"`
	BarAlongMM  float64 `json:"bar_along_mm,omitempty"`
}

// LayoutFreezeAsk fixes the newest plan for drilling.
type LayoutFreezeAsk struct {
	Asked
	Neck   string `json:"neck" word:"NECK"`
	Code   string `json:"code,omitempty" flag:"code" arg:"CODE" help:"the code on the paper: freezes only that plan"`
	Anyway string `json:"anyway,omitempty" flag:"anyway" arg:"WHY" help:"freeze a plan that is out of date, and why"`
}

func (a *LayoutFreezeAsk) why() string { return a.Anyway }

// LayoutCompareAsk lays the modes side by side.
type LayoutCompareAsk struct {
	Asked
	Neck string `json:"neck,omitempty" word:"[NECK]"`
	SpecAsk
}

// CompareResult is the modes side by side.
type CompareResult struct {
	Meta
	Name string `json:"neck,omitempty"`
	layout.Comparison
}

// The verbs of a layout.
var (
	LayoutSolve   = Define("layout solve", "NOT SAVED", Writes, (*Book).layoutSolve)
	LayoutCompare = Define("layout compare", "", Reads, (*Book).layoutCompare)
	LayoutCheck   = Define("layout check", "", Reads, (*Book).layoutCheck)
	LayoutShow    = Define("layout show", "", Reads, (*Book).layoutShow)
	LayoutDraw    = Define("layout draw", "NOT DRAWN", Reads, (*Book).layoutDraw)
	LayoutFreeze  = Define("layout freeze", "NOT FROZEN", Writes, (*Book).layoutFreeze)
)

func (b *Book) layoutSolve(ask *LayoutSolveAsk, res *PlanResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	s, err := b.specOf(ask.SpecAsk, &n)
	if err != nil {
		return err
	}
	last, had, err := b.CurrentPlan(n.Code)
	if err != nil {
		return err
	}
	mode := ask.Mode
	if mode == "" {
		mode = last.Mode
	}
	if mode == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the mode is missing: " + strings.Join(layout.Modes(), ", "), Type: []string{"layout solve " + n.Name() + " --spec " + ask.SpecFile + " --mode balanced", "layout compare " + n.Name() + " --spec " + ask.SpecFile}}
	}
	p, err := layout.Solve(s.spec, mode)
	if layout.DrawnFromBack(s.spec, mode) {
		const asks = "The mirror image of the outline would fit: was it drawn from the back?"
		if err != nil {
			return &jobs.Refusal{Code: "from-back", Class: jobs.Conflict, Why: err.Error() + ". " + asks, Type: []string{"layout begin " + n.Name() + " --help"}}
		}
		b.Warnf("from-back", asks)
	}
	var none *layout.InfeasibleError
	if errors.As(err, &none) {
		return &jobs.Refusal{Code: "no-place", Class: jobs.Conflict, Why: err.Error(), Type: []string{"layout compare " + n.Name() + ask.specWords(), "layout begin --help"}}
	}
	if err != nil {
		return specRefusal("spec", err)
	}
	p = p.For(n.Code)
	knownThickness(&p, n.HeadMM)
	if err := b.keepSolved(n, s, p, res); err != nil {
		return err
	}
	if res.Same = had && last.Version == res.Version; had && !res.Same {
		res.Replaces = last.Code
	}
	return nil
}

// keepSolved stores a plan of a spec as the neck's newest and fills the result.
func (b *Book) keepSolved(n jobs.Neck, s specText, p layout.Plan, res *PlanResult) error {
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	rec, err := planRecord(s, p)
	if err != nil {
		return err
	}
	if rec, err = b.KeepPlan(st, rec); err != nil {
		return err
	}
	p.Neck, p.Version = n.Code, rec.Version
	b.planResult(res, n, rec, p)
	return nil
}

// planResult fills what all results of a plan share.
func (b *Book) planResult(res *PlanResult, n jobs.Neck, rec jobs.Plan, p layout.Plan) {
	res.Plan, res.NeckName, res.Title = p, n.Name(), n.Title
	res.PlanMade, res.Drilling, res.OutOfDate = b.Wall(rec.Made), layout.DrillCounts(p.Holes), b.OutOfDate(rec)
	if rec.Frozen != nil {
		at := b.Wall(*rec.Frozen)
		res.Frozen = &at
	}
}

// readPlan finds a version of a neck's plan.
func (b *Book) readPlan(word string, version int, res *PlanResult) (jobs.Neck, jobs.Plan, error) {
	n, err := b.FindNeck(word)
	if err != nil {
		return n, jobs.Plan{}, err
	}
	rec, err := b.PlanOf(n, version)
	if err != nil {
		return n, rec, err
	}
	solved, err := SolvedOf(rec)
	if err != nil {
		return n, rec, err
	}
	b.planResult(res, n, rec, solved)
	return n, rec, nil
}

func (b *Book) layoutCompare(ask *LayoutCompareAsk, res *CompareResult) error {
	var neck *jobs.Neck
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return err
		}
		neck, res.Name = &n, n.Name()
	}
	s, err := b.specOf(ask.SpecAsk, neck)
	if err != nil {
		return err
	}
	res.Comparison, err = layout.Compare(s.spec)
	return specRefusal("spec", err)
}

func (b *Book) layoutCheck(ask *LayoutCheckAsk, res *CheckPlanResult) error {
	_, rec, err := b.readPlan(ask.Neck, ask.Version, &res.PlanResult)
	if err != nil {
		return err
	}
	if ask.Spec != nil && res.OutOfDate == "" {
		s, err := b.rawSpec(ask.SpecAsk, nil)
		if err != nil {
			return err
		}
		res.OutOfDate = b.OutOfDateAgainst(rec, res.Plan, s.spec)
	}
	if res.Findings, res.Unchecked, res.Inches, err = layout.Check(res.Plan); err != nil {
		return err
	}
	res.Result = res.Worst()
	return nil
}

func (b *Book) layoutShow(ask *PlanAsk, res *PlanResult) error {
	n, _, err := b.readPlan(ask.Neck, ask.Version, res)
	if err != nil {
		return err
	}
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	for _, drills := range []string{jobs.DrillsPosts, jobs.DrillsHidden} {
		operation := b.DrillOperation(drills)
		for _, c := range operation.Graph().CautionTexts() {
			if !slices.Contains(res.Cautions, c) {
				res.Cautions = append(res.Cautions, c)
			}
		}
		bit, why, err := b.ChooseBit(operation, []jobs.NeckState{st}, "")
		if err != nil {
			return err
		}
		x := SheetBit{Drills: drills, Bit: why}
		if bit.Code != "" {
			x.Bit = bit.Code
			if x.Verdict, err = b.sheetVerdict(bit.Code, n, drills); err != nil {
				return err
			}
		}
		res.Bits = append(res.Bits, x)
	}
	all, err := b.planVersions(n.Code)
	for _, p := range all {
		v := PlanVersion{Version: p.Version, Code: p.Code, Mode: p.Mode, Made: b.Wall(p.Made)}
		if p.Frozen != nil {
			at := b.Wall(*p.Frozen)
			v.Frozen = &at
		}
		res.Versions = append(res.Versions, v)
	}
	return err
}

// sheetVerdict judges a bit for the holes of a neck. Nil where there is nothing to
// judge.
func (b *Book) sheetVerdict(bit string, n jobs.Neck, drills string) (*VerdictRow, error) {
	var res BitVerdictResult
	err := b.bitVerdict(&BitVerdictAsk{Bit: bit, Necks: []string{n.Code}, Hidden: drills == jobs.DrillsHidden}, &res)
	var no *jobs.Refusal
	if errors.As(err, &no) || err == nil && len(res.Bits) == 0 {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return &res.Bits[0], nil
}

// knownThickness puts the neck's own thickness where the spec has none.
func knownThickness(p *layout.Plan, headMM float64) {
	for i := range p.Holes {
		if h := &p.Holes[i]; h.Assumed && headMM > 0 {
			h.DepthMM, h.Assumed = headMM, false
		}
	}
}

// planRecord makes the record of a solved plan. Depths are in hundredths: finer
// than a depth stop. An assumed thickness is left to the bench, which has a usual
// depth of its own.
func planRecord(s specText, p layout.Plan) (jobs.Plan, error) {
	out := jobs.Plan{Code: p.Code, Mode: p.Mode, Spec: s.text, File: s.name, SpecSum: layout.InputCode(s.spec), Holes: []jobs.PlanHole{}}
	for _, h := range p.Holes {
		post, _ := p.PostOf(h.String)
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
