package bitlife

import (
	"math"
	"testing"

	"bookmatch/jobs"
)

// Wilson 1927; values recomputed, equal to those printed by Newcombe (Statistics
// in Medicine 17:857-872, 1998) to four digits (print from memory); 4 of 20 at
// 90 % uses the inputs of NIST e-Handbook 7.2.4.2.
func TestWilson(t *testing.T) {
	const z90 = 1.6448536269514722
	for _, c := range []struct {
		hits, n   int
		z         float64
		low, high float64
	}{
		{81, 263, Z95, .25528852, .36620958}, {15, 148, Z95, .06238640, .16048724}, {0, 20, Z95, 0, .16112516}, {1, 29, Z95, .00611321, .17175522},
		{29, 29, Z95, .88303020, 1}, {23, 60, Z95, .27088272, .50982404}, {340, 400, Z95, .81168639, .88165500}, {4, 20, z90, .0931180166, .3783766858},
		{4, 20, Z95, .08065766, .41601743}, {0, 1, Z95, 0, .79345069}, {5, 10, Z95, .23659309, .76340691}, {0, 0, Z95, 0, 1},
	} {
		if low, high := Wilson(c.hits, c.n, c.z); math.Abs(low-c.low) > 1e-8 || math.Abs(high-c.high) > 1e-8 {
			t.Errorf("%d/%d: %.8f to %.8f, want %.8f to %.8f", c.hits, c.n, low, high, c.low, c.high)
		}
	}
}

func TestTearOutByConditions(t *testing.T) {
	b := bookOf(0)
	rim := func(in, out int, backing, wood string) {
		id := uint64(len(b.Uses) + 1)
		u := jobs.BitUse{ID: id, Bit: "S10-1", Edge: 1, On: shopDay.AddDate(0, 0, int(id)), Holes: 6, Layers: []jobs.Layer{{Wood: wood, DepthMM: 15}}, Backing: jobs.Backing{State: backing}}
		if in >= 0 {
			u.GradeIn = &in
		}
		if out >= 0 {
			u.GradeOut = &out
		}
		b.Uses = append(b.Uses, u)
	}
	for range 9 {
		rim(0, 0, jobs.BackingTight, "hard-maple")
	}
	rim(0, 2, jobs.BackingTight, "hard-maple")
	rim(1, 3, jobs.BackingLoose, "wenge")
	rim(-1, 2, jobs.BackingLoose, "wenge")
	rim(-1, -1, jobs.BackingNone, "wenge") // not seen is not clean
	got := map[string][2]int{}
	for _, r := range TearOut(b) {
		got[r.By+" "+r.Value] = [2]int{r.Torn, r.Rims}
		if !(r.Low <= r.Share && r.Share <= r.High) {
			t.Errorf("%+v", r)
		}
	}
	for k, want := range map[string][2]int{"backing, exit tight": {1, 10}, "backing, exit loose": {2, 2}, "backing, entry tight": {0, 10}, "point brad": {3, 23},
		"wood hard-maple": {1, 20}, "wood wenge": {2, 3}, "age 1st third of the expected life": {0, 9}} {
		if got[k] != want {
			t.Errorf("%s: %v of %v, want %v", k, got[k][0], got[k][1], want)
		}
	}
	if _, ok := got["backing, exit none"]; ok {
		t.Error("a rim that nobody saw was counted")
	}
}
