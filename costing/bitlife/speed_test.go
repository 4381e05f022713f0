package bitlife

import (
	"math"
	"strings"
	"testing"

	"bookmatch/jobs"
)

// n = 1000 v / (pi d). A published drilling example: 12 mm at 1350 per minute is
// 50.9 m/min; v 50 at d 15 gives 1061.03; v 50 d 10 gives 1591.55, v 30 d 10
// 954.93 (recomputed). In inches: 3/8 in at 90 SFM is 917 per minute (published
// with the rounded constant 3.82; exact 916.73).
func TestSpindleSpeed(t *testing.T) {
	for _, c := range []struct{ v, d, n float64 }{{50, 15, 1061.03295}, {50, 10, 1591.54943}, {30, 10, 954.92966}, {90 * 12 * 25.4 / 1000, 9.525, 916.7325}, {50.893801, 12, 1350}} {
		if got := SpindleSpeed(c.v, c.d); math.Abs(got-c.n) > 1e-4 {
			t.Errorf("v %v d %v: %v, want %v", c.v, c.d, got, c.n)
		}
	}
	if SpindleSpeed(40, 0) != 0 {
		t.Error("no diameter, no speed")
	}
}

func TestAdviseDrilling(t *testing.T) {
	steps := []int{2600, 500, 900, 1400, 2000}
	maple := jobs.NewWoodTable(jobs.SeedWoods())["hard-maple"]
	poplar := jobs.NewWoodTable(jobs.SeedWoods())["poplar"]
	for _, c := range []struct {
		d     float64
		point string
		wood  jobs.Wood
		step  int
	}{{10, "brad", maple, 900}, {10, "brad", poplar, 2000}, {6, "twist", maple, 2000}, {35, "forstner", maple, 500}} {
		a := AdviseDrilling(jobs.Bit{DiameterMM: c.d, Point: c.point}, c.wood, steps)
		if a.Step != c.step || len(a.Cautions) < 2 {
			t.Errorf("%v mm %s in %s: %+v, want step %d", c.d, c.point, c.wood.Name, a, c.step)
		}
	}
	if a := AdviseDrilling(jobs.Bit{DiameterMM: 35, Point: "forstner"}, maple, steps); !strings.Contains(a.Cautions[1], "slowest step") {
		t.Errorf("above the speed for the bit: %v", a.Cautions)
	}
	if a := AdviseDrilling(jobs.Bit{DiameterMM: 10, Point: "brad"}, maple, nil); a.Step != 0 {
		t.Errorf("no steps known: %+v", a)
	}
}
