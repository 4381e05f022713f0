package schedule

import (
	"math"
	"slices"
)

// closerMin is the cure from which on a glue-up waits until the rest of the
// evening is done, in minutes (judgement).
const closerMin = 60

// waitsMin is how long the builder waits at the bench for a cure, in minutes. For
// longer he ends the evening (judgement).
const waitsMin = 15

// turn is a step that could be worked now.
type turn struct {
	neck *walkNeck
	step int
	room float64 // minutes of work until it must end
	safe float64
}

// evening works from one minute of a day to another.
func (w *graphWalk) evening(midnight, from, to float64) {
	w.dusty = false
	t, end := midnight+from, midnight+to
	quiet := midnight + w.quiet
	fresh := true
	for t < end {
		reserve, able := 0.0, 0
		var best, closer, any turn // none without a neck
		next := math.Inf(1)
		for k := range w.necks {
			n := &w.necks[k]
			if n.left == 0 || n.starts > t {
				continue
			}
			for _, i := range n.can {
				s := &n.Steps[i]
				at := w.open(n, i, t)
				if at > t {
					next = min(next, at)
					continue
				}
				c := turn{n, i, (end - t) / w.unlogged, n.Works[i].Estimate.SafeMin}
				if s.Marks.Has(Noisy) {
					c.room = min(c.room, (quiet-t)/w.unlogged)
				}
				if !w.fits(c, fresh) {
					continue
				}
				if able == 0 || any.neck == n {
					if able++; w.choice.IntN(able) == 0 {
						any = c
					}
				}
				if s.HandledMin >= closerMin && s.Place != Off {
					reserve += c.safe
					if closer.neck == nil || ahead(c, closer) {
						closer = c
					}
				} else if best.neck == nil || ahead(c, best) {
					best = c
				}
			}
		}
		switch {
		case any.neck != nil && w.choice.Float64() >= w.Calendar.Follows:
			best, reserve = any, 0
		case best.neck != nil && (closer.neck == nil || w.leavesRoom(best, reserve)):
		case closer.neck != nil:
			best = closer
		case next < end && next <= t+waitsMin:
			t = next
			continue
		default:
			return
		}
		t = w.work(best, t, end, reserve)
		fresh = false
	}
}

// open gives from when on a step whose needs are done may begin.
func (w *graphWalk) open(n *walkNeck, i int, t float64) float64 {
	s := &n.Steps[i]
	at := n.ready[i]
	if s.Place != Off {
		at = max(at, n.touched)
		if s.Place == Force {
			at = max(at, n.shaken)
		}
	}
	if s.Marks.Has(NeedsParts) {
		at = max(at, n.parts)
	}
	if s.Marks.Has(Dusty) {
		at = max(at, w.wetUntil)
	}
	if s.Marks.Has(Wet) && w.dusty && !w.Bench.DustFreeRoom {
		return math.Inf(1)
	}
	if s.Clamps > 0 {
		used, free := 0, math.Inf(1)
		for _, h := range w.holds {
			if float64(h.until) > t {
				used += h.sets
				free = min(free, float64(h.until))
			}
		}
		if used+s.Clamps > w.Bench.ClampSets && used > 0 {
			at = max(at, free)
		}
	}
	return at
}

// fits says whether a step is started with so much room: one in one go when it
// is safe to end, other steps when they likely end, what may be left midway
// for a turn. A step too long for any evening is started on a fresh one.
func (w *graphWalk) fits(c turn, fresh bool) bool {
	s := &c.neck.Steps[c.step]
	need := c.neck.Works[c.step].Estimate.LikelyMin
	switch {
	case c.room <= 0:
		return false
	case s.Marks.Has(NoStop):
		need = c.safe
	case s.Marks.Has(Resumable):
		need = min(need, c.part())
	}
	return need <= c.room || fresh
}

// part gives the least minutes for which a step is started that may be left
// midway: its setup, and half an hour or half of what is left.
func (c turn) part() float64 {
	likely := c.neck.Works[c.step].Estimate.LikelyMin
	setup := likely * c.neck.setup[c.step]
	return setup + min(leastPart, (likely-setup)/2)
}

// leavesRoom says whether a step leaves room for the glue-ups that close the
// evening.
func (w *graphWalk) leavesRoom(c turn, reserve float64) bool {
	need := c.safe
	if c.neck.Steps[c.step].Marks.Has(Resumable) {
		need = min(need, c.part())
	}
	return need+reserve <= c.room
}

// ahead says whether a, of the same neck or one later in the queue, comes
// before b: of one neck by the longer path behind.
func ahead(a, b turn) bool {
	return a.neck == b.neck && a.neck.behind[a.step] > b.neck.behind[b.step]
}

// work does a step, or what the room allows, and gives when it ends.
func (w *graphWalk) work(c turn, t, end, reserve float64) float64 {
	n, i := c.neck, c.step
	s := &n.Steps[i]
	if n.started[i] {
		n.resumed[i]++
	}
	n.started[i] = true
	w.dusty = w.dusty || s.Marks.Has(Dusty)
	need := n.set[i] + n.run[i]
	room := c.room
	if s.Marks.Has(Resumable) && reserve > 0 && s.HandledMin < closerMin {
		room = max(room-reserve, min(room, c.part()))
	}
	if need > room && !s.Marks.Has(NoStop) && !s.Marks.Has(IsErrand) {
		n.run[i] -= max(room-n.set[i], room/2) // a setup takes half of a turn at most, so that it ends
		w.took(n, i, room)
		return t + room*w.unlogged
	}
	t += need * w.unlogged
	w.took(n, i, need)
	n.run[i] = 0
	n.can = slices.DeleteFunc(n.can, func(k int) bool { return k == i })
	n.left--
	n.last = t
	w.cure(n, s, t)
	for _, a := range n.after[i] {
		if n.waits[a.Step]--; n.waits[a.Step] == 0 && !n.Steps[a.Step].Done {
			k, _ := slices.BinarySearch(n.can, a.Step)
			n.can = slices.Insert(n.can, k, a.Step)
		}
		n.ready[a.Step] = max(n.ready[a.Step], t+a.WaitMin)
	}
	return t
}

// took adds minutes worked on a step.
func (w *graphWalk) took(n *walkNeck, i int, minutes float64) {
	n.worked += minutes
	n.cost += minutes * n.Works[i].PerHour
}
