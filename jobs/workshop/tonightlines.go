package workshop

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// twentyMin is the evening that "only 20 minutes" asks about.
const twentyMin = 20

// overnightMin: a cure that runs on for so long after the evening is left
// overnight.
const overnightMin = 60

// result puts the plan into words.
func (p *planner) result(res *TonightResult, plan schedule.Proposal, held []TonightWaiting, on jobs.Entry) error {
	res.From, res.Until = p.Wall(p.from), p.Wall(p.until)
	res.EndsBy, res.Quiet = p.at(plan.EndMin), p.at(p.evening.NoiseUntil)
	res.Plan, res.TwentyMin, res.Waiting = []TonightLine{}, []TonightTwenty{}, []TonightWaiting{}
	res.OpenNeck = len(p.order)
	res.Points, res.Gap, res.Sets = plan.Points+plan.FillerPoints, jobs.Round3(plan.Gap), plan.Nodes
	if p.unlogged > 1 {
		res.Unlogged = jobs.Round3(1 - 1/p.unlogged)
	}
	last := ""
	for _, l := range plan.Lines {
		line, mean, err := p.line(l, last != l.Operation)
		if err != nil {
			return err
		}
		res.MeanMin += mean
		last = l.Operation
		if n := len(res.Plan); n > 0 && shares(res.Plan[n-1], line) {
			res.Plan[n-1].join(line)
			res.Plan[n-1].Amount = p.amount(res.Plan[n-1], p.Operations[l.Operation])
			continue
		}
		res.Plan = append(res.Plan, line)
	}
	res.MeanMin = jobs.Round2(res.MeanMin)
	p.reasons(res.Plan)
	p.short(res, plan)
	for _, w := range plan.Waiting {
		if w.Reason != schedule.AllDone {
			res.Waiting = append(res.Waiting, p.waits(w, on))
		}
	}
	res.Waiting = append(res.Waiting, held...)
	for _, code := range plan.Loops {
		p.Warn(jobs.Warning{Code: "loop", Text: fmt.Sprintf("The steps of %s need each other in a circle, so none of them is planned.", p.name(code)), Hint: "neck show " + p.name(code)})
	}
	res.Headline = p.headline(res)
	return nil
}

// line gives one step of the plan, and its mean minutes.
func (p *planner) line(l schedule.PlanLine, setup bool) (TonightLine, float64, error) {
	x := p.necks[l.Neck]
	i := x.stepAt(l.Step)
	s, v := x.state.Steps[i], x.views[i]
	o := p.Operations[jobs.PresentName(v.Operation, p.Operations)]
	est, left, err := p.stepLeft(v, o)
	if err != nil {
		return TonightLine{}, 0, err
	}
	m := minutesFor(est, o, left)
	share := 1.0
	if all := m.MeanSetup + m.MeanRun; all > 0 {
		share = m.MeanRun / all * l.Share
		if setup {
			share += m.MeanSetup / all
		}
	}
	safe := float64(l.ToMin - l.FromMin)
	out := TonightLine{Operation: o.Name, Necks: []string{l.Neck}, Names: []string{p.name(l.Neck)}, Steps: []int{v.No}, fromMin: l.FromMin, toMin: l.ToMin,
		From: p.at(l.FromMin), By: p.at(l.ToMin), LikelyMin: jobs.Round2(min(est.LikelyMin*share, safe)), SafeMin: safe, Quantity: jobs.Round2(left * l.Share), Of: jobs.Round2(left),
		Drills: o.Drills, Partial: l.Share < 1, Errand: l.Errand, Gain: jobs.Round3(l.Gain), Points: l.Points, BeginBy: p.at(l.LastStartMin), Needs: append([]string{}, x.needs[i]...)}
	out.Amount = p.amount(out, o)
	if v.Counted == 0 && v.Actual > 0 && !out.Partial {
		out.Amount = "what is left of " + jobs.UnitText(v.Quantity, o)
	}
	if l.CuredMin > 0 {
		at := p.at(l.CuredMin)
		out.CuresAt = &at
		if s.HandledMin > 0 {
			free := p.at(l.ToMin + int(math.Ceil(s.HandledMin)))
			out.HandledAt = &free
		}
		out.Overnight = !o.Decide && l.CuredMin > p.evening.Minutes+overnightMin
	}
	out.Left = p.leftAfter(x)
	return out, est.MeanMin * share, nil
}

