package schedule

import (
	"math/bits"
	"slices"
)

// maxLabels is how many labels all searches for an order may use together.
const maxLabels = 60_000

// sequence is an order of the items of a set with the end of each.
type sequence struct {
	seq  []int // items in order
	ends []int // by item
	last int   // kind of the last
	now  int   // its end
}

func newSequence(n int) sequence {
	s := sequence{seq: make([]int, 0, n), ends: make([]int, n), last: -1}
	for i := range s.ends {
		s.ends[i] = -1
	}
	return s
}

func (s sequence) copy() sequence {
	s.seq, s.ends = append(make([]int, 0, len(s.ends)), s.seq...), slices.Clone(s.ends)
	return s
}

// start gives when item i could start next, or never.
func (b *bench) start(items []item, ends []int, now, i int) int {
	it := &items[i]
	at := max(now, it.ready)
	for _, n := range it.needs {
		end := ends[it.base+n.item]
		if end < 0 {
			return never
		}
		at = max(at, end+n.wait)
	}
	for _, n := range it.touch {
		if end := ends[it.base+n.item]; end >= 0 {
			at = max(at, end+n.wait)
		}
	}
	if it.clamps > 0 {
		at = b.clampsFree(items, ends, at, it.clamps)
	}
	return at
}

// clampsFree gives from when on, at or after a minute, so many sets are free.
func (b *bench) clampsFree(items []item, ends []int, at, sets int) int {
	for {
		used, next := sets, never
		count := func(until, n int) {
			if n > 0 && until > at {
				used, next = used+n, min(next, until)
			}
		}
		for _, h := range b.holds {
			count(h.until, h.sets)
		}
		for j := range items {
			if ends[j] >= 0 {
				count(ends[j]+items[j].handled, items[j].clamps)
			}
		}
		if used <= b.ClampSets || next == never {
			if used > b.ClampSets {
				return never
			}
			return at
		}
		at = next
	}
}

// minutes gives how long an item takes after one of kind last.
func (it *item) minutes(last int) int {
	if it.kind == last {
		return it.run
	}
	return it.setup + it.run
}

// tooManyClamps says that the glue-ups that hold their clamps past the evening
// need more sets than there are.
func (b *bench) tooManyClamps(items []item) bool {
	sets := 0
	for _, h := range b.holds {
		if h.until >= b.Minutes {
			sets += h.sets
		}
	}
	free := b.ClampSets - sets
	for i := range items {
		if n := items[i].clamps; n > 0 && items[i].handled >= b.Minutes {
			free -= n
			if free < 0 {
				return true
			}
		}
	}
	return false
}

// byLatest gives the items, the one that must end first before the others.
func byLatest(items []item) []int {
	order := make([]int, len(items))
	for i := range items {
		j := i
		for ; j > 0 && items[order[j-1]].latest > items[i].latest; j-- {
			order[j] = order[j-1]
		}
		order[j] = i
	}
	return order
}

// tooMuch says, without an order, that what is not in done cannot all end in
// time after now: for each latest end it adds up what must be over by then,
// with one setup for each kind but last.
func (b *bench) tooMuch(items []item, order []int, done uint64, now, last int) bool {
	seen := uint64(0)
	for _, i := range order {
		if i < 64 && done&(1<<i) != 0 {
			continue
		}
		it := &items[i]
		now += it.run
		if it.kind < 64 && it.kind != last && seen&(1<<it.kind) == 0 {
			seen |= 1 << it.kind
			now += b.setups[it.kind]
		}
		if now > it.latest {
			return true
		}
	}
	return false
}

// thumb orders a set by a rule of thumb: what can start first, then what is
// due first, then the same operation again, errands, glue-ups and films last,
// short before long. It reports false when something ends too late; the set
// may have an order all the same.
func (b *bench) thumb(items []item) (sequence, bool) {
	return b.complete(items, newSequence(len(items)), false)
}

