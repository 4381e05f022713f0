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
	s := &b.necks[it.neck].Steps[it.step]
	if s.Place != Off {
		for j := range items {
			e := &items[j]
			if ends[j] < 0 || e.neck != it.neck || e.share < 1 || b.place(e) == Off {
				continue
			}
			at = max(at, ends[j]+e.handled)
			if s.Place == Force {
				at = max(at, ends[j]+e.cured)
			}
		}
	}
	if s.Clamps > 0 {
		at = b.clampsFree(items, ends, at, s.Clamps)
	}
	return at
}

func (b *bench) place(it *item) Place { return b.necks[it.neck].Steps[it.step].Place }

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
				count(ends[j]+items[j].handled, b.necks[items[j].neck].Steps[items[j].step].Clamps)
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
		if n := b.necks[items[i].neck].Steps[items[i].step].Clamps; n > 0 && items[i].handled >= b.Minutes {
			free -= n
			if free < 0 {
				return true
			}
		}
	}
	return false
}

// tooMuch says, without an order, that what is not in done cannot all end in
// time after now: for each latest end it adds up what must be over by then,
// with one setup for each kind but last.
func (b *bench) tooMuch(items []item, done uint64, now, last int) bool {
	for i := range items {
		if i < 64 && done&(1<<i) != 0 {
			continue
		}
		by, sum, seen := items[i].latest, now, uint64(0)
		for j := range items {
			it := &items[j]
			if it.latest > by || j < 64 && done&(1<<j) != 0 {
				continue
			}
			sum += it.run
			if it.kind < 64 && it.kind != last && seen&(1<<it.kind) == 0 {
				seen |= 1 << it.kind
				sum += b.setups[it.kind]
			}
		}
		if sum > by {
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
	return b.complete(items, newSequence(len(items)))
}

// complete goes on with an order by the rule of thumb.
func (b *bench) complete(items []item, s sequence) (sequence, bool) {
	for len(s.seq) < len(items) {
		best, bestStart := -1, never
		for i := range items {
			if s.ends[i] >= 0 {
				continue
			}
			at := b.start(items, s.ends, s.now, i)
			if at >= never {
				continue
			}
			if best < 0 || at < bestStart || at == bestStart && b.before(&items[i], &items[best], s.last) {
				best, bestStart = i, at
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
	}
	return s, true
}

// before is the rule of thumb between two items that can start alike.
func (b *bench) before(x, y *item, last int) bool {
	if x.due != y.due {
		return x.due < y.due
	}
	if sx, sy := x.kind == last, y.kind == last; sx != sy {
		return sx
	}
	if ex, ey := b.errand(x), b.errand(y); ex != ey {
		return ex
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
	return b.values[x.neck].rank[x.step] < b.values[y.neck].rank[y.step]
}

func (b *bench) errand(it *item) bool {
	return b.necks[it.neck].Steps[it.step].Marks.Has(IsErrand)
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
	if b.tooMuch(items, 0, 0, -1) || b.tooManyClamps(items) {
		return sequence{}, noOrder
	}
	if s, ok := b.thumb(items); ok {
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
	watch := b.watched(items)
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
				if end > items[i].latest || b.tooMuch(items, key.mask, end, key.last) {
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
				if score != nil && score(soonest(items, added.sequence)) <= floor {
					next[key] = kept[:len(kept)-1]
					continue
				}
				if s, ok := b.complete(items, added.copy()); ok {
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
// earliest they may have.
func soonest(items []item, s sequence) []int {
	ends := slices.Clone(s.ends)
	for i := range ends {
		if ends[i] < 0 {
			ends[i] = max(items[i].earliest, s.now+items[i].run)
		}
	}
	return ends
}

// keep adds l followed by item i to the labels of one key, unless one of them
// is nowhere later. What it beats goes.
func keep(old []*label, l *label, key labelKey, i, end int, watch uint64) ([]*label, bool) {
	ends := append([]int(nil), l.ends...)
	ends[i] = end
	nowhereLater := func(a []int, aNow int, b []int, bNow int) bool {
		for w := watch & key.mask; w != 0; w &= w - 1 {
			if j := bits.TrailingZeros64(w); a[j] > b[j] {
				return false
			}
		}
		return aNow <= bNow
	}
	for _, o := range old {
		if nowhereLater(o.ends, o.now, ends, end) {
			return old, false
		}
	}
	kept := slices.DeleteFunc(old, func(o *label) bool { return nowhereLater(ends, end, o.ends, o.now) })
	seq := append(append(make([]int, 0, len(ends)), l.seq...), i)
	return append(kept, &label{key.mask, sequence{seq, ends, key.last, end}}), true
}

// watched gives the items whose end matters beyond the start of the next: a
// cure that others of the set wait for, clamps, or an end that moves the worth.
func (b *bench) watched(items []item) uint64 {
	var watch uint64
	for i := range items {
		it := &items[i]
		s := &b.necks[it.neck].Steps[it.step]
		if it.timed || s.Clamps > 0 || s.Place != Off && (it.handled > 0 || it.cured > 0) {
			watch |= 1 << i
		}
		for _, n := range it.needs {
			if n.wait > 0 {
				watch |= 1 << (it.base + n.item)
			}
		}
	}
	return watch
}
