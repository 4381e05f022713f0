package schedule

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bookmatch/jobs"
)

// tonightBook is the planner at work: which steps of which neck are taken into
// the evening, before the closing ones and as closing ones.
type tonightBook struct {
	t          Tonight
	necks      []tonightNeck
	free       int // sets of clamps
	clamps     *Gate
	wet        *Gate
	quietAfter time.Time // zero: none
}

// pick is how many steps of each neck are taken: steps before the closing one,
// and whether that follows. Decisions may be taken out of their order.
type pick struct {
	before  []int
	part    []float64 // above zero: only so much of the last step before
	closes  []bool
	decides [][]int // indexes of decisions taken ahead of their turn
}

func (b *tonightBook) empty() pick {
	n := len(b.necks)
	return pick{make([]int, n), make([]float64, n), make([]bool, n), make([][]int, n)}
}

func (p pick) clone() pick {
	q := pick{slices.Clone(p.before), slices.Clone(p.part), slices.Clone(p.closes), make([][]int, len(p.decides))}
	for i := range p.decides {
		q.decides[i] = slices.Clone(p.decides[i])
	}
	return q
}

// order of the work before the closing: noise while it may be made, then what
// is quiet, decisions last.
func tonightRank(k jobs.Operation) int {
	switch {
	case k.Noise:
		return 0
	case k.Decide:
		return 2
	}
	return 1
}

// sitting is one line before it is laid out in time.
type session struct {
	operation jobs.Operation
	parts     []part
	ahead     bool // a decision before its turn
}

type part struct{ neck, step int }

// build lays a pick out in time: every sitting gets its safe minutes, the
// closing ones come last. why names what does not fit; a nil error value in why
// means that all does.
func (b *tonightBook) build(p pick) (lines []TonightLine, why *Gate) {
	cursor := b.t.start()
	pos := make([]int, len(b.necks))
	avail := make([]time.Time, len(b.necks))
	taken := make([]map[int]bool, len(b.necks))
	for i, n := range b.necks {
		avail[i] = n.avail
		taken[i] = map[int]bool{}
	}
	dusty := b.t.DustTonight
	lay := func(s session, closing bool) *Gate {
		line := b.line(s, p)
		start := cursor
		for _, x := range s.parts {
			if !s.ahead && avail[x.neck].After(start) {
				start = avail[x.neck]
			}
		}
		end := start.Add(time.Duration(line.SafeMin) * time.Minute)
		if s.operation.Noise && !b.quietAfter.IsZero() && end.After(b.quietAfter) {
			return &Gate{"noise curfew " + b.t.Shop.QuietAfter.String(), b.visit()}
		}
		if end.After(b.t.Until) {
			return &Gate{fmt.Sprintf("time: %.0f min to be safe, %.0f are left", line.SafeMin, math.Max(0, math.Floor(b.t.Until.Sub(start).Minutes()))), b.visit()}
		}
		if s.operation.Dust {
			if b.wet != nil && b.wet.Lifts.After(start) {
				return b.wet
			}
			dusty = s.operation.Name
		}
		line.Starts, line.EndsBy, line.Closes = start, end, closing
		cursor = end
		for _, x := range s.parts {
			if !s.ahead {
				pos[x.neck]++
				avail[x.neck] = end.Add(time.Duration(s.operation.CureMin * float64(time.Minute)))
			}
			taken[x.neck][x.step] = true
		}
		if s.operation.CureMin > 0 {
			_, full, _ := s.operation.Cure(b.t.Shop, nil)
			until := end.Add(full)
			line.CureUntil = &until
		}
		lines = append(lines, line)
		return nil
	}
	for {
		s, ok := b.nextSession(p, pos, taken, avail, cursor)
		if !ok {
			break
		}
		if why := lay(s, false); why != nil {
			return nil, why
		}
	}
	free := b.free
	for _, s := range b.closing(p) {
		if free -= s.operation.Clamps * len(s.parts); free < 0 {
			if b.clamps != nil {
				return nil, b.clamps
			}
			return nil, &Gate{fmt.Sprintf("clamps: it takes %d, there are %d", b.free-free, b.free), nil}
		}
		if s.operation.Wet && dusty != "" {
			return nil, &Gate{fmt.Sprintf("film: dust from %s tonight", dusty), b.visit()}
		}
		if why := lay(s, true); why != nil {
			return nil, why
		}
	}
	return lines, nil
}

