package schedule

import (
	"math"
	"slices"
	"sort"
)

// item is a step, or a part of one, that a plan may hold.
type item struct {
	neck, step int
	share      float64 // 1 is all that is left
	setup, run int
	kind       int  // which operation
	ready      int  // earliest start by what is done already
	limit      int  // latest end by the evening, the quiet and the tired hour
	latest     int  // latest end that leaves room for what must follow
	due        int  // what the rule of thumb sorts by, inherited
	soft       int  // latest end that keeps the full worth
	timed      bool // the worth depends on the end
	earliest   int  // no order ends it before
	closing    int  // 1 a glue-up, 2 a wet film, else 0
	handled    int  // after the end, while no one touches the neck
	cured      int  // after the end, while nothing shakes the neck
	place      Place
	clamps     int
	errand     bool
	rank       int   // a place after its needs
	needs      []tie // items of the same choice that come before
	touch      []tie // items of the same choice that delay it while they cure
	base       int   // where the choice begins among the items of a set
}

// tie is an earlier item of the same choice and the minutes after its end.
type tie struct{ item, wait int }

// hold is a number of clamp sets in use until a minute.
type hold struct{ until, sets int }

// bench is a situation prepared for the search.
type bench struct {
	Evening
	necks   []Neck
	row     evenings
	values  []*valuer
	kinds   map[string]int
	setups  []int // least setup of each kind
	sharing []int // necks that could do the kind tonight
	holds   []hold
	film    int // the room is free for dust from this minute on
	labels  int // labels left for the search of orders
}

// never is a minute after every evening.
const never = math.MaxInt32

func newBench(s Situation) *bench {
	b := &bench{Evening: s.Evening, necks: slices.Clone(s.Necks), row: newEvenings(s.Evening.Later), kinds: map[string]int{}, labels: maxLabels}
	b.NoiseUntil, b.MachinesUntil = min(b.NoiseUntil, b.Minutes), min(b.MachinesUntil, b.Minutes)
	sort.SliceStable(b.necks, func(i, j int) bool { return b.necks[i].Code < b.necks[j].Code })
	b.necks = slices.DeleteFunc(b.necks, func(n Neck) bool {
		o, ok := newOutlook(n.Steps, &b.row, b.Evening)
		if ok {
			b.values = append(b.values, newValuer(o))
		}
		return !ok
	})
	for _, n := range b.necks {
		for _, s := range n.Steps {
			until := ceil(s.DoneMin + s.HandledMin)
			if !s.Done || until <= 0 {
				continue
			}
			if s.Clamps > 0 {
				b.holds = append(b.holds, hold{until, s.Clamps})
			}
			if s.Marks.Has(Film) && !b.DustFreeRoom {
				b.film = max(b.film, until)
			}
		}
	}
	return b
}

// item gives a step as an item, alone: ready by what is done already.
func (b *bench) item(neck, step int, share float64) item {
	s := &b.necks[neck].Steps[step]
	it := item{neck: neck, step: step, share: share, setup: s.SafeSetupMin, run: ceil(float64(s.SafeRunMin) * share), kind: b.kind(s), limit: b.limit(s)}
	it.handled, it.cured, it.place, it.clamps = ceil(s.HandledMin), ceil(s.CuredMin), s.Place, s.Clamps
	it.errand, it.rank = s.Marks.Has(IsErrand), b.values[neck].rank[step]
	if s.HandledMin > 0 && it.cured > b.Minutes {
		it.closing = 1
	}
	if s.Marks.Has(Film) {
		it.closing = 2
	}
	it.ready, _, _ = b.readyAt(neck, step)
	it.soft = b.Minutes
	return it
}

func (b *bench) kind(s *Step) int {
	k, ok := b.kinds[s.Operation]
	if !ok {
		k = len(b.setups)
		b.kinds[s.Operation] = k
		b.setups, b.sharing = append(b.setups, s.SafeSetupMin), append(b.sharing, 0)
	}
	b.setups[k] = min(b.setups[k], s.SafeSetupMin)
	return k
}

func (b *bench) limit(s *Step) int {
	limit := b.Minutes
	if s.Marks.Has(Noisy) {
		limit = min(limit, b.NoiseUntil)
	}
	if s.Marks.Has(Machine) {
		limit = min(limit, b.MachinesUntil)
	}
	return limit
}

// readyAt gives from when a step may start by what is done already, and what
// it waits for last: a cure, a gate or a film. Needs on steps that are not
// done do not count here.
func (b *bench) readyAt(neck, step int) (at int, why Reason, by string) {
	s := &b.necks[neck].Steps[step]
	wait := func(until float64, r Reason, what string) {
		if m := ceil(until); m > at {
			at, why, by = m, r, what
		}
	}
	if s.Shut != nil {
		until := s.Shut.LiftsMin
		if until < 0 {
			until = never
		}
		wait(until, AtGate, s.Shut.Reason)
	}
	for _, n := range s.Needs {
		if e := &b.necks[neck].Steps[n.Step]; e.Done {
			wait(e.DoneMin+n.WaitMin, Curing, e.Name)
		}
	}
	for i := range b.necks[neck].Steps {
		e := &b.necks[neck].Steps[i]
		if !e.Done || e.Place == Off || s.Place == Off {
			continue
		}
		wait(e.DoneMin+e.HandledMin, Curing, e.Name)
		if s.Place == Force {
			wait(e.DoneMin+e.CuredMin, Curing, e.Name)
		}
	}
	if s.Marks.Has(Dusty) {
		wait(float64(b.film), WetFilm, "")
	}
	return at, why, by
}

// ceil rounds minutes up to whole ones; a hair over a minute is that minute.
func ceil(min float64) int {
	if min >= never {
		return never
	}
	return int(math.Ceil(min - 1e-9))
}