// amount says how much of a step is done: "5 of 6 pieces".
func (p *planner) amount(l TonightLine, o jobs.Operation) string {
	if !l.Partial {
		return jobs.UnitText(l.Of, o)
	}
	if l.Of <= 1 {
		return fmt.Sprintf("%.0f %% of it", 100*l.Quantity/math.Max(l.Of, 1e-9))
	}
	return jobs.NumberText(math.Round(l.Quantity)) + " of " + jobs.UnitText(l.Of, o)
}

// leftAfter says what a neck needs with the bench to itself.
func (p *planner) leftAfter(x *plannedNeck) string {
	hours, cures := 0.0, 0
	for _, s := range x.state.Steps {
		if !s.Done {
			hours += (s.MeanSetupMin + s.MeanRunMin) / 60
			if !s.Marks.Has(schedule.IsErrand) && s.CuredMin >= overnightMin {
				cures++
			}
		}
	}
	return fmt.Sprintf("%.1f h, %s", hours, jobs.CountText(cures, "overnight cure"))
}

// shares says that two lines are one job: the same operation, each whole, the
// second without a setup of its own.
func shares(a, b TonightLine) bool {
	return a.Operation == b.Operation && !a.Partial && !b.Partial && a.By.Equal(b.From)
}

// join adds the line of another neck to a job.
func (l *TonightLine) join(o TonightLine) {
	l.Necks, l.Names, l.Steps, l.Needs = append(l.Necks, o.Necks...), append(l.Names, o.Names...), append(l.Steps, o.Steps...), append(l.Needs, o.Needs...)
	l.By, l.toMin = o.By, o.toMin
	l.LikelyMin, l.SafeMin, l.Quantity, l.Of = jobs.Round2(l.LikelyMin+o.LikelyMin), l.SafeMin+o.SafeMin, l.Quantity+o.Quantity, l.Of+o.Of
	l.Gain, l.Points = jobs.Round3(l.Gain+o.Gain), l.Points+o.Points
	l.Overnight = l.Overnight || o.Overnight
	if o.CuresAt != nil {
		l.CuresAt, l.HandledAt = o.CuresAt, o.HandledAt
	}
	if o.BeginBy.Before(l.BeginBy) {
		l.BeginBy = o.BeginBy
	}
}

// reasons gives each line its reason in a few words.
func (p *planner) reasons(plan []TonightLine) {
	for i := range plan {
		l := &plan[i]
		switch {
		case l.Overnight:
			l.Why = "leave until " + p.Shop.WhenFrom(*l.CuresAt, p.Now)
		case l.Partial:
			l.Why = l.Amount
		case p.opens(*l, plan[i+1:]) != "":
			l.Why = "then " + p.opens(*l, plan[i+1:])
		case len(l.Necks) > 1:
			l.Why = "one setup for " + jobs.CountText(len(l.Necks), "neck")
		case l.Gain >= 0.1:
			l.Why = fmt.Sprintf("gains %.1f of an evening", l.Gain)
			if l.Gain >= 1 {
				l.Why = fmt.Sprintf("gains %.1f evenings", l.Gain)
			}
		default:
			l.Why = "next on " + l.Names[0]
		}
	}
}

// opens names the first later step of tonight that needs this line.
func (p *planner) opens(l TonightLine, later []TonightLine) string {
	for _, code := range l.Necks {
		x := p.necks[code]
		for _, o := range later {
			for k, neck := range o.Necks {
				if neck != code {
					continue
				}
				i := slices.IndexFunc(x.views, func(v jobs.StepView) bool { return v.No == o.Steps[k] })
				for _, n := range x.state.Steps[i].Needs {
					if slices.Contains(l.Steps, x.views[n.Step].No) && !x.state.Steps[n.Step].Done {
						return o.Operation
					}
				}
			}
		}
	}
	return ""
}

// short gives the best steps that twenty minutes are enough for.
func (p *planner) short(res *TonightResult, plan schedule.Proposal) {
	lines := slices.Clone(plan.Lines)
	slices.SortStableFunc(lines, func(a, b schedule.PlanLine) int { return cmp.Compare(b.Points, a.Points) })
	for _, l := range lines {
		x := p.necks[l.Neck]
		s := x.state.Steps[x.stepAt(l.Step)]
		whole := s.SafeSetupMin + s.SafeRunMin
		waits := slices.ContainsFunc(s.Needs, func(n schedule.Need) bool { return !x.state.Steps[n.Step].Done })
		if whole <= twentyMin && !l.Errand && !waits && len(res.TwentyMin) < 2 {
			res.TwentyMin = append(res.TwentyMin, TonightTwenty{s.Operation, l.Neck, p.name(l.Neck), float64(whole)})
		}
	}
}
