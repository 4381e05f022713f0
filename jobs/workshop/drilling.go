package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// DrillGate is what is checked before a drilling step starts: which bit is taken,
// the verdict on it, and whether the plan or the bit is against it.
type DrillGate struct {
	Bit      string
	Text     string // the verdict in a line, or why no bit was chosen
	Plans    []string
	Verdict  string
	Cautions []jobs.Caution
}

// DrillGate chooses the bit and asks the plan and the bit's verdict. What stops
// is a *ConflictError unless anyway gives a reason.
func (b *Book) DrillGate(operation jobs.Operation, states []jobs.NeckState, bitWord, anyway string) (DrillGate, error) {
	var g DrillGate
	if operation.Drills == "" {
		if bitWord != "" {
			return g, &jobs.FieldError{Field: "bit", Value: bitWord, Want: "a drilling step: " + operation.Name + " uses no bit"}
		}
		return g, b.planGate(&g, operation, states, anyway)
	}
	if err := b.planGate(&g, operation, states, anyway); err != nil {
		return g, err
	}
	var err error
	if g.Plans, err = b.planCodes(operation, states); err != nil {
		return g, err
	}
	bit, why, err := b.ChooseBit(operation, states, bitWord)
	if err != nil {
		return g, err
	}
	bit, err = b.fitBit(&g, bit, why, operation, states, anyway)
	if bit.Code == "" || err != nil {
		return g, err
	}
	g.Bit = bit.Code
	return g, b.bitGate(&g, bit, operation, states, anyway)
}

// planCodes names the plans drilled from: what the paper on the wood must show.
func (b *Book) planCodes(operation jobs.Operation, states []jobs.NeckState) ([]string, error) {
	var codes []string
	for _, st := range states {
		plan, ok, err := b.CurrentPlan(st.Neck.Code)
		if err != nil {
			return nil, err
		}
		if ok && operation.PlanNeed {
			codes = append(codes, plan.Code)
		}
	}
	return codes, nil
}

// planGate warns when a step that works from the plan has none, a out of date one or
// one that is not frozen. Drilling show holes stops at the latter two.
func (b *Book) planGate(g *DrillGate, operation jobs.Operation, states []jobs.NeckState, anyway string) error {
	if !operation.PlanNeed {
		return nil
	}
	for _, st := range states {
		plan, ok, err := b.CurrentPlan(st.Neck.Code)
		if err != nil {
			return err
		}
		if ok {
			plan.OutOfDate = b.OutOfDate(plan)
		}
		name := st.Neck.Name()
		var c jobs.Caution
		switch {
		case !ok:
			continue
		case plan.OutOfDate != "":
			c = jobs.Caution{Code: "plan", Text: fmt.Sprintf("Plan %s of %s is out of date: %s. Do not use its paper.", plan.Code, name, plan.OutOfDate), Stops: true}
		case plan.Frozen == nil && operation.Drills != "":
			c = jobs.Caution{Code: "plan", Text: fmt.Sprintf("Plan %s of %s is not frozen.", plan.Code, name), Stops: true}
		default:
			continue
		}
		g.Cautions = append(g.Cautions, c)
		if anyway == "" {
			next := "layout freeze " + name
			if plan.OutOfDate != "" {
				next = "layout solve " + name
			}
			r := jobs.Refuse("plan", strings.TrimSuffix(c.Text, "."), next, fmt.Sprintf("on %s %s --anyway \"a test piece\"", operation.Name, jobs.NeckNames(states)))
			r.Anyway = true
			return r
		}
	}
	return nil
}

// LogHoles writes the holes of a finished drilling on the bit: counts from the
// entry, depth and wood from the plan where there is one, else from what was
// said or the shop's usual depth.
func (b *Book) LogHoles(entry *jobs.Entry, operation jobs.Operation, states []jobs.NeckState, o FinishOptions) ([]jobs.BitUse, error) {
	word := o.Bit
	if word == "" {
		word = entry.Bit
	}
	bit, why, err := b.ChooseBit(operation, states, word)
	if err != nil {
		return nil, err
	}
	if bit.Code == "" {
		if why != "" {
			why = strings.ToUpper(why[:1]) + why[1:] + ". "
		}
		b.Warnf("no-bit", "%sThe holes are logged on no bit.", why)
		return nil, nil
	}
	life, err := b.PresentLife(bit.Code)
	if err != nil {
		return nil, err
	}
	holes, err := b.holesAsked(operation, states)
	if err != nil {
		return nil, err
	}
	if misfit := b.misfitOf(holes, life); misfit != "" {
		b.Warn(jobs.Warning{Code: "misfit", Text: "Check: " + misfit + ".", Hint: "oops"})
	}
	entry.Bit = bit.Code
	edge, err := b.EdgeAt(bit.Code, *entry.To)
	if err != nil {
		return nil, err
	}
	if o.Backing != "" && !slices.Contains(jobs.BackingStates(), o.Backing) {
		return nil, &jobs.FieldError{Field: "backing", Value: o.Backing, Want: strings.Join(jobs.BackingStates(), ", ")}
	}
	woods, err := b.woodTable()
	if err != nil {
		return nil, err
	}
	var out []jobs.BitUse
	for _, s := range entry.Shares {
		n := RoundCount(s.Count)
		if n < 1 {
			continue
		}
		neck, _, err := store.Get(b.Tx, store.Necks, s.Neck)
		if err != nil {
			return nil, err
		}
		use := jobs.BitUse{Bit: bit.Code, Edge: edge, Neck: s.Neck, Step: s.Step, Entry: entry.ID, On: *entry.To, Holes: n, Face: jobs.FaceShow}
		if operation.Drills != jobs.DrillsPosts {
			use.Face = jobs.FaceHidden
		}
		cut, err := b.CutOf(neck, operation, o)
		if err != nil {
			return nil, err
		}
		use.DepthMM, use.Layers, use.Backing, use.GlueLines, use.Estimated = cut.DepthMM, cut.Layers, cut.Backing, cut.GlueLines, cut.Estimated
		use.PlaceGrade(entry.GradeOn(s), woods)
		if use.ID, err = b.NextBitID(); err != nil {
			return nil, err
		}
		if err := store.Put(b.Tx, store.BitUses, use); err != nil {
			return nil, err
		}
		out = append(out, use)
		if err := b.freezeDrilled(s.Neck, operation); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// cutOf gives what one hole of a neck asks of the bit.
func (b *Book) CutOf(n jobs.Neck, operation jobs.Operation, o FinishOptions) (jobs.Cut, error) {
	plan, ok, err := b.CurrentPlan(n.Code)
	if err != nil {
		return jobs.Cut{}, err
	}
	var has *jobs.Plan
	if ok {
		has = &plan
	}
	return jobs.CutOf(n, has, operation, o.DepthMM, b.Shop.HoleDepthMM, o.Backing), nil
}

// freezeDrilled freezes the plan of a neck once holes are drilled from it.
func (b *Book) freezeDrilled(code string, operation jobs.Operation) error {
	if operation.Drills != jobs.DrillsPosts {
		return nil
	}
	plan, ok, err := b.CurrentPlan(code)
	if err != nil || !ok || plan.Frozen != nil {
		return err
	}
	at := b.Now
	plan.Frozen = &at
	return store.Put(b.Tx, store.Plans, plan)
}
