package schedule

// PlanLine is one step of tonight's plan. Minutes run from now.
type PlanLine struct {
	Neck, Step, Operation string
	FromMin, ToMin        int
	Share                 float64 // 1 is all that is left of the step
	Filler                bool    // a part put into what the best plan leaves
	Errand                bool
	// Gain and Work are what the line adds: evenings gained on the neck's
	// shortest calendar, and evenings of useful work. Points are both,
	// weighted; the points of all lines add up to those of the plan.
	Gain, Work float64
	Points     int
	// CuredMin is until when it cures, 0 for no cure. LastStartMin is the last
	// minute to begin that keeps the plan's points.
	CuredMin     int
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
	// them; 0 when the search is complete.
	Gap float64
	// Loops are necks whose needs have a loop; nothing of them is planned.
	Loops []string
	Nodes int
}

// Propose finds the plan with the most points for an evening. It is exact as
// long as the search stays within its limits; beyond them Gap says how far the
// best possible plan may be above it.
func Propose(in Situation) Proposal {
	b := newBench(in)
	s := b.find()
	p := Proposal{Nodes: s.nodes, Points: s.best.points}
	for _, n := range in.Necks {
		known := false
		for _, k := range b.necks {
			known = known || k.Code == n.Code
		}
		if !known {
			p.Loops = append(p.Loops, n.Code)
		}
	}
	if s.stopped && s.most > s.best.points {
		p.Gap = float64(s.most-s.best.points) / float64(max(s.best.points, 1))
	}
	var f *filler
	if len(s.best.items) > 0 || len(s.choices) == 0 {
		f = s.fill()
	}
	if f != nil {
		p.FillerPoints = f.points
	}
	p.Sessions, p.EndMin = s.best.sessions, s.best.now
	p.Lines = s.lines(f)
	p.Waiting = s.waiting()
	return p
}

// lines gives the plan's lines in order with what each adds.
func (s *search) lines(f *filler) []PlanLine {
	o := &s.best
	out := make([]PlanLine, 0, len(o.seq))
	type sofar struct {
		whole, ends []int
		part        int
		share       float64
		worth       worth
		points      int
	}
	done := make([]sofar, len(s.necks))
	for i := range done {
		done[i].part = -1
	}
	last := -1
	for _, i := range o.seq {
		it := &o.items[i]
		n, step := &s.necks[it.neck], &s.necks[it.neck].Steps[it.step]
		d := &done[it.neck]
		l := PlanLine{Neck: n.Code, Step: step.Name, Operation: step.Operation, ToMin: o.ends[i], FromMin: o.ends[i] - it.minutes(last), Share: it.share, Errand: step.Marks.Has(IsErrand)}
		last = it.kind
		if it.share < 1 {
			d.part, d.share = it.step, it.share
			l.Filler = f != nil && f.neck == it.neck && f.choice.part == it.step && f.points > 0
		} else {
			d.whole, d.ends = append(d.whole, it.step), append(d.ends, o.ends[i])
			if it.cured > 0 {
				l.CuredMin = o.ends[i] + it.cured
			}
		}
		w := s.values[it.neck].worth(d.whole, d.ends, d.part, d.share)
		l.Gain, l.Work, l.Points = w.gain-d.worth.gain, w.work-d.worth.work, w.points(n.Weight)-d.points
		l.LastStartMin = min(it.latest, max(it.soft, l.ToMin)) - (l.ToMin - l.FromMin)
		d.worth, d.points = w, w.points(n.Weight)
		out = append(out, l)
	}
	return out
}
