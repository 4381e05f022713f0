package schedule

import "slices"

// filler is a part of one more step that fits beside the best plan.
type filler struct {
	neck   int
	choice *choice // the neck's choice with the part
	points int     // what the part adds
}

// fill puts the best part of one more step into what is left of the evening.
// It moves nothing of the plan out and takes nothing from its points.
func (s *search) fill() *filler {
	var best *filler
	var outcomeWith outcome
	for k := range s.necks {
		for _, step := range s.fillable(k) {
			for _, share := range parts(&s.necks[k].Steps[step]) {
				o, f, ok := s.with(k, step, share)
				if !ok {
					continue
				}
				if best == nil || f.points > best.points || f.points == best.points && o.better(&outcomeWith) {
					best, outcomeWith = f, o
				}
				break
			}
		}
	}
	if best != nil {
		s.best = outcomeWith
	}
	return best
}

// fillable gives the steps of a neck that may be left midway, are not in the
// plan and wait only for what is done or planned.
func (s *search) fillable(neck int) (out []int) {
	var planned []item
	for _, it := range s.best.items {
		if it.neck == neck {
			planned = append(planned, it)
		}
	}
	steps, _ := s.startable(neck)
	for _, i := range steps {
		inPlan := slices.ContainsFunc(planned, func(it item) bool { return it.step == i })
		waits := slices.ContainsFunc(s.necks[neck].Steps[i].Needs, func(n Need) bool {
			return !s.necks[neck].Steps[n.Step].Done && !holds(planned, n.Step)
		})
		if !inPlan && !waits {
			out = append(out, i)
		}
	}
	return out
}

// with plans the best plan and a part more.
func (s *search) with(neck, step int, share float64) (outcome, *filler, bool) {
	var chosen []*choice
	var own []item
	for _, c := range s.best.chosen {
		if c.items[0].neck == neck {
			own = c.items
		} else {
			chosen = append(chosen, c)
		}
	}
	_, earliest := s.startable(neck)
	c := s.choice(neck, append(slices.Clone(own), s.item(neck, step, share)), earliest)
	chosen = append(chosen, c)
	if !s.DustFreeRoom && slices.ContainsFunc(chosen, func(c *choice) bool { return c.film }) && slices.ContainsFunc(chosen, func(c *choice) bool { return c.dust }) {
		return outcome{}, nil, false
	}
	var items []item
	for _, c := range chosen {
		items = join(items, c)
	}
	seq, a := s.order(items)
	if a != hasOrder {
		return outcome{}, nil, false
	}
	o := outcome{chosen: chosen, items: items, sequence: seq}
	o.points = s.score(chosen, seq.ends)
	if slices.ContainsFunc(chosen, func(c *choice) bool { return c.timed }) {
		s.time(&o, never)
	}
	points := o.points
	if points <= s.best.points {
		return outcome{}, nil, false
	}
	o.sessions = sessions(items, o.seq)
	return o, &filler{neck, c, points - s.best.points}, true
}
