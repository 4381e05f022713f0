package workshop

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// MovesAsk names posts and where they go.
type MovesAsk struct {
	Neck  string   `json:"neck" word:"NECK"`
	Moves []string `json:"moves,omitempty" word:"[STRING=MM...]"` // "2=65.7"
	Mode  string   `json:"mode,omitempty" flag:"mode" help:"begin from this mode, else from the kept plan" of:"straight-row even-pitch even-edge balanced"`
	Base  string   `json:"base,omitempty" flag:"code" arg:"CODE" help:"only while the kept plan has this code"`
}

// LayoutMoveAsk pushes posts along their strings and keeps the plan that comes of
// it.
type LayoutMoveAsk struct {
	Asked
	MovesAsk
}

// LayoutTryAsk asks what a plan would be with posts pushed along their strings.
// Nothing is kept.
type LayoutTryAsk struct {
	Asked
	MovesAsk
	String int `json:"string,omitempty" flag:"string" arg:"N" help:"say where the post of this string fits"`
	// Quick leaves the other modes out: an answer while a post moves.
	Quick bool `json:"quick,omitempty"`
}

// LayoutTryResult is the plan that would come of it.
type LayoutTryResult struct {
	PlanResult
	Base  string `json:"base"`  // code of the kept plan
	Draft bool   `json:"draft"` // it is not the kept plan
	// Track is where the post of the string in question fits. Nil without one.
	Track *PostTrack `json:"track,omitempty"`
	// Modes are the modes side by side, for the same spec.
	Modes []layout.ModeSum `json:"modes,omitempty"`
}

// PostTrack is the one freedom of a post: its distance from the fretboard end.
type PostTrack struct {
	String int           `json:"string"`
	FromMM float64       `json:"from_mm"` // the stretch that was looked through
	ToMM   float64       `json:"to_mm"`
	Free   []layout.Span `json:"free"`             // where no check of it fails
	Ghosts []PostGhost   `json:"ghosts,omitempty"` // where the modes have it
}

// PostGhost is where a mode has a post, and whether that plan passes its checks.
type PostGhost struct {
	Mode  string  `json:"mode"`
	YMM   float64 `json:"y_mm"`
	Worst string  `json:"worst"`
}

// trackMM is how much of its string is looked through for a post, in whole mm.
const trackMM = 9

// The verbs of a post that is moved by hand.
var (
	LayoutMove = Define("layout move", "NOT SAVED", Writes, (*Book).layoutMove)
	LayoutTry  = Define("layout try", "NOT SHOWN", Reads, (*Book).layoutTry)
)

func (b *Book) layoutMove(ask *LayoutMoveAsk, res *PlanResult) error {
	if len(ask.Moves) == 0 && ask.Mode == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "no post was named", Type: []string{"layout move " + cmp.Or(ask.Neck, "ada") + " 2=65.7"}}
	}
	n, rec, s, p, err := b.movedPlan(ask.MovesAsk)
	if err != nil {
		return err
	}
	if err := b.keepSolved(n, s, p, res); err != nil {
		return err
	}
	if res.Same = rec.Version == res.Version; !res.Same {
		res.Replaces = rec.Code
	}
	return nil
}

// movedPlan is the kept plan of a neck, or what a mode makes of its spec, with
// posts moved. The record is that of the kept plan.
func (b *Book) movedPlan(ask MovesAsk) (n jobs.Neck, rec jobs.Plan, s specText, p layout.Plan, err error) {
	if n, err = b.FindNeck(ask.Neck); err != nil {
		return
	}
	if rec, err = b.PlanOf(n, 0); err != nil {
		return
	}
	if ask.Base != "" && !strings.EqualFold(ask.Base, rec.Code) {
		err = jobs.Refuse("other-plan", fmt.Sprintf("the plan of %s is %s by now, no longer %s", n.Name(), rec.Code, strings.ToUpper(ask.Base)), "layout show "+n.Name())
		return
	}
	if s, err = b.specOf(SpecAsk{}, &n); err != nil {
		return
	}
	if ask.Mode == "" {
		p, err = SolvedOf(rec)
		p.Spec, p.Version = s.spec, 0 // the record says which version it is
	} else if p, err = layout.Solve(s.spec, ask.Mode); err == nil {
		p = p.For(n.Code)
	}
	if err == nil && len(ask.Moves) > 0 {
		var moves []layout.Move
		if moves, err = b.moves(ask.Moves); err == nil {
			p, err = p.Moved(moves)
		}
	}
	knownThickness(&p, n.HeadMM)
	var none *layout.InfeasibleError
	var bad *layout.SpecError
	switch {
	case errors.As(err, &none):
		err = &jobs.Refusal{Code: "no-place", Class: jobs.Conflict, Why: err.Error(), Type: []string{"layout compare " + n.Name()}}
	case errors.As(err, &bad):
		err = &jobs.Refusal{Code: "move", Class: jobs.Invalid, Why: err.Error(), Type: []string{"layout move " + n.Name() + " 2=65.7mm"}}
	}
	return
}

// moves reads "2=65.7" words. A string that is named twice goes to the last place.
func (b *Book) moves(list []string) (out []layout.Move, err error) {
	for _, w := range list {
		str, at, ok := strings.Cut(w, "=")
		n, bad := strconv.Atoi(strings.TrimSpace(str))
		var mm float64
		if ok && bad == nil {
			mm, err = b.length("string", at)
		}
		if !ok || bad != nil || err != nil {
			return nil, &jobs.FieldError{Field: "string", Value: w, Want: "a string and its post's distance from the fretboard end, such as 2=65.7mm"}
		}
		out = append(out, layout.Move{String: n, YMM: mm})
	}
	return out, nil
}

func (b *Book) layoutTry(ask *LayoutTryAsk, res *LayoutTryResult) error {
	n, rec, s, p, err := b.movedPlan(ask.MovesAsk)
	if err != nil {
		return err
	}
	b.planResult(&res.PlanResult, n, rec, p)
	if res.Base, res.Draft = rec.Code, p.Code != rec.Code; res.Draft {
		res.Frozen, res.OutOfDate = nil, ""
	} else {
		res.Version = rec.Version
	}
	post, ok := p.PostOf(ask.String)
	if !ok && ask.String != 0 {
		return &jobs.NotFoundError{Noun: "string of " + n.Name(), Value: fmt.Sprint(ask.String)}
	}
	if !ask.Quick {
		c, err := layout.Compare(s.spec)
		if err != nil {
			return specRefusal("spec", err)
		}
		res.Modes = c.Modes
	}
	if ok {
		t := &PostTrack{String: ask.String, FromMM: math.Max(0, math.Round(post.YMM)-trackMM/2), Free: []layout.Span{}}
		t.ToMM = t.FromMM + trackMM
		if !ask.Quick {
			free, err := layout.Reach(p, ask.String, t.FromMM, t.ToMM)
			if err != nil {
				return err
			}
			t.Free = append(t.Free, free...)
		}
		for _, m := range res.Modes {
			if g, ok := m.PostOf(ask.String); ok {
				t.Ghosts = append(t.Ghosts, PostGhost{m.Mode, g.YMM, m.Worst})
			}
		}
		res.Track = t
	}
	return nil
}
