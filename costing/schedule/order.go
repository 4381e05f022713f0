package schedule

import (
	"cmp"
	"math/bits"
	"slices"
)

// maxLabels is how many orders started all exact searches may look at together.
const maxLabels = 60_000

// sequence is an order of the items of a set with the end of each.
type sequence struct{ seq, ends []int }

// now gives the end of the last item and its kind.
func (s sequence) now(items []member) (now, last int) {
	if len(s.seq) == 0 {
		return 0, -1
	}
	i := s.seq[len(s.seq)-1]
	return s.ends[i], items[i].kind
}

// ordering looks for an order of a set in which everything ends in time.
type ordering struct {
	*bench
	items  []member
	latest []int    // the items, the one that must end first before the others
	before []uint64 // by item, itself and what must come before it
	watch  uint64   // items whose end matters beyond the start of the next
	sequence
	together bool // keep operations together before what is due first
	exact    bool // try every order that may matter
	// With a score the order that scores best above floor is found.
	score func(ends []int) int
	floor int
	tried map[[2]uint64][][]int // ends by items placed and last kind
	found *sequence
	stop  bool
}

// answer is what is known of the order of a set.
type answer int

const (
	noOrder answer = iota
	hasOrder
	unknown // the labels ran out
)

// order finds an order for a set: by a rule of thumb, by the rule with
// operations kept together, and else by the exact search.
func (b *bench) order(items []member) (sequence, answer) {
	o := b.newOrdering(items)
	if len(items) > 64 || o.tooMuch(0, 0, -1) {
		return sequence{}, noOrder
	}
	for o.extend(0); o.found == nil && !o.exact; o.extend(0) {
		o.exact = o.together
		o.together = true
	}
	return o.answer()
}

// best finds an order that scores more than floor.
func (b *bench) best(items []member, score func(ends []int) int, floor int) (sequence, answer) {
	o := b.newOrdering(items)
	o.together, o.exact, o.score, o.floor = true, true, score, floor
	o.extend(0)
	return o.answer()
}

func (o *ordering) answer() (sequence, answer) {
	switch {
	case o.stop && (o.found == nil || o.score != nil):
		return sequence{}, unknown
	case o.found == nil:
		return sequence{}, noOrder
	}
	return *o.found, hasOrder
}

func (b *bench) newOrdering(items []member) *ordering {
	n := len(items)
	o := &ordering{bench: b, items: items, latest: make([]int, n), before: make([]uint64, n)}
	o.seq, o.ends = make([]int, 0, n), slices.Repeat([]int{-1}, n)
	for i, it := range items {
		j := i
		for ; j > 0 && items[o.latest[j-1]].latest > it.latest; j-- {
			o.latest[j] = o.latest[j-1]
		}
		o.latest[j] = i
		o.before[i], o.watch = it.before<<it.base, o.watch|it.watch<<it.base
	}
	return o
}

// candidate is an item that may come next.
type candidate struct{ item, start, end, apart int }

// extend tries what may come after the items in mask, by the rule of thumb
// only the first. It reports true when the search is over.
func (o *ordering) extend(mask uint64) bool {
	now, last := o.now(o.items)
	if len(o.seq) == len(o.items) {
		if o.score == nil || o.score(o.ends) > o.floor {
			o.found = &sequence{slices.Clone(o.seq), slices.Clone(o.ends)}
		}
		if o.found != nil && o.score != nil {
			o.floor = o.score(o.found.ends)
		}
		return o.score == nil
	}
	for _, c := range o.next(mask, now, last) {
		o.seq, o.ends[c.item] = append(o.seq, c.item), c.end
		over := !(o.exact && o.hopeless(mask|1<<c.item, c.end)) && o.extend(mask|1<<c.item)
		o.seq, o.ends[c.item] = o.seq[:len(o.seq)-1], -1
		if over || o.stop || !o.exact {
			return true
		}
	}
	return false
}

