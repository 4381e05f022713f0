package schedule

import (
	"cmp"
	"slices"
)

// maxLooks is how often the search may carry on an order, over all sets: about
// 0.3 s. Full evenings of eight necks need up to 150 000.
const maxLooks = 200_000

// search looks for the best plan of whole steps and long parts.
type search struct {
	*bench
	choices [][]*choice // by neck, in the order of the walk, best first
	bound   [][][]int   // most points by place in the walk, clamp sets and minutes left
	nodes   int
	most    int // highest bound among the sets that stayed unknown
	plan    plan
}

// plan is a set of choices with an order.
type plan struct {
	points, sessions, end int
	chosen                []*choice
	items                 []member
	sequence
}

// find searches an evening. Where a wet film and dust are both possible it
// looks for the best evening without the one and without the other.
func (b *bench) find() *search {
	s := &search{bench: b}
	all := make([][]*choice, len(b.necks))
	var marks Marks
	ceiling, complete := 0, true
	for k := range b.necks {
		list, most, whole := b.choices(k)
		ceiling, complete = ceiling+most, complete && whole
		for _, c := range list {
			marks |= c.marks
		}
		slices.SortStableFunc(list, func(x, y *choice) int { return y.points - x.points })
		all[k] = list
	}
	drops := []Marks{0}
	if marks.Has(Wet|Dusty) && !b.DustFreeRoom {
		drops = []Marks{Wet, Dusty}
	}
	for _, drop := range drops {
		s.choices = nil
		for _, list := range all {
			kept := slices.DeleteFunc(slices.Clone(list), func(c *choice) bool { return c.marks&drop != 0 })
			if len(kept) > 0 {
				s.choices = append(s.choices, kept)
			}
		}
		slices.SortStableFunc(s.choices, func(x, y []*choice) int { return y[0].points - x[0].points })
		s.bounds()
		s.walk(0, max(s.overnight, 0), 0, plan{})
	}
	if !complete {
		s.most = max(s.most, ceiling)
	}
	return s
}

// bounds fills the knapsack bound: the most points the necks from k on could
// add if only minutes and the clamps held over night counted.
func (s *search) bounds() {
	sets, t := max(s.overnight, 0), s.Minutes
	table := func() (out [][]int) {
		for range sets + 1 {
			out = append(out, make([]int, t+1))
		}
		return out
	}
	s.bound = make([][][]int, len(s.choices)+1)
	s.bound[len(s.choices)] = table()
	for k := len(s.choices) - 1; k >= 0; k-- {
		alone, next := table(), s.bound[k+1] // alone: the best choice of just this size
		for _, c := range s.choices[k] {
			if m := int(c.least); m <= t && c.clamps <= sets {
				alone[c.clamps][m] = max(alone[c.clamps][m], c.points)
			}
		}
		s.bound[k] = table()
		for free := range s.bound[k] {
			best := s.bound[k][free]
			copy(best, next[free])
			for clamps := range free + 1 {
				for m, points := range alone[clamps] {
					for left := m; points > 0 && left <= t; left++ {
						best[left] = max(best[left], points+next[free-clamps][left-m])
					}
				}
			}
		}
	}
}

// walk looks at every choice of the necks from k on that may still beat the
// best plan. What has no order now has none with more in it.
func (s *search) walk(k, free int, used float64, p plan) {
	if k == len(s.choices) {
		s.consider(p)
		return
	}
	for _, c := range s.choices[k] {
		points, least, sets := p.points+c.points, used+c.least, free-c.clamps
		if points+s.bound[k+1][free][s.Minutes] < s.plan.points {
			break
		}
		if int(least) > s.Minutes || sets < 0 || points+s.bound[k+1][sets][s.Minutes-int(least)] < s.plan.points {
			continue
		}
		if s.nodes++; s.looks > maxLooks {
			s.most = max(s.most, s.bound[0][max(s.overnight, 0)][s.Minutes])
			return
		}
		next := p.with(c)
		order, a := s.order(next.items)
		switch next.sequence = order; a {
		case unknown:
			s.most = max(s.most, points+s.bound[k+1][sets][s.Minutes-int(least)])
		case hasOrder:
			s.walk(k+1, sets, least, next)
		}
	}
	if p.points+s.bound[k+1][free][s.Minutes-int(used)] >= s.plan.points {
		s.walk(k+1, free, used, p)
	}
}

// with gives the plan with one choice more, without an order.
func (p plan) with(c *choice) plan {
	n := len(p.items)
	p.points += c.points
	p.chosen = append(p.chosen[:len(p.chosen):len(p.chosen)], c)
	p.items = p.items[:n:n]
	for i := range c.items {
		p.items = append(p.items, member{&c.items[i], n})
	}
	return p
}

// consider keeps a plan that beats the best: by points, then fewer sessions,
// then an earlier end. Where ends move the worth it looks for the order that
// is worth most.
func (s *search) consider(p plan) {
	if p.points < s.plan.points {
		return
	}
	enough := p.points
	if slices.ContainsFunc(p.chosen, func(c *choice) bool { return c.timed }) {
		score := func(ends []int) int { return s.score(p.chosen, ends) }
		p.points = score(p.ends)
		if p.points < enough && enough > s.plan.points {
			order, a := s.best(p.items, score, max(p.points, s.plan.points))
			if order.seq != nil {
				p.sequence, p.points = order, score(order.ends)
			}
			if a == unknown {
				s.most = max(s.most, enough)
			}
		}
	}
	p.end, _ = p.now(p.items)
	for k, i := range p.seq {
		p.sessions += is(k == 0 || p.items[i].kind != p.items[p.seq[k-1]].kind)
	}
	if cmp.Or(p.points-s.plan.points, s.plan.sessions-p.sessions, s.plan.end-p.end) > 0 {
		s.plan = p
	}
}

// score gives the points of choices with the ends of their items.
func (s *search) score(chosen []*choice, ends []int) (points int) {
	for _, c := range chosen {
		if c.timed {
			points += s.pointsAt(c, ends)
		} else {
			points += c.points
		}
		ends = ends[len(c.items):]
	}
	return points
}
