package jobs

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// A length that was measured comes back the same from each form it is written in.
func TestMeasuredRoundTrip(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 1000 {
		n := rng.IntN(64*12) - 64*6
		whole, part, sign := n/64, n%64, ""
		if n < 0 {
			whole, part, sign = -whole, -part, "-"
		}
		want := float64(n) / 64 * MMPerInch
		forms := map[string]string{
			fmt.Sprintf("%s%d %d/64in", sign, whole, part): "mm", fmt.Sprintf("%s%d %d/64", sign, whole, part): "in", fmt.Sprintf("%s%d-%d/64 \"", sign, whole, part): "mm",
			fmt.Sprintf("%.6f in", float64(n)/64): "mm", fmt.Sprintf("%.6f", float64(n)/64): "in", fmt.Sprintf("%.7f", want): "mm", fmt.Sprintf("%.7fmm", want): "in",
		}
		for typed, unit := range forms {
			mm, err := ParseMeasured("mark", typed, unit)
			if err != nil || math.Abs(mm-want) > 5e-5 {
				t.Fatalf("seed %d: %q in %s reads %v (%v), want %v", seed, typed, unit, mm, err, want)
			}
		}
	}
	for _, bad := range []string{"", "-", "--3", "x", "1/2mm", "3 4in", "nan", "in"} {
		if mm, err := ParseMeasured("mark", bad, "mm"); err == nil {
			t.Errorf("%q reads %v", bad, mm)
		}
	}
}
