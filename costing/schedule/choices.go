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
	items  []item
	set    []member // the items alone
	points int      // at the soonest ends
	least  float64  // minutes it takes at least, setups shared
	marks  Marks    // of all its items
	timed  bool     // the ends move the points
	clamps int      // sets held past the evening
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

// choices lists the choices of a neck, large ones first, and gives the most
// points that any choice may have. It reports whether the list is whole.
func (b *bench) choices(neck int) (list []*choice, most int, all bool) {
	all = true
	var grow func(k int, items []item)
	grow = func(k int, items []item) {
		if k == len(b.can[neck]) {
			return
		}
		if all = all && len(list) < maxChoices; !all {
			return
		}
		defer grow(k+1, items)
		i := b.can[neck][k]
		s := &b.necks[neck].Steps[i]
		if !b.closed(neck, i, items) {
			return
		}
		shares := []float64{1}
		if float64(s.SafeSetupMin+s.SafeRunMin) > b.UsualMin/2 {
			shares = append(shares, parts(s)...)
		}
		for _, share := range shares {
			if share == 1 && b.earliest[neck][i] >= never {
				continue
			}
			c := b.choice(append(items[:len(items):len(items)], b.item(neck, i, share)))
			if _, a := b.order(c.set); a != noOrder {
				list = append(list, c)
				grow(k+1, c.items)
			}
		}
	}
	grow(0, nil)
	for _, c := range list {
		most = max(most, c.points)
	}
	if !all { // doing more never lowers the points
		var items []item
		for _, i := range b.can[neck] {
			items = append(items, b.item(neck, i, 1))
		}
		most = max(most, b.choice(items).points)
	}
	return list, most, all
}

// closed says whether the needs of a step are done or whole among items.
func (b *bench) closed(neck, step int, items []item) bool {
	for _, n := range b.necks[neck].Steps[step].Needs {
		if !b.necks[neck].Steps[n.Step].Done && !slices.ContainsFunc(items, func(it item) bool { return it.neck == neck && it.step == n.Step && it.share == 1 }) {
			return false
		}
	}
	return true
}

// choice ties items of one neck together and values them.
func (b *bench) choice(items []item) *choice {
	c := &choice{items: slices.Clone(items)}
	seen := map[int]bool{}
	for i := range c.items {
		it := &c.items[i]
		it.needs, it.touch, it.before, it.watch = nil, nil, 1<<i, 0
		for j := range c.items {
			b.tie(it, &c.items[j], j)
		}
		it.latest = b.limit(it.Step)
		it.due = it.latest
		if it.share == 1 {
			b.time(it)
		}
		if it.timed || it.Clamps > 0 {
			it.watch |= 1 << i
		}
		if it.handled >= b.Minutes && it.share == 1 {
			c.clamps += it.Clamps
		}
		c.timed, c.marks = c.timed || it.timed, c.marks|it.Marks
		c.least += float64(it.run)
		if !seen[it.kind] {
			seen[it.kind] = true
			c.least += float64(b.setups[it.kind]) / float64(max(b.sharing[it.kind], 1))
		}
	}
	// A quiet step that a noisy one needs counts as noisy.
	for range c.items {
		for i := range c.items {
			it := &c.items[i]
			for _, t := range it.needs {
				e := &c.items[t.item]
				e.latest, e.due = min(e.latest, it.latest-it.run-t.wait), min(e.due, it.due)
				it.before |= e.before
			}
		}
	}
	for i := range c.items {
		c.set = append(c.set, member{&c.items[i], 0})
	}
	o := b.newOrdering(c.set)
	c.points = b.pointsAt(c, o.soonest(0, 0, -1))
	return c
}

// tie notes how it depends on e of the same choice: a need, a cure that keeps
// it from starting, or its own cure after which e could not start tonight.
func (b *bench) tie(it, e *item, index int) {
	if it.step == e.step {
		return
	}
	for _, n := range it.Needs {
		if n.Step == e.step {
			it.needs = append(it.needs, tie{index, ceil(n.WaitMin)})
			it.watch |= uint64(is(n.WaitMin > 0)) << index
			return
		}
	}
	if wait := ceil(touch(it.Step, e.Step)); wait > 0 && e.share == 1 {
		it.touch = append(it.touch, tie{index, wait})
		it.watch |= 1 << index
	}
	if it.share == 1 && touch(e.Step, it.Step) >= float64(b.Minutes) {
		it.needs = append(it.needs, tie{index, 0})
	}
}

// time finds out whether the end of a whole step moves its worth. It is then
// due when a cure must start to be over as an evening begins.
func (b *bench) time(it *item) {
	it.timed = false
	soonest := float64(b.earliest[it.neck][it.step])
	for _, s := range b.necks[it.neck].Steps {
		for _, n := range s.Needs {
			if n.Step != it.step || n.WaitMin == 0 || s.Done {
				continue
			}
			first := b.row.position(soonest + n.WaitMin)
			if first == b.row.position(float64(it.latest)+n.WaitMin) {
				continue
			}
			it.timed = true
			keeps := soonest
			if i := int(first); i < len(b.row.from) {
				keeps = max(keeps, b.row.from[i]-n.WaitMin)
			}
			it.due = min(it.due, int(keeps))
		}
	}
}

// pointsAt gives the points of a choice with the ends of its items.
func (b *bench) pointsAt(c *choice, ends []int) int {
	neck := c.items[0].neck
	return b.values[neck].worth(c.items, ends).points(b.necks[neck].Weight)
}
