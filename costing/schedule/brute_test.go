package schedule

import (
	"math"
	"os"
	"strings"
	"testing"
)

// rounds gives how many random situations a test looks at: few, or many in the
// long run (BOOKMATCH_LONG=1).
func rounds(few, many int) int {
	if os.Getenv("BOOKMATCH_LONG") != "" {
		return many
	}
	return few
}

// TestProposeAgreesWithEverySequence compares the search with every sequence
// of steps of random situations: the points must be equal in all.
func TestProposeAgreesWithEverySequence(t *testing.T) {
	m := newShopMaker(t, 1)
	want := rounds(60, 1000)
	var sequences, quiet, films, timed, long, shared int
	for seen := 0; seen < want; {
		s := m.situation(1+m.IntN(4), 40+m.IntN(71))
		if n := startableSteps(s); n < 4 || n > 13 {
			continue
		}
		best, n, ok := everySequence(s, 20_000)
		if !ok {
			continue
		}
		seen++
		sequences += n
		p := Propose(s)
		if p.Points != best || p.Gap != 0 {
			t.Errorf("situation %d: %d points with gap %g, every sequence gives %d\n%s\n%+v", seen, p.Points, p.Gap, best, strings.Join(planText(p), "\n"), s.Evening)
		}
		if _, err := replay(s, p); err != nil {
			t.Errorf("situation %d: %v\n%s", seen, err, strings.Join(planText(p), "\n"))
		}
		// What the situations have in them.
		b := newBench(s)
		if s.Evening.NoiseUntil < s.Evening.Minutes {
			quiet++
		}
		count := func(n *int, ok bool) {
			if ok {
				*n++
			}
		}
		var isFilm, isTimed, isLong bool
		for k := range b.necks {
			list, _, _ := b.choices(k)
			for _, c := range list {
				isFilm, isTimed = isFilm || c.marks.Has(Wet), isTimed || c.timed
				for _, it := range c.items {
					isLong = isLong || it.share < 1
				}
			}
		}
		count(&films, isFilm)
		count(&timed, isTimed)
		count(&long, isLong)
		count(&shared, p.Sessions < len(p.Lines))
	}
	t.Logf("%d situations, %d sequences; %d with a quiet hour inside, %d with a film, %d where ends move the worth, %d with a long step by part, %d with a shared setup", want, sequences, quiet, films, timed, long, shared)
}

// TestRemainingAgreesWithPlainRecursion compares R with a second
// implementation.
func TestRemainingAgreesWithPlainRecursion(t *testing.T) {
	m := newShopMaker(t, 2)
	for range rounds(300, 3000) {
		s := m.situation(1, 60)
		n := s.Necks[0]
		done := map[int]float64{}
		for i, st := range n.Steps {
			if st.Done {
				done[i] = st.DoneMin
			}
		}
		_, _, r, ok := Remaining(n, s.Evening)
		if want := plainRemaining(n, plainLater(s.Evening), done, nil, 1); !ok || math.Abs(r-want) > 1e-6 {
			t.Fatalf("R %v (%v), plain recursion %v", r, ok, want)
		}
	}
}

// TestBoundIsNeverUnderTheOptimum checks the knapsack bound.
func TestBoundIsNeverUnderTheOptimum(t *testing.T) {
	m := newShopMaker(t, 3)
	for range rounds(60, 600) {
		s := m.situation(1+m.IntN(4), 40+m.IntN(120))
		b := newBench(s)
		found := b.find()
		bound := 0
		all := make([][]*choice, len(b.necks))
		for k := range b.necks {
			all[k], _, _ = b.choices(k)
		}
		root := &search{bench: b, choices: all}
		root.bounds()
		bound = root.bound[0][max(b.overnight, 0)][s.Evening.Minutes]
		if found.plan.points > bound {
			t.Fatalf("the best plan has %d points, the bound is %d", found.plan.points, bound)
		}
	}
}