func (b *tonightBook) visit() *time.Time {
	if b.t.NextVisit.IsZero() {
		return nil
	}
	at := b.t.NextVisit
	return &at
}

// nextSitting chooses what comes next before the closing: of the steps at the
// head of each neck the noisy one first, then by leverage; necks with the same
// operation at their head share the set-up.
func (b *tonightBook) nextSession(p pick, pos []int, taken []map[int]bool, avail []time.Time, cursor time.Time) (session, bool) {
	best, rank := -1, 9
	for i, n := range b.necks {
		for taken[i][pos[i]] {
			pos[i]++ // a decision taken ahead of its turn
		}
		if pos[i] < p.before[i] {
			// What waits for a short cure comes after what need not.
			r := tonightRank(n.steps[pos[i]].operation)
			if avail[i].After(cursor) {
				r += 3
			}
			if r < rank {
				best, rank = i, r
			}
		}
	}
	if best < 0 || rank >= 2 {
		for i := range b.necks {
			for _, k := range p.decides[i] {
				if !taken[i][k] {
					return session{b.necks[i].steps[k].operation, []part{{i, k}}, true}, true
				}
			}
		}
	}
	if best < 0 {
		return session{}, false
	}
	operation := b.necks[best].steps[pos[best]].operation
	s := session{operation: operation}
	for i, n := range b.necks {
		if pos[i] < p.before[i] && n.steps[pos[i]].operation.Name == operation.Name && (i == best || !avail[i].After(cursor) || !avail[i].After(avail[best])) {
			s.parts = append(s.parts, part{i, pos[i]})
		}
	}
	return s, true
}

// closing gives the closing sittings, films after glue so that nothing is
// handled beside them.
func (b *tonightBook) closing(p pick) []session {
	var out []session
	for _, wet := range []bool{false, true} {
		for i, n := range b.necks {
			if !p.closes[i] || n.steps[p.before[i]].operation.Wet != wet {
				continue
			}
			operation := n.steps[p.before[i]].operation
			at := slices.IndexFunc(out, func(s session) bool { return s.operation.Name == operation.Name })
			if at < 0 {
				out = append(out, session{operation: operation})
				at = len(out) - 1
			}
			out[at].parts = append(out[at].parts, part{i, p.before[i]})
		}
	}
	return out
}

// line estimates a sitting as a whole: one set-up, all its quantity. Minutes
// are rounded up to whole ones, so that what is printed is what was planned
// with.
func (b *tonightBook) line(s session, p pick) TonightLine {
	l := TonightLine{Operation: s.operation.Name, steps: map[string]int{}}
	done, weight := 0.0, 0.0
	for _, x := range s.parts {
		n, st := b.necks[x.neck], b.necks[x.neck].steps[x.step]
		l.Necks, l.Names = append(l.Necks, n.code), append(l.Names, n.name)
		l.steps[n.code] = st.no
		if part := p.part[x.neck]; part > 0 && x.step == p.before[x.neck]-1 {
			l.Part, l.of, st.q, st.doneMin = true, st.q, part, 0
		}
		l.Quantity += st.q
		weight += st.q * st.difficulty
		done += st.doneMin
		for _, need := range st.needs {
			if !slices.Contains(l.Needs, need) {
				l.Needs = append(l.Needs, need)
			}
		}
	}
	difficulty := 1.0
	if l.Quantity > 0 {
		difficulty = weight / l.Quantity
	}
	l.LikelyMin, l.SafeMin, l.mean, l.Basis = b.t.minutes(s.operation.Name, l.Quantity, difficulty, done)
	l.LikelyMin, l.SafeMin = math.Ceil(l.LikelyMin), math.Ceil(l.SafeMin)
	return l
}
