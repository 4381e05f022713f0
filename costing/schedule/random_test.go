package schedule

import (
	"math/rand/v2"
	"testing"
)

// shopMaker draws situations from the necks of the cases, each at a random
// point of its work.
type shopMaker struct {
	*rand.Rand
	necks []Neck
}

func newShopMaker(t testing.TB, seed uint64) *shopMaker {
	m := &shopMaker{Rand: rand.New(rand.NewPCG(seed, 16))}
	for _, s := range readCases(t).situations(t) {
		m.necks = append(m.necks, s.Necks...)
	}
	return m
}

// neck draws a neck: its steps in a random order that keeps the needs, some of
// them done, the last four perhaps a short while ago.
func (m *shopMaker) neck(code string) Neck {
	n := m.necks[m.IntN(len(m.necks))]
	n.Code, n.Weight = code, 1+m.IntN(4)
	n.Steps = append([]Step(nil), n.Steps...)
	for i := range n.Steps {
		n.Steps[i].Done = false
	}
	at := -20000.0
	done := m.IntN(len(n.Steps))
	if m.IntN(4) == 0 {
		done = len(n.Steps) - 1 - m.IntN(13) // the coats of a neck that has them
	}
	for k := range done {
		var ready []int
		for i := range n.Steps {
			ok := !n.Steps[i].Done
			for _, nd := range n.Steps[i].Needs {
				ok = ok && n.Steps[nd.Step].Done
			}
			if ok {
				ready = append(ready, i)
			}
		}
		s := &n.Steps[ready[m.IntN(len(ready))]]
		s.Done, s.DoneMin = true, at
		if left := done - k; left < 4 && m.IntN(3) == 0 {
			at = max(at, float64(-10-m.IntN(3000*left)))
			s.DoneMin = at
		}
	}
	return n
}

// evening draws an evening. One in three has the next evening a day away, so
// that a cure may or may not be over by then.
func (m *shopMaker) evening(minutes int) Evening {
	e := Evening{Minutes: minutes, NoiseUntil: minutes, MachinesUntil: minutes, ClampSets: 1 + m.IntN(4), DustFreeRoom: m.IntN(5) == 0, Unlogged: 1.16, UsualMin: 150}
	if m.IntN(3) > 0 {
		e.NoiseUntil = m.IntN(minutes + 1)
	}
	if m.IntN(5) == 0 {
		e.MachinesUntil = m.IntN(minutes + 1)
	}
	first := 2880.0
	if m.IntN(3) == 0 {
		first = float64(960 + m.IntN(600))
	}
	for week := range 4 {
		for _, day := range []float64{0, 2880} {
			from := first + float64(week)*weekMin + day
			e.Later = append(e.Later, Window{from, from + 150})
		}
	}
	return e
}

// situation draws an evening with so many necks.
func (m *shopMaker) situation(necks, minutes int) Situation {
	s := Situation{Evening: m.evening(minutes)}
	for k := range necks {
		s.Necks = append(s.Necks, m.neck(string(rune('a'+k))))
	}
	return s
}

// startableSteps counts the steps of a situation that could begin.
func startableSteps(s Situation) (n int) {
	b := newBench(s)
	for k := range b.necks {
		n += len(b.can[k])
	}
	return n
}
