package schedule

import (
	"fmt"
	"testing"
	"time"
)

// TestPlanInvariants holds what must be true of every plan: no rule is broken
// when it is replayed, and more room never lowers its points.
func TestPlanInvariants(t *testing.T) {
	m := newShopMaker(t, 4)
	for round := range rounds(25, 120) {
		s := m.situation(2+m.IntN(4), 60+m.IntN(120))
		if m.IntN(2) == 0 {
			shut(m, &s)
		}
		p := Propose(s)
		if _, err := replay(s, p); err != nil {
			t.Errorf("situation %d: %v", round, err)
		}
		sum := 0
		for _, l := range p.Lines {
			sum += l.Points
		}
		if sum != p.Points+p.FillerPoints {
			t.Errorf("situation %d: the lines add up to %d, the plan has %d + %d", round, sum, p.Points, p.FillerPoints)
		}
		if len(p.Waiting)+planned(p) != len(s.Necks) {
			t.Errorf("situation %d: %d necks wait and %d are planned of %d", round, len(p.Waiting), planned(p), len(s.Necks))
		}
		more := func(what string, change func(*Situation)) {
			c := clone(s)
			change(&c)
			if q := Propose(c); p.Gap == 0 && q.Gap == 0 && q.Points < p.Points {
				t.Errorf("situation %d: %s lowers %d points to %d", round, what, p.Points, q.Points)
			}
		}
		more("more time", func(c *Situation) { c.Evening.Minutes += 20 })
		more("one clamp set more", func(c *Situation) { c.Evening.ClampSets++ })
		more("a later quiet hour", func(c *Situation) { c.Evening.NoiseUntil += 15 })
		more("a later tired hour", func(c *Situation) { c.Evening.MachinesUntil += 15 })
		more("a gate met", func(c *Situation) {
			for k := range c.Necks {
				for i := range c.Necks[k].Steps {
					c.Necks[k].Steps[i].Shut = nil
				}
			}
		})
		c := clone(s)
		c.Necks[0].Code, c.Necks[1].Code = c.Necks[1].Code, c.Necks[0].Code
		if q := Propose(c); p.Gap == 0 && q.Gap == 0 && q.Points != p.Points {
			t.Errorf("situation %d: two necks with their codes swapped have %d points, not %d", round, q.Points, p.Points)
		}
		if q := Propose(s); len(q.Lines) != len(p.Lines) || q.Points != p.Points {
			t.Errorf("situation %d: the same values give another plan", round)
		}
	}
}

// TestDoingAStepNeverRaisesR does every step that could begin, at any minute of
// the evening.
func TestDoingAStepNeverRaisesR(t *testing.T) {
	m := newShopMaker(t, 5)
	for range rounds(100, 1000) {
		s := m.situation(1, 120)
		n := s.Necks[0]
		_, _, before, _ := Remaining(n, s.Evening)
		b := newBench(s)
		steps := b.can[0]
		for _, i := range steps {
			c := clone(s)
			c.Necks[0].Steps[i].Done, c.Necks[0].Steps[i].DoneMin = true, float64(m.IntN(120))
			if _, _, after, _ := Remaining(c.Necks[0], s.Evening); after > before+1e-9 {
				t.Fatalf("doing %s raises R from %v to %v", n.Steps[i].Name, before, after)
			}
		}
	}
}

// TestEmptyAndOddEvenings asks for plans that hold nothing.
func TestEmptyAndOddEvenings(t *testing.T) {
	m := newShopMaker(t, 6)
	full := m.situation(3, 100)
	none := clone(full)
	none.Necks = nil
	short := clone(full)
	short.Evening.Minutes = 0
	alone := clone(full)
	alone.Evening.Later = nil
	loop := clone(full)
	loop.Necks[0].Steps[0].Needs = []Need{{Step: 0}}
	for name, s := range map[string]Situation{"no necks": none, "no time": short} {
		if p := Propose(s); len(p.Lines) != 0 || p.Points != 0 || p.Gap != 0 {
			t.Errorf("%s: %+v", name, p)
		}
	}
	if p := Propose(alone); p.Points < 0 {
		t.Errorf("no later evenings: %+v", p)
	}
	if p := Propose(loop); len(p.Loops) != 1 || p.Loops[0] != "a" {
		t.Errorf("a loop: %+v", p.Loops)
	}
}

// TestWideRoute plans a neck with many short steps that wait for nothing: the
// list of choices is cut, and the gap says what that may cost.
func TestWideRoute(t *testing.T) {
	m := newShopMaker(t, 10)
	s := m.situation(2, 120)
	var wide Neck
	for i := range 40 {
		wide.Steps = append(wide.Steps, Step{Name: fmt.Sprintf("s%d", i), Operation: fmt.Sprintf("s%d", i), SafeRunMin: 9 + i%7, MeanRunMin: 8 + float64(i%5), Left: 1})
	}
	wide.Code, wide.Weight = "wide", 1
	s.Necks = append(s.Necks, wide)
	from := time.Now()
	p := Propose(s)
	if _, err := replay(s, p); err != nil {
		t.Error(err)
	}
	if took := time.Since(from); took > 20*time.Second || p.Points == 0 || p.Gap < 0 || p.Gap > 10 {
		t.Errorf("%v, %d points, gap %g", took, p.Points, p.Gap)
	}
	t.Logf("%d lines, %d points, gap %.2f, %d nodes", len(p.Lines), p.Points, p.Gap, p.Nodes)
}

func planned(p Proposal) int {
	codes := map[string]bool{}
	for _, l := range p.Lines {
		codes[l.Neck] = true
	}
	return len(codes)
}

// shut closes the gate of some steps, some of them for a while.
func shut(m *shopMaker, s *Situation) {
	for k := range s.Necks {
		for i := range s.Necks[k].Steps {
			if m.IntN(8) == 0 {
				s.Necks[k].Steps[i].Shut = &Shut{"a record is missing", float64(m.IntN(200) - 100)}
			}
		}
	}
}

func clone(s Situation) Situation {
	s.Necks = append([]Neck(nil), s.Necks...)
	for k := range s.Necks {
		s.Necks[k].Steps = append([]Step(nil), s.Necks[k].Steps...)
	}
	return s
}
