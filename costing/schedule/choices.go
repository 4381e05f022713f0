package schedule

import "slices"

// Parts of steps: whole pieces, or quarter hours where the unit is the neck,
// and at least half an hour or half of what is left (judgement).
const (
	quarterMin = 15
	leastPart  = 30
)

// maxChoices is how many choices of one neck are listed.
const maxChoices = 4096

// choice is a set of steps of one neck that may be done tonight, closed under
// their needs.
type choice struct {
	items      []item
	whole      []int // the steps done whole
	part       int   // the step done in part, below 0 for none
	share      float64
	points     int     // at the earliest ends
	least      float64 // minutes it takes at least, setups shared
	timed      bool
	dust, film bool
	known      map[uint64]int // points by the ends that move the worth
}

// parts gives the shares of a step that may be done alone, the largest first.
func parts(s *Step) (shares []float64) {
	pieces := ceil(s.Left)
	if s.Left <= 1 {
		pieces = s.SafeRunMin / quarterMin
	}
	for k := pieces - 1; s.Marks.Has(Resumable) && k > 0; k-- {
		share := float64(k) / float64(pieces)
		if share*float64(s.SafeRunMin) < leastPart && share < 0.5 {
			break
		}
		shares = append(shares, share)
	}
	return shares
}

// long says that a part of a step may compete with whole steps.
func (b *bench) long(s *Step) bool {
	return s.Marks.Has(Resumable) && float64(s.SafeSetupMin+s.SafeRunMin) > b.UsualMin/2
}

// startable gives the steps of a neck that could begin tonight, each after its
// needs, and the earliest end of each whole (never when only a part fits).
func (b *bench) startable(neck int) (steps []int, earliest []int) {
	v := b.values[neck]
	earliest = make([]int, len(v.steps))
	for _, i := range v.order {
		s := &v.steps[i]
		earliest[i] = never
		if s.Done {
			continue
		}
		at, _, _ := b.readyAt(neck, i)
		for _, n := range s.Needs {
			if !v.steps[n.Step].Done {
				at = max(at, min(earliest[n.Step], never/2)+ceil(n.WaitMin))
			}
		}
		if at+s.SafeRunMin <= b.limit(s) {
			earliest[i] = at + s.SafeRunMin
			steps = append(steps, i)
		} else if shares := parts(s); len(shares) > 0 && at+s.SafeSetupMin+ceil(float64(s.SafeRunMin)*shares[len(shares)-1]) <= b.limit(s) {
			steps = append(steps, i)
		}
	}
	return steps, earliest
}

// choices lists the choices of a neck. It reports whether the list is whole.
func (b *bench) choices(neck int) (list []*choice, all bool) {
	steps, earliest := b.startable(neck)
	v := b.values[neck]
	all = true
	var grow func(k int, items []item)
	grow = func(k int, items []item) {
		if k == len(steps) || len(list) >= maxChoices {
			all = all && k == len(steps)
			return
		}
		i := steps[k]
		s := &v.steps[i]
		grow(k+1, items)
		for _, n := range s.Needs {
			if !v.steps[n.Step].Done && !holds(items, n.Step) {
				return
			}
		}
		shares := []float64{1}
		if b.long(s) {
			shares = append(shares, parts(s)...)
		}
		for _, share := range shares {
			if share == 1 && earliest[i] >= never {
				continue
			}
			c := b.choice(neck, append(items[:len(items):len(items)], b.item(neck, i, share)), earliest)
			if _, a := b.order(c.items); a == noOrder {
				continue
			}
			list = append(list, c)
			grow(k+1, c.items)
		}
	}
	grow(0, nil)
	return list, all
}

// holds says whether a step is done whole among items.
func holds(items []item, step int) bool {
	return slices.ContainsFunc(items, func(it item) bool { return it.step == step && it.share == 1 })
}

// choice ties items of one neck together and values them.
func (b *bench) choice(neck int, items []item, earliest []int) *choice {
	v := b.values[neck]
	c := &choice{items: slices.Clone(items), part: -1}
	for i := range c.items {
		it := &c.items[i]
		s := &v.steps[it.step]
		it.needs, it.touch = nil, nil
		for j := range c.items {
			e := &c.items[j]
			if wait, before := b.mustFollow(it, e); before {
				it.needs = append(it.needs, tie{j, wait})
			}
			if wait := touch(it, e); wait > 0 && i != j {
				it.touch = append(it.touch, tie{j, wait})
			}
		}
		c.dust, c.film = c.dust || s.Marks.Has(Dusty), c.film || s.Marks.Has(Film)
		if it.share < 1 {
			c.part, c.share = it.step, it.share
			continue
		}
		c.whole = append(c.whole, it.step)
		b.time(it, earliest[it.step])
		c.timed = c.timed || it.timed
	}
	inherit(c.items)
	c.points = b.pointsAt(c, b.soonestAlone(c))
	return c
}

