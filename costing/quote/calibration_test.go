package quote

import (
	"math"
	"strings"
	"testing"
)

func TestCalibrationVerdict(t *testing.T) {
	under := func(k, n int) []Kept {
		var out []Kept
		for i := range n {
			x := Kept{Quote: "Q", Mean: 10, P50: 9.5, P80: 12, Actual: 11}
			if i >= k {
				x.Actual = 14
			}
			out = append(out, x)
		}
		return out
	}
	for _, c := range []struct {
		k, n int
		want string
	}{{0, 0, "No finished neck"}, {0, 1, "too few to tell"}, {0, 2, "too few to tell"}, {0, 3, "too bold"}, {6, 10, "no proof of bias"}, {8, 10, "no proof of bias"}, {2, 10, "too bold"}, {60, 60, "wider than"}} {
		if got := Calibrate(under(c.k, c.n)).Verdict; !strings.Contains(got, c.want) {
			t.Errorf("%d of %d: %q, want %q", c.k, c.n, got, c.want)
		}
	}
	// By hand: 0.2, 0.2 squared, 0.2 cubed; 0.8 to the tenth.
	for _, c := range []struct {
		k, n int
		want float64
	}{{0, 1, 0.2}, {0, 2, 0.04}, {0, 3, 0.008}, {10, 10, 0.1073741824}} {
		if got := binomialTail(c.k, c.n, 0.8); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("tail of %d of %d: %v, want %v", c.k, c.n, got, c.want)
		}
	}
	c := Calibrate([]Kept{{Quote: "Q1", Mean: 10, Actual: 12, P80: 13, Own: 8}, {Quote: "Q2", Mean: 10, Actual: 12, P80: 11}})
	if math.Abs(c.Ratio-1.2) > 1e-12 || math.Abs(c.OwnRatio-1.5) > 1e-12 || c.OwnCount != 1 {
		t.Errorf("%+v", c)
	}
}