// complete goes on with an order by the rule of thumb. With together the same
// operation comes before what is due first, and an operation waits until all
// that share its setup can follow, as long as the rest still ends in time.
func (b *bench) complete(items []item, s sequence, together bool) (sequence, bool) {
	var order []int
	done := uint64(0)
	if together {
		order = byLatest(items)
		for _, i := range s.seq {
			done |= 1 << (i & 63)
		}
	}
	for len(s.seq) < len(items) {
		best, bestStart, bestRank := -1, never, 0
		for i := range items {
			if s.ends[i] >= 0 {
				continue
			}
			at := b.start(items, s.ends, s.now, i)
			if at >= never {
				continue
			}
			rank := 0
			if together {
				kind := items[i].kind
				if b.tooMuch(items, order, done|1<<(i&63), at+items[i].minutes(s.last), kind) {
					continue
				}
				if kind != s.last {
					rank = 1
					if b.apart(items, s.ends, i) {
						rank = 2
					}
				}
			}
			if best < 0 || rank < bestRank || rank == bestRank && (at < bestStart || at == bestStart && before(&items[i], &items[best], s.last)) {
				best, bestStart, bestRank = i, at, rank
			}
		}
		if best < 0 {
			return s, false
		}
		end := bestStart + items[best].minutes(s.last)
		if end > items[best].latest {
			return s, false
		}
		s.ends[best], s.now, s.last, s.seq = end, end, items[best].kind, append(s.seq, best)
		done |= 1 << (best & 63)
	}
	return s, true
}

// apart says whether another item of the same kind still needs one that is not
// placed.
func (b *bench) apart(items []item, ends []int, i int) bool {
	for j := range items {
		if j == i || ends[j] >= 0 || items[j].kind != items[i].kind {
			continue
		}
		for _, n := range items[j].needs {
			if e := items[j].base + n.item; ends[e] < 0 && e != i {
				return true
			}
		}
	}
	return false
}

// before is the rule of thumb between two items that can start alike.
func before(x, y *item, last int) bool {
	if x.due != y.due {
		return x.due < y.due
	}
	if sx, sy := x.kind == last, y.kind == last; sx != sy {
		return sx
	}
	if x.errand != y.errand {
		return x.errand
	}
	if x.closing != y.closing {
		return x.closing < y.closing
	}
	if mx, my := x.minutes(last), y.minutes(last); mx != my {
		return mx < my
	}
	if x.neck != y.neck {
		return x.neck < y.neck
	}
	return x.rank < y.rank
}

// answer is what is known of the order of a set.
type answer int

const (
	noOrder answer = iota
	hasOrder
	unknown // the labels ran out
)

// order finds an order for a set in which everything ends in time.
func (b *bench) order(items []item) (sequence, answer) {
	if b.tooMuch(items, byLatest(items), 0, 0, -1) || b.tooManyClamps(items) {
		return sequence{}, noOrder
	}
	if s, ok := b.thumb(items); ok {
		return s, hasOrder
	}
	if len(items) > 64 {
		return sequence{}, unknown
	}
	if s, ok := b.complete(items, newSequence(len(items)), true); ok {
		return s, hasOrder
	}
	return b.exact(items, nil, 0)
}

// label is one order of some of the items. Of two labels over the same items
// with the same last kind the one that is nowhere later is kept.
type label struct {
	mask uint64
	sequence
}

type labelKey struct {
	mask uint64
	last int
}

