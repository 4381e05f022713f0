package schedule

import (
	"cmp"
	"slices"
	"sort"
)

// maxNodes is how many sets the search looks at.
const maxNodes = 400_000

// search looks for the best plan of whole steps and long parts.
type search struct {
	*bench
	choices [][]*choice // by neck, in the order of the walk, best first
	bound   [][]int     // by place in the walk and minutes left
	nodes   int
	stopped bool
	most    int // highest bound among the sets that stayed unknown
	best    outcome
	chosen  []*choice
	buffer  []item
}

// outcome is a plan found.
type outcome struct {
	points, sessions int
	chosen           []*choice
	items            []item
	sequence
}

// better compares two plans: points, then fewer sessions, then an earlier end.
func (o *outcome) better(than *outcome) bool {
	return cmp.Or(cmp.Compare(o.points, than.points), cmp.Compare(than.sessions, o.sessions), cmp.Compare(than.now, o.now)) > 0
}

// find searches an evening. Where a wet film and dust are both possible it
// looks for the best evening without the one and without the other.
func (b *bench) find() *search {
	s := &search{bench: b}
	var film, dust bool
	whole := true
	all := make([][]*choice, len(b.necks))
	ceiling := 0
	for k := range b.necks {
		list, complete := b.choices(k)
		all[k] = list
		most := 0
		for _, c := range list {
			film, dust, most = film || c.film, dust || c.dust, max(most, c.points)
		}
		if !complete {
			whole, most = false, b.everything(k)
		}
		ceiling += most
	}
	b.share(all)
	if film && dust && !b.DustFreeRoom {
		s.pass(all, func(c *choice) bool { return c.film })
		s.pass(all, func(c *choice) bool { return c.dust })
	} else {
		s.pass(all, func(*choice) bool { return false })
	}
	if !whole {
		s.stopped, s.most = true, max(s.most, ceiling)
	}
	return s
}

// everything gives the points of all steps of a neck that could begin.
func (b *bench) everything(neck int) int {
	steps, earliest := b.startable(neck)
	ends := make([]int, len(steps))
	for k, i := range steps {
		ends[k] = min(earliest[i], b.Minutes)
	}
	return b.values[neck].worth(steps, ends, -1, 0).points(b.necks[neck].Weight)
}

// share counts how many necks could do each kind and gives every choice the
// minutes it takes at least.
func (b *bench) share(all [][]*choice) {
	for _, list := range all {
		seen := map[int]bool{}
		for _, c := range list {
			for _, it := range c.items {
				if !seen[it.kind] {
					seen[it.kind] = true
					b.sharing[it.kind]++
				}
			}
		}
	}
	for _, list := range all {
		for _, c := range list {
			seen := map[int]bool{}
			for _, it := range c.items {
				c.least += float64(it.run)
				if !seen[it.kind] {
					seen[it.kind] = true
					c.least += float64(b.setups[it.kind]) / float64(b.sharing[it.kind])
				}
			}
			if c.timed {
				c.points = b.pointsAt(c, b.soonestAlone(c))
			}
		}
	}
}

// pass searches without the choices that drop refuses.
func (s *search) pass(all [][]*choice, drop func(*choice) bool) {
	s.choices = nil
	size := 0
	for _, list := range all {
		kept := slices.DeleteFunc(slices.Clone(list), drop)
		if len(kept) == 0 {
			continue
		}
		sort.SliceStable(kept, func(i, j int) bool { return kept[i].points > kept[j].points })
		s.choices = append(s.choices, kept)
		size += len(s.steps(kept))
	}
	sort.SliceStable(s.choices, func(i, j int) bool { return s.choices[i][0].points > s.choices[j][0].points })
	s.buffer = make([]item, 0, size)
	s.chosen = nil
	s.bounds()
	s.greedy()
	s.walk(0, 0, 0, nil, sequence{last: -1})
}

// steps gives the different steps of a neck's choices.
func (s *search) steps(list []*choice) map[int]bool {
	out := map[int]bool{}
	for _, c := range list {
		for _, it := range c.items {
			out[it.step] = true
		}
	}
	return out
}

// bounds fills the knapsack bound: the most points the necks from k on could
// add in t minutes if only minutes counted.
func (s *search) bounds() {
	t := s.Minutes
	s.bound = make([][]int, len(s.choices)+1)
	s.bound[len(s.choices)] = make([]int, t+1)
	for k := len(s.choices) - 1; k >= 0; k-- {
		alone := make([]int, t+1) // best points of neck k at a least of so many minutes
		for _, c := range s.choices[k] {
			if m := int(c.least); m <= t {
				alone[m] = max(alone[m], c.points)
			}
		}
		s.bound[k] = slices.Clone(s.bound[k+1])
		for m, points := range alone {
			for left := m; points > 0 && left <= t; left++ {
				s.bound[k][left] = max(s.bound[k][left], points+s.bound[k+1][left-m])
			}
		}
	}
}

