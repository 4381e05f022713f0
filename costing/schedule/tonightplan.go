package schedule

import "slices"

// PlanLine is one step of tonight's plan. Minutes run from now.
type PlanLine struct {
	Neck, Step, Operation string
	FromMin, ToMin        int
	Share                 float64 // 1 is all that is left of the step
	Filler                bool    // a part put into what the best plan leaves
	Errand                bool
	// Gain and Work are what the line adds: evenings gained on the neck's
	// shortest calendar, and evenings of useful work. Points are both,
	// weighted. The points of all lines add up to those of the plan.
	Gain, Work float64
	Points     int
	CuredMin   int // until when it cures, 0 for no cure
	// LastStartMin is the last minute to begin that keeps the points of the
	// line and the room for what must follow.
	LastStartMin int
}

// Proposal is the plan for an evening.
type Proposal struct {
	Lines        []PlanLine
	Points       int // of whole steps and long parts
	FillerPoints int
	Sessions     int
	EndMin       int
	Waiting      []Waiting
	// Gap is how far the best possible points may be above these, as a share of
	// these; 0 when the search is complete.
	Gap   float64
	Loops []string // necks whose needs have a loop: nothing of them is planned
	Nodes int      // sets looked at
}

// Propose finds the plan with the most points for an evening. It is exact as
// long as the search stays within its limits. Beyond them Gap says how far the
// best possible plan may be above it.
func Propose(in Situation) Proposal {
	b := newBench(in)
	s := b.find()
	p := Proposal{Nodes: s.nodes, Points: s.plan.points}
	for _, n := range in.Necks {
		if !slices.ContainsFunc(b.necks, func(k Neck) bool { return k.Code == n.Code }) {
			p.Loops = append(p.Loops, n.Code)
		}
	}
	p.Gap = max(0, float64(s.most-p.Points)/float64(max(p.Points, 1)))
	filled, ok := s.fill()
	if ok {
		p.FillerPoints = filled.points - p.Points
		s.plan = filled
	}
	p.Sessions, p.EndMin = s.plan.sessions, s.plan.end
	p.Lines = s.lines(ok)
	p.Waiting = s.waiting()
	return p
}

// lines gives the plan's lines in order with what each adds.
func (s *search) lines(filler bool) (out []PlanLine) {
	type sofar struct {
		items []item
		ends  []int
		worth worth
	}
	done := make([]sofar, len(s.necks))
	last := -1
	for _, i := range s.plan.seq {
		it, end := s.plan.items[i].item, s.plan.ends[i]
		n, d := &s.necks[it.neck], &done[it.neck]
		l := PlanLine{Neck: n.Code, Step: it.Name, Operation: it.Operation, ToMin: end, FromMin: end - it.minutes(last), Share: it.share, Errand: it.Marks.Has(IsErrand)}
		l.Filler = filler && i == len(s.plan.items)-1
		if it.share == 1 && it.cured > 0 {
			l.CuredMin = end + it.cured
		}
		d.items, d.ends = append(d.items, *it), append(d.ends, end)
		w := s.values[it.neck].worth(d.items, d.ends)
		l.Gain, l.Work, l.Points = w.gain-d.worth.gain, w.work-d.worth.work, w.points(n.Weight)-d.worth.points(n.Weight)
		l.LastStartMin = min(it.latest, max(it.due, end)) - (end - l.FromMin)
		d.worth, last = w, it.kind
		out = append(out, l)
	}
	return out
}