// exact searches the orders of a set layer by layer, one item more each time.
// Without a score any order will do. With one it finds the order that scores
// best, if any scores more than floor; score is given the ends, and for items
// without an order yet the earliest ends they may still have.
func (b *bench) exact(items []item, score func(ends []int) int, floor int) (best sequence, a answer) {
	n := len(items)
	if n > 64 || b.labels <= 0 {
		return best, unknown
	}
	watch, order, before := watched(items), byLatest(items), closures(items)
	layer := []*label{{sequence: newSequence(n)}}
	for range n {
		next := map[labelKey][]*label{}
		var keys []labelKey
		for _, l := range layer {
			for i := range items {
				if l.mask&(1<<i) != 0 {
					continue
				}
				at := b.start(items, l.ends, l.now, i)
				if at >= never {
					continue
				}
				key := labelKey{l.mask | 1<<i, items[i].kind}
				end := at + items[i].minutes(l.last)
				if end > items[i].latest || b.tooMuch(items, order, key.mask, end, key.last) {
					continue
				}
				if b.labels--; b.labels < 0 {
					return best, unknown
				}
				old, found := next[key]
				if !found {
					keys = append(keys, key)
				}
				kept, isNew := keep(old, l, key, i, end, watch)
				next[key] = kept
				if !isNew {
					continue
				}
				added := kept[len(kept)-1]
				if score != nil && score(b.soonest(items, before, added.sequence, key.mask)) <= floor {
					next[key] = kept[:len(kept)-1]
					continue
				}
				if s, ok := b.complete(items, added.copy(), true); ok {
					if score == nil {
						return s, hasOrder
					}
					if points := score(s.ends); points > floor {
						best, floor, a = s, points, hasOrder
					}
				}
			}
		}
		layer = layer[:0]
		for _, k := range keys {
			layer = append(layer, next[k]...)
		}
	}
	return best, a
}

// soonest gives the ends of an order begun, and for the other items the
// earliest they may have: what must come before them is done first, with one
// setup for each kind.
func (b *bench) soonest(items []item, before []uint64, s sequence, mask uint64) []int {
	ends := slices.Clone(s.ends)
	for i := range ends {
		if !items[i].timed || ends[i] >= 0 {
			continue
		}
		at, seen := s.now, uint64(0)
		for w := before[i] &^ mask; w != 0; w &= w - 1 {
			it := &items[bits.TrailingZeros64(w)]
			at += it.run
			if it.kind < 64 && it.kind != s.last && seen&(1<<it.kind) == 0 {
				seen |= 1 << it.kind
				at += b.setups[it.kind]
			}
		}
		ends[i] = max(items[i].earliest, at)
	}
	return ends
}

// closures gives, for every item, itself and all that must come before it.
func closures(items []item) []uint64 {
	before := make([]uint64, len(items))
	for range items {
		for i := range items {
			before[i] |= 1 << i
			for _, n := range items[i].needs {
				before[i] |= before[items[i].base+n.item]
			}
		}
	}
	return before
}

// keep adds l followed by item i to the labels of one key and reports true,
// unless one of them is nowhere later. What it beats goes.
func keep(old []*label, l *label, key labelKey, i, end int, watch uint64) ([]*label, bool) {
	own := int(watch >> i & 1) // whether the end of i itself counts
	for _, o := range old {
		if o.now <= end && o.ends[i]*own <= end*own && nowhereLater(o.ends, l.ends, watch&l.mask) {
			return old, false
		}
	}
	kept := slices.DeleteFunc(old, func(o *label) bool {
		return end <= o.now && end*own <= o.ends[i]*own && nowhereLater(l.ends, o.ends, watch&l.mask)
	})
	s := l.copy()
	s.seq, s.ends[i], s.last, s.now = append(s.seq, i), end, key.last, end
	return append(kept, &label{key.mask, s}), true
}

func nowhereLater(a, b []int, which uint64) bool {
	for ; which != 0; which &= which - 1 {
		if j := bits.TrailingZeros64(which); a[j] > b[j] {
			return false
		}
	}
	return true
}

// watched gives the items whose end matters beyond the start of the next: a
// cure that others of the set wait for, clamps, or an end that moves the worth.
func watched(items []item) uint64 {
	var watch uint64
	for i := range items {
		it := &items[i]
		if it.timed || it.clamps > 0 {
			watch |= 1 << i
		}
		for _, n := range it.needs {
			if n.wait > 0 {
				watch |= 1 << (it.base + n.item)
			}
		}
		for _, n := range it.touch {
			watch |= 1 << (it.base + n.item)
		}
	}
	return watch
}
