package main

import (
	"cmp"
	"slices"
	"strings"

	"bookmatch/costing"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

// tonightBits deals the bits out to the open necks whose next steps drill, and
// to those of extra, which are about to begin. only deals out one size of hole
// (0: every size).
func (b *bench) tonightBits(a costing.BitAdvisor, extra []jobs.NeckState, only float64) ([]costing.BitPlan, error) {
	necks, err := b.tx.NecksOf(jobs.Open)
	if err != nil {
		return nil, err
	}
	type need struct {
		size float64
		job  costing.FaceJob
	}
	var needs []need
	add := func(kind jobs.Kind, st jobs.NeckState) error {
		size, _, err := b.holeSize(kind, st)
		if err != nil || only > 0 && size != only {
			return err
		}
		work, err := b.neckJobs(kind, []jobs.NeckState{st})
		if err != nil {
			return err
		}
		needs = append(needs, need{size, work[0]})
		return nil
	}
	for _, n := range necks {
		st, err := b.tx.NeckState(n, b.kinds, b.shop)
		if err != nil {
			return nil, err
		}
		about := slices.ContainsFunc(extra, func(x jobs.NeckState) bool { return x.Neck.Code == n.Code })
		for _, v := range st.Steps {
			kind := b.kinds[v.Kind]
			next := v.State == jobs.Ready || v.State == jobs.Begun || v.State == jobs.On || (about && v.State == jobs.Waiting)
			if kind.Drills != "" && next {
				if err := add(kind, st); err != nil {
					return nil, err
				}
			}
		}
	}
	slices.SortStableFunc(needs, func(x, y need) int { return cmp.Compare(x.size, y.size) })
	var plans []costing.BitPlan
	for i := 0; i < len(needs); {
		j := i
		var work []costing.FaceJob
		for ; j < len(needs) && needs[j].size == needs[i].size; j++ {
			work = append(work, needs[j].job)
		}
		dealt, err := a.PlanBits(needs[i].size, work)
		if err != nil {
			return nil, err
		}
		plans = append(plans, dealt...)
		i = j
	}
	return plans, nil
}

// defaultPostMM is the size of a post hole, and defaultPilotMM of a hidden one,
// where no plan says better (judgement).
const (
	defaultPostMM  = 10
	defaultPilotMM = 3
)

// holeSize is the diameter of a kind's holes in a neck in mm, and whether its
// plan says so.
func (b *bench) holeSize(kind jobs.Kind, st jobs.NeckState) (mm float64, planned bool, err error) {
	if kind.Drills != "posts" {
		return defaultPilotMM, false, nil
	}
	plan, ok, err := b.tx.CurrentPlan(st.Neck.Code)
	if err != nil || !ok || len(plan.Holes) == 0 {
		return defaultPostMM, false, err
	}
	return plan.Holes[0].DiameterMM, true, nil
}

func (e *env) sayPlans(c *cli.Context, plans []costing.BitPlan, shop jobs.Shop) error {
	if wantJSON(c) {
		if plans == nil {
			plans = []costing.BitPlan{}
		}
		return e.printJSON(map[string]any{"plan": plans, "currency": shop.Currency})
	}
	if len(plans) == 0 {
		e.say("no open neck has its drilling next")
	}
	for _, p := range plans {
		if p.Bit == "" {
			e.say("%s: %s", p.Neck, p.Why)
			continue
		}
		e.say("%s: take %s (%s)", p.Neck, p.Bit, p.Why)
		e.say("  %s; a torn hole costs %s there", strings.TrimPrefix(p.Verdict.Line(), p.Bit+" "), shop.Currency.Print(p.Verdict.Damage))
	}
	return nil
}