// next gives the items that may follow, in the order of the rule of thumb:
// what can start first, then what is due first, then the same operation again,
// errands, glue-ups and films last, short before long.
func (o *ordering) next(mask uint64, now, last int) []candidate {
	o.looks++
	out := make([]candidate, 0, len(o.items)-len(o.seq))
	for i := range o.items {
		it := o.items[i].item
		if mask&(1<<i) != 0 || o.before[i]&^mask != 1<<i {
			continue
		}
		at := o.start(i, now)
		end := at + it.minutes(last)
		if end > it.latest || o.tooMuch(mask|1<<i, end, it.kind) {
			continue
		}
		c := candidate{i, at, end, 0}
		if o.together && it.kind != last {
			c.apart = 1
			for j := range o.items {
				if j != i && mask&(1<<j) == 0 && o.items[j].kind == it.kind && o.before[j]&^mask&^(1<<i|1<<j) != 0 {
					c.apart = 2 // one of its kind cannot follow yet
				}
			}
		}
		out = append(out, c)
	}
	rule := func(a, b candidate) int {
		x, y := o.items[a.item].item, o.items[b.item].item
		return cmp.Or(a.apart-b.apart, a.start-b.start, x.due-y.due, is(y.kind == last)-is(x.kind == last),
			is(y.Marks.Has(IsErrand))-is(x.Marks.Has(IsErrand)), x.closing-y.closing,
			x.minutes(last)-y.minutes(last), x.neck-y.neck, x.rank-y.rank)
	}
	if !o.exact && len(out) > 0 {
		out[0] = slices.MinFunc(out, rule)
		return out[:1]
	}
	slices.SortFunc(out, rule)
	return out
}

func is(b bool) int {
	if b {
		return 1
	}
	return 0
}

// minutes gives how long an item takes after one of kind last.
func (it *item) minutes(last int) int {
	if it.kind == last {
		return it.run
	}
	return it.SafeSetupMin + it.run
}

// start gives when an item whose needs are placed could start.
func (o *ordering) start(i, now int) int {
	it := o.items[i]
	at := max(now, it.ready)
	for _, ties := range [2][]tie{it.needs, it.touch} {
		for _, t := range ties {
			if end := o.ends[it.base+t.item]; end >= 0 {
				at = max(at, end+t.wait)
			}
		}
	}
	if it.Clamps > 0 {
		at = o.clampsFree(o.items, o.ends, at, it.Clamps)
	}
	return at
}

// clampsFree gives from when on, at or after a minute, so many sets are free,
// or never.
func (b *bench) clampsFree(items []member, ends []int, at, sets int) int {
	held := slices.Clone(b.holds)
	for j, end := range ends {
		if end >= 0 && items[j].Clamps > 0 {
			held = append(held, hold{end + items[j].handled, items[j].Clamps})
		}
	}
	slices.SortFunc(held, func(x, y hold) int { return y.until - x.until })
	free := b.ClampSets - sets
	for _, h := range held {
		if free -= h.sets; free < 0 {
			return max(at, h.until)
		}
	}
	if b.ClampSets < sets {
		return never
	}
	return at
}

// tooMuch says, without an order, that what is not in mask cannot all end in
// time after now: for each latest end it adds up what must be over by then,
// with one setup for each kind but last.
func (o *ordering) tooMuch(mask uint64, now, last int) bool {
	seen := uint64(0)
	for _, i := range o.latest {
		if mask&(1<<i) != 0 {
			continue
		}
		now += o.need(o.items[i].item, &seen, last)
		if now > o.items[i].latest {
			return true
		}
	}
	return false
}

// need gives the least minutes of one more item: its setup counts when its
// kind is neither last nor seen.
func (b *bench) need(it *item, seen *uint64, last int) int {
	if it.kind == last || it.kind >= 64 || *seen&(1<<it.kind) != 0 {
		return it.run
	}
	*seen |= 1 << it.kind
	return it.run + b.setups[it.kind]
}

// hopeless says that an order started need not be followed: it cannot score more
// than the best, or another with the same items and the same last kind is
// nowhere later. It also stops the search when the labels run out.
func (o *ordering) hopeless(mask uint64, now int) bool {
	if o.labels--; o.labels < 0 {
		o.stop = true
		return true
	}
	_, last := o.now(o.items)
	key := [2]uint64{mask, uint64(last)}
	ends := append(make([]int, 0, bits.OnesCount64(o.watch)+1), now)
	for w := o.watch & mask; w != 0; w &= w - 1 {
		ends = append(ends, o.ends[bits.TrailingZeros64(w)])
	}
	for _, t := range o.tried[key] {
		later := false
		for i := range t {
			later = later || t[i] > ends[i]
		}
		if !later {
			return true
		}
	}
	if o.tried == nil {
		o.tried = map[[2]uint64][][]int{}
	}
	o.tried[key] = append(o.tried[key], ends)
	return o.score != nil && o.score(o.soonest(mask, now, last)) <= o.floor
}

// soonest gives the ends of an order started, and for the other items the
// earliest they may have.
func (o *ordering) soonest(mask uint64, now, last int) []int {
	ends := slices.Clone(o.ends)
	for i := range ends {
		if ends[i] >= 0 {
			continue
		}
		at, seen := now, uint64(0)
		for w := o.before[i] &^ mask; w != 0; w &= w - 1 {
			at += o.need(o.items[bits.TrailingZeros64(w)].item, &seen, last)
		}
		ends[i] = max(o.items[i].soonest, at)
	}
	return ends
}
