package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// takeBit chooses among the bits that would fit, with tonight's other drilling
// in mind: the freshest edge for the dearest face, a worn one that is still good
// enough for a plain face.
func (b *Book) takeBit(bits []jobs.Bit, operation jobs.Operation, states []jobs.NeckState) (jobs.Bit, string, error) {
	var codes []string
	for _, x := range bits {
		codes = append(codes, x.Code)
	}
	a, err := b.Advisor(false, codes...)
	if err != nil {
		return jobs.Bit{}, "", err
	}
	b.judge = &a // whichever it will be, it is judged by what was read for all
	size, planned, near := 0.0, false, false
	if len(states) == 1 {
		if size, planned, err = b.HoleSize(operation, states[0]); err != nil {
			return jobs.Bit{}, "", err
		}
		near = planned || slices.ContainsFunc(bits, func(x jobs.Bit) bool { return jobs.DiameterClass(x.DiameterMM) == jobs.DiameterClass(size) })
	}
	if near { // else there is nothing to deal out
		plans, err := b.TonightBits(a, states, size)
		if err != nil {
			return jobs.Bit{}, "", err
		}
		for _, p := range plans {
			i := slices.IndexFunc(bits, func(x jobs.Bit) bool { return x.Code == p.Bit })
			if p.Neck == states[0].Neck.Name() && p.Job.Hidden == (operation.Drills != jobs.DrillsPosts) && i >= 0 {
				return bits[i], "", nil
			}
		}
	}
	best, least := bits[0], -1.0
	for _, x := range bits {
		if l, ok := a.Life(x.Code); ok && (least < 0 || l.WearM+l.PossibleM < least) {
			best, least = x, l.WearM+l.PossibleM
		}
	}
	return best, "", nil
}

// bitGate asks the verdict on a bit for this work, puts it into the echo line,
// and refuses a show face at "retire" unless anyway gives a reason.
func (b *Book) bitGate(g *DrillGate, bit jobs.Bit, operation jobs.Operation, states []jobs.NeckState, anyway string) error {
	a := b.judge
	if b.judge = nil; a == nil || !a.Knows(bit.Code) {
		own, err := b.Advisor(false, bit.Code)
		if err != nil {
			return err
		}
		a = &own
	}
	work, err := b.NeckJobs(operation, states)
	if err != nil {
		return err
	}
	v, err := a.Verdict(bit.Code, SumJobs(work))
	if err != nil {
		return err
	}
	g.Text, g.Verdict = v.Line(), v.Verdict
	for _, w := range v.Warnings {
		g.Cautions = append(g.Cautions, jobs.Caution{Code: "bit", Text: w})
	}
	if v.Verdict != bitlife.VerdictRetire {
		return nil
	}
	text := fmt.Sprintf("Bit %s: %s. %s", bit.Code, v.VerdictText, v.Reasons[0])
	if anyway == "" {
		typed := []string{"bit sharpen " + bit.Code}
		if v.Away == "lost" {
			typed = []string{fmt.Sprintf("bit move %s --to show --why found", bit.Code)}
		}
		r := jobs.Refuse("bit", strings.TrimSuffix(text, "."), append(typed, fmt.Sprintf("on %s %s --anyway \"a scrap face\"", operation.Name, jobs.NeckNames(states)))...)
		r.Anyway = true
		return r
	}
	g.Cautions = append(g.Cautions, jobs.Caution{Code: "bit", Text: text, Stops: true})
	return nil
}
