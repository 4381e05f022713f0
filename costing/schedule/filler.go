package schedule

import "slices"

// fill puts the best part of one more step into what the best plan leaves. It
// moves nothing of the plan out. It gives the plan with the part, whose last
// item is that part, and reports false when none fits.
func (s *search) fill() (best plan, ok bool) {
	for k := range s.necks {
		rest, own := plan{}, []item(nil)
		for _, c := range s.plan.chosen {
			if c.items[0].neck == k {
				own = c.items
			} else {
				rest = rest.with(c)
			}
		}
		for _, i := range s.can[k] {
			if !s.closed(k, i, own) || slices.ContainsFunc(own, func(it item) bool { return it.step == i }) {
				continue
			}
			for _, share := range parts(&s.necks[k].Steps[i]) {
				p := rest.with(s.choice(append(own[:len(own):len(own)], s.item(k, i, share))))
				if p = s.filled(p); p.points > max(best.points, s.plan.points) {
					best, ok = p, true
				}
			}
		}
	}
	return best, ok
}

// filled orders and values a plan with a part; without an order it is worth
// nothing.
func (s *search) filled(p plan) plan {
	var marks Marks
	for _, c := range p.chosen {
		marks |= c.marks
	}
	if marks.Has(Wet|Dusty) && !s.DustFreeRoom {
		return plan{}
	}
	order, a := s.order(p.items)
	if a != hasOrder {
		return plan{}
	}
	p.sequence = order
	with := &search{bench: s.bench}
	with.consider(p)
	return with.plan
}
