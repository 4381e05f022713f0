package layout

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Against exact rationals, 1 in = 25.4 mm (international yard and pound agreement, 1959):
// thousandths come from the exact value, whatever its text in millimetres was rounded to.
func TestInchesFromTheExactValue(t *testing.T) {
	const seed = 640
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 2000 {
		n := 1 + rng.Int64N(2_500_000)
		mm := float64(n) / 1e4
		want := new(big.Rat).Quo(big.NewRat(n, 1e4), big.NewRat(254, 10)).FloatString(3)
		x := Inches{}
		text := x.keep(fmt.Sprintf("from %s to %s mm, %s mm left", tenth(mm), tenthsOf(mm), exact(fmt.Sprintf("%.2f", mm), mm)))[0]
		if rounded := fmt.Sprintf("from %.1f to %s mm, %.2f mm left", mm, tenths(mm), mm); text != rounded {
			t.Fatalf("seed %d: %v reads %q", seed, mm, text)
		}
		// The last of these stands alone, so it may have its fraction.
		if got, full := x[text], fmt.Sprintf("from %s to %s in, %s in", want, want, want); got != full+SixtyFourths(mm)+" left" && got != full+" left" {
			t.Errorf("seed %d: %v reads %q, want %q", seed, mm, got, full)
		}
	}
}
