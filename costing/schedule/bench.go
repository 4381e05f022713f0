package schedule

import (
	"math"
	"slices"
	"strings"
)

// item is a step, or a part of one, that a plan may hold. Minutes are from now.
type item struct {
	*Step
	neck, step int
	share      float64 // 1 is all that is left
	run        int
	kind       int // which operation
	rank       int // a place after its needs
	ready      int // earliest start by what is done already
	latest     int // latest end: the evening, the quiet and the tired hour, and what must follow
	due        int // what the rule of thumb sorts by, inherited like latest
	soonest    int // no order ends it before
	timed      bool
	closing    int // 1 a glue-up, 2 a wet film, else 0
	handled    int // minutes after the end
	cured      int
	needs      []tie // items of the same choice that come before
	touch      []tie // items of the same choice that delay it while they cure
	// Items of the same choice, one bit each: itself and all that must come
	// before it, and those whose end matters beyond the start of the next.
	before, watch uint64
}

// member is an item of a set. Its choice begins at base.
type member struct {
	*item
	base int
}

// tie is another item of the same choice and the minutes after its end.
type tie struct{ item, wait int }

// hold is a number of clamp sets in use until a minute.
type hold struct{ until, sets int }

// bench is a situation prepared for the search.
type bench struct {
	Evening
	necks    []Neck
	row      evenings
	values   []*valuer
	can      [][]int // by neck, the steps that could begin tonight, needs first
	earliest [][]int // by neck and step, the first end tonight, or never
	kinds    map[string]int
	setups   []int // least setup of each kind
	sharing  []int // necks that could do the kind tonight
	holds    []hold
	wetUntil int // dust may begin from this minute on
	// overnight is the number of clamp sets free for glue-ups that hold them
	// past the evening; it may be below 0.
	overnight int
	looks     int // how often all orders together were carried on
	labels    int // orders started that the exact search may still look at
}

// never is a minute after every evening.
const never = math.MaxInt32

func newBench(s Situation) *bench {
	b := &bench{Evening: s.Evening, row: newEvenings(s.Evening.Later), kinds: map[string]int{}, labels: maxLabels, overnight: s.Evening.ClampSets}
	for _, n := range slices.SortedStableFunc(slices.Values(s.Necks), func(x, y Neck) int { return strings.Compare(x.Code, y.Code) }) {
		if o, ok := newOutlook(n.Steps, &b.row, b.Evening); ok {
			b.necks, b.values = append(b.necks, n), append(b.values, newValuer(o))
		}
	}
	for _, n := range b.necks {
		for i := range n.Steps {
			s := &n.Steps[i]
			kind, known := b.kinds[s.Operation]
			if !known {
				kind = len(b.setups)
				b.kinds[s.Operation] = kind
				b.setups, b.sharing = append(b.setups, s.SafeSetupMin), append(b.sharing, 0)
			}
			b.setups[kind] = min(b.setups[kind], s.SafeSetupMin)
			if until := ceil(s.DoneMin + s.HandledMin); s.Done && until > 0 {
				b.holds = append(b.holds, hold{until, s.Clamps})
				b.overnight -= s.Clamps * is(until >= b.Minutes)
				if s.Marks.Has(Wet) && !b.DustFreeRoom {
					b.wetUntil = max(b.wetUntil, until)
				}
			}
		}
		b.can, b.earliest = append(b.can, nil), append(b.earliest, make([]int, len(n.Steps)))
	}
	for k := range b.necks {
		b.begin(k)
	}
	return b
}

// begin finds the steps of a neck that could begin tonight.
func (b *bench) begin(neck int) {
	v := b.values[neck]
	seen := map[int]bool{}
	for _, i := range v.order {
		s := &v.steps[i]
		b.earliest[neck][i] = never
		if s.Done {
			continue
		}
		at, _, _ := b.readyAt(neck, i)
		for _, n := range s.Needs {
			if !v.steps[n.Step].Done {
				at = max(at, min(b.earliest[neck][n.Step], never/2)+ceil(n.WaitMin))
			}
		}
		least := s.SafeRunMin
		if at+least <= b.limit(s) {
			b.earliest[neck][i] = at + least
		} else if shares := parts(s); len(shares) > 0 {
			least = ceil(float64(least) * shares[len(shares)-1])
		}
		if at+least > b.limit(s) {
			continue
		}
		b.can[neck] = append(b.can[neck], i)
		if kind := b.kinds[s.Operation]; !seen[kind] {
			seen[kind] = true
			b.sharing[kind]++
		}
	}
}

// item gives a step, or a part of it, as an item by itself.
func (b *bench) item(neck, step int, share float64) item {
	s := &b.necks[neck].Steps[step]
	it := item{Step: s, neck: neck, step: step, share: share, kind: b.kinds[s.Operation], rank: b.values[neck].rank[step]}
	it.run, it.handled, it.cured = ceil(float64(s.SafeRunMin)*share), ceil(s.HandledMin), ceil(s.CuredMin)
	it.ready, _, _ = b.readyAt(neck, step)
	it.latest = b.limit(s)
	it.due, it.soonest = it.latest, b.earliest[neck][step]
	switch {
	case s.Marks.Has(Wet):
		it.closing = 2
	case it.handled > 0 && it.cured > b.Minutes:
		it.closing = 1
	}
	return it
}

// limit is the latest end of a step by the clock.
func (e Evening) limit(s *Step) int {
	limit := e.Minutes
	if s.Marks.Has(Noisy) {
		limit = min(limit, e.NoiseUntil)
	}
	if s.Marks.Has(Machine) {
		limit = min(limit, e.MachinesUntil)
	}
	return limit
}

// readyAt gives from when a step may start by what is done already, and what
// it waits for last. Needs on steps that are not done do not count here.
func (b *bench) readyAt(neck, step int) (at int, why Reason, by string) {
	steps := b.necks[neck].Steps
	s := &steps[step]
	wait := func(until float64, r Reason, what string) {
		if m := ceil(until); m > at {
			at, why, by = m, r, what
		}
	}
	if s.Shut != nil {
		wait(s.Shut.LiftsMin, AtGate, s.Shut.Reason)
		if s.Shut.LiftsMin < 0 {
			wait(never, AtGate, s.Shut.Reason)
		}
	}
	for _, n := range s.Needs {
		if e := &steps[n.Step]; e.Done {
			wait(e.DoneMin+n.WaitMin, Curing, e.Name)
		}
	}
	for i := range steps {
		if e := &steps[i]; e.Done {
			wait(e.DoneMin+touch(s, e), Curing, e.Name)
		}
	}
	if s.Marks.Has(Dusty) {
		wait(float64(b.wetUntil), WetRoom, "")
	}
	return at, why, by
}

// touch gives how long after the end of e its cure keeps another step of the
// neck from starting: until handled what touches the neck, until cured what
// shakes it.
func touch(s, e *Step) float64 {
	switch {
	case s.Place == Off || e.Place == Off:
		return 0
	case s.Place == Force:
		return max(e.HandledMin, e.CuredMin)
	}
	return e.HandledMin
}

// ceil rounds minutes up to whole ones. A hair over a minute is that minute.
func ceil(min float64) int {
	if min >= never {
		return never
	}
	return int(math.Ceil(min - 1e-9))
}