// greedy starts with the most points a minute while an order exists.
func (s *search) greedy() {
	var items []item
	points, order := 0, sequence{last: -1}
	used := make([]bool, len(s.choices))
	var chosen []*choice
	for {
		type option struct {
			neck int
			c    *choice
		}
		var options []option
		for k, list := range s.choices {
			for _, c := range list {
				if !used[k] && c.points > 0 {
					options = append(options, option{k, c})
				}
			}
		}
		sort.SliceStable(options, func(i, j int) bool {
			return float64(options[i].c.points)*options[j].c.least > float64(options[j].c.points)*options[i].c.least
		})
		found := false
		for _, o := range options {
			set := join(append(s.buffer[:0], items...), o.c)
			if s.tooMuch(set, byLatest(set), 0, 0, -1) {
				continue
			}
			if next, ok := s.thumb(set); ok {
				items, order, points, found, used[o.neck] = slices.Clone(set), next, points+o.c.points, true, true
				chosen = append(chosen, o.c)
				break
			}
		}
		if !found {
			break
		}
	}
	s.consider(chosen, items, points, order)
}

// join puts a choice's items behind those of other necks.
func join(items []item, c *choice) []item {
	base := len(items)
	items = append(items, c.items...)
	for i := base; i < len(items); i++ {
		items[i].base = base
	}
	return items
}

// walk looks at every choice of the necks from k on that may still beat the
// best plan.
func (s *search) walk(k, points int, used float64, items []item, order sequence) {
	if k == len(s.choices) {
		s.consider(s.chosen, items, points, order)
		return
	}
	for _, c := range s.choices[k] {
		if points+c.points+s.bound[k+1][s.Minutes] < s.best.points {
			break
		}
		least := used + c.least
		if int(least) > s.Minutes || points+c.points+s.bound[k+1][s.Minutes-int(least)] < s.best.points {
			continue
		}
		if s.nodes++; s.nodes > maxNodes {
			s.stopped, s.most = true, max(s.most, s.bound[0][s.Minutes])
			return
		}
		set := join(append(s.buffer[:0], items...), c)
		next, a := s.order(set)
		if a == unknown {
			s.stopped, s.most = true, max(s.most, points+c.points+s.bound[k+1][s.Minutes-int(least)])
		}
		if a == hasOrder {
			s.chosen = append(s.chosen, c)
			s.walk(k+1, points+c.points, least, set, next)
			s.chosen = s.chosen[:len(s.chosen)-1]
		}
	}
	if points+s.bound[k+1][s.Minutes-int(used)] >= s.best.points {
		s.walk(k+1, points, used, items, order)
	}
}

// consider keeps a set with its order when it beats the best plan. Where ends
// move the worth it looks for the order that is worth most.
func (s *search) consider(chosen []*choice, items []item, points int, order sequence) {
	if points < s.best.points {
		return
	}
	o := outcome{points: points, chosen: slices.Clone(chosen), items: slices.Clone(items), sequence: order}
	if slices.ContainsFunc(chosen, func(c *choice) bool { return c.timed }) {
		s.time(&o, points)
	}
	o.sessions = sessions(o.items, o.seq)
	if o.better(&s.best) {
		s.best = o
	}
}

// time looks for the order that is worth most where ends move the worth. No
// order is worth more than enough.
func (s *search) time(o *outcome, enough int) {
	score := func(ends []int) int { return s.score(o.chosen, ends) }
	o.points = score(o.ends)
	if t, ok := s.thumb(o.items); ok && score(t.ends) > o.points {
		o.sequence, o.points = t, score(t.ends)
	}
	if o.points >= enough || enough <= s.best.points {
		return
	}
	best, a := s.exact(o.items, score, max(o.points, s.best.points))
	if a == unknown {
		s.stopped, s.most = true, max(s.most, enough)
	}
	if best.seq != nil {
		o.sequence, o.points = best, score(best.ends)
	}
}

// score gives the points of chosen sets with the ends of their items.
func (s *search) score(chosen []*choice, ends []int) int {
	points := 0
	for _, c := range chosen {
		if c.timed {
			points += s.pointsAt(c, ends[:len(c.items)])
		} else {
			points += c.points
		}
		ends = ends[len(c.items):]
	}
	return points
}

// sessions counts the runs of one operation.
func sessions(items []item, seq []int) int {
	n := 0
	for k, i := range seq {
		if k == 0 || items[i].kind != items[seq[k-1]].kind {
			n++
		}
	}
	return n
}