// soonestAlone gives the earliest ends of a choice's items. A setup that no
// other neck can share counts in full.
func (b *bench) soonestAlone(c *choice) []int {
	ends := make([]int, len(c.items))
	for i := range c.items {
		it := &c.items[i]
		it.earliest = max(it.earliest, it.ready+it.run)
		before, setups, kinds := it.run, 0, uint64(0)
		alone := func(e *item) {
			if e.kind < 64 && kinds&(1<<e.kind) == 0 && b.sharing[e.kind] == 1 {
				kinds |= 1 << e.kind
				setups += b.setups[e.kind]
			}
		}
		alone(it)
		seen := make([]bool, len(c.items))
		var walk func(e *item)
		walk = func(e *item) {
			for _, n := range e.needs {
				if !seen[n.item] {
					seen[n.item] = true
					before += c.items[n.item].run
					alone(&c.items[n.item])
					walk(&c.items[n.item])
				}
			}
		}
		walk(it)
		it.earliest = max(it.earliest, before+setups)
		ends[i] = it.earliest
	}
	return ends
}

// pointsAt gives the points of a choice with the ends of its items.
func (b *bench) pointsAt(c *choice, ends []int) int {
	key, timed := uint64(0), 0
	for i := range c.items {
		if c.items[i].timed {
			key, timed = key<<12|uint64(ends[i]), timed+1
		}
	}
	if points, ok := c.known[key]; ok {
		return points
	}
	var at []int
	for i, it := range c.items {
		if it.share == 1 {
			at = append(at, ends[i])
		}
	}
	neck := c.items[0].neck
	points := b.values[neck].worth(c.whole, at, c.part, c.share).points(b.necks[neck].Weight)
	if timed <= 5 { // five ends under 4096 minutes fill a key
		if c.known == nil {
			c.known = map[uint64]int{}
		}
		c.known[key] = points
	}
	return points
}

// mustFollow says whether it comes after e of the same neck, and how long: its
// need, or because e may no more be touched once it cures over night.
func (b *bench) mustFollow(it, e *item) (wait int, after bool) {
	if it.step == e.step {
		return 0, false
	}
	steps := b.necks[it.neck].Steps
	for _, n := range steps[it.step].Needs {
		if n.Step == e.step {
			return ceil(n.WaitMin), true
		}
	}
	return 0, touch(e, it) >= b.Minutes
}

// touch gives how long after the end of e of the same neck its cure keeps it
// from starting: until handled for what touches the neck, until cured for what
// shakes it.
func touch(it, e *item) int {
	switch {
	case e.share < 1 || e.place == Off || it.place == Off:
		return 0
	case it.place == Force:
		return max(e.handled, e.cured)
	}
	return e.handled
}

// time finds out whether the end of a whole step moves its worth, and the
// latest end that keeps it: a cure that must be over when an evening begins.
func (b *bench) time(it *item, earliest int) {
	it.timed, it.soft = false, b.Minutes
	for _, s := range b.necks[it.neck].Steps {
		for _, n := range s.Needs {
			if n.Step != it.step || n.WaitMin == 0 || s.Done {
				continue
			}
			first := b.row.position(float64(earliest) + n.WaitMin)
			if first == b.row.position(float64(it.limit)+n.WaitMin) {
				continue
			}
			it.timed = true
			keeps := earliest
			if i := int(first); i < len(b.row.from) && b.row.from[i] >= float64(earliest)+n.WaitMin {
				keeps = int(b.row.from[i] - n.WaitMin)
			}
			it.soft = min(it.soft, keeps)
		}
	}
}

// inherit gives every item the latest end and the due minute that those after
// it leave: a quiet step that a noisy one needs counts as noisy.
func inherit(items []item) {
	for i := range items {
		items[i].latest, items[i].due = items[i].limit, min(items[i].limit, items[i].soft)
	}
	for range items {
		for i := range items {
			for _, n := range items[i].needs {
				e := &items[n.item]
				e.latest = min(e.latest, items[i].latest-items[i].run-n.wait)
				e.due = min(e.due, items[i].due)
			}
		}
	}
}
