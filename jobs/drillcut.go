package jobs

import "encoding/json"

// Cut is what one hole of a neck asks of a bit, through the wood and into the
// backing.
type Cut struct {
	DepthMM   float64 // through the wood
	Layers    []Layer
	Backing   Backing
	GlueLines int
	Estimated bool // the depth is the shop's usual one
}

// backingWood is what is under a headstock when nothing is said: an offcut of
// a soft even wood (common practice, no source; board wears an edge faster).
const backingWood = "poplar"

// BackingCutMM is how far a hole runs into the backing when nothing says
// (judgement).
const BackingCutMM = 4

// CutOf works out the cut of an operation's holes in a neck from its plan (nil: none),
// a depth that was said (0: none), the neck's thickness, or the usual depth, in
// that order. Veneers of the plan's stack are layers of their own, so that the
// rim is judged by the wood it is in. backing is the state that was said.
func CutOf(n Neck, plan *Plan, operation Operation, saidMM, usualMM float64, backing string) Cut {
	core := n.Wood
	if core == "" {
		core = "hard-maple"
	}
	posts := operation.Drills == DrillsPosts
	c := Cut{Backing: Backing{State: backing}}
	var hole PlanHole
	if plan != nil && posts && len(plan.Holes) > 0 {
		hole = plan.Holes[0]
	}
	switch {
	case saidMM > 0:
		c.DepthMM = saidMM
	case hole.DepthMM > 0:
		c.DepthMM = hole.DepthMM - hole.BackingMM
	case n.HeadMM > 0 && posts:
		c.DepthMM = n.HeadMM
	default:
		c.DepthMM, c.Estimated = usualMM, true
	}
	into := hole.BackingMM
	if into == 0 && posts && backing != "" {
		into = BackingCutMM
	}
	if into > 0 && backing != BackingNone {
		c.Backing.Wood, c.Backing.DepthMM = backingWood, into
	}
	if !posts {
		c.Layers = []Layer{{core, c.DepthMM}}
		return c
	}
	face, back := stackVeneers(plan)
	left := c.DepthMM
	take := func(wood string, mm float64) {
		if mm = min(mm, left); mm > 0 {
			c.Layers = append(c.Layers, Layer{wood, mm})
			left -= mm
		}
	}
	veneer := n.Veneer
	if veneer == "" {
		veneer = core
	}
	behind := 0.0
	for _, mm := range back {
		behind += mm
	}
	if len(face) == 0 && n.Veneer != "" {
		face = []float64{thinVeneerMM}
	}
	for _, mm := range face {
		take(veneer, mm)
	}
	take(core, max(left-behind, 0))
	take(veneer, behind)
	c.GlueLines = len(face) + len(back)
	if len(c.Layers) == 0 {
		c.Layers = []Layer{{core, c.DepthMM}}
	}
	return c
}

// thinVeneerMM is a show veneer whose thickness nobody gave (judgement).
const thinVeneerMM = 0.6

// stackVeneers reads the veneers of a solved plan, face and back, in mm.
func stackVeneers(plan *Plan) (face, back []float64) {
	if plan == nil || len(plan.Solved) == 0 {
		return nil, nil
	}
	var solved struct {
		Spec struct {
			Stack struct {
				Face []float64 `json:"face_veneers_mm"`
				Back []float64 `json:"back_veneers_mm"`
			} `json:"stack"`
		} `json:"spec"`
	}
	if err := json.Unmarshal(plan.Solved, &solved); err != nil {
		return nil, nil
	}
	return solved.Spec.Stack.Face, solved.Spec.Stack.Back
}
