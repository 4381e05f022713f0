package reports

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"

	"bookmatch/jobs"
)

func TestInText(t *testing.T) {
	for _, c := range []struct{ mm, in string }{
		{"no show bit of 10 mm; the nearest is S9, 9.0 mm.", "no show bit of 0.394 in (25/64); the nearest is S9, 0.354 in."},
		{"the tuners clamp 11 to 16 mm", "the tuners clamp 0.433 to 0.630 in"},
		{"an offcut of 200 x 80 mm, 3.2 mm thick", "an offcut of 7.874 x 3.150 in, 0.126 in (1/8) thick"},
		{"25.4 mm and -0.5 mm", "1.000 in and -0.020 in"},
		{"10mm brad on bit S10mm", "0.394 in (25/64) brad on bit S10mm"},
		{"a void of .25mm", "a void of .25mm"},
		{"140 cm2 of glue, 6 mm2", "140 cm2 of glue, 6 mm2"},
		{"Both bars must be 100.0 mm.", "Both bars must be 100.0 mm."},
		{"at posts.first_mm 47 it is 2 mm outside", "at posts.first_mm 47 it is 2 mm outside"},
		{"No bit of 10 mm. Type: bit add S1 --diameter 10mm", "No bit of 0.394 in (25/64). Type: bit add S1 --diameter 10mm"},
	} {
		if got := InText(jobs.Inches, c.mm); got != c.in {
			t.Errorf("%s\n reads %s\n want  %s", c.mm, got, c.in)
		}
		if got := InText("", c.mm); got != c.mm {
			t.Errorf("a shop in mm reads %s", got)
		}
	}
}

// Against exact rationals, 1 in = 25.4 mm (international yard and pound agreement,
// 1959): the decimals are the nearest thousandth, and a fraction names a sixty-fourth
// that is at most 0.1 mm off.
func TestInchesAreExact(t *testing.T) {
	const seed = 254
	rng := rand.New(rand.NewPCG(seed, 1))
	form := regexp.MustCompile(`^(\d+\.\d{3}) in(?: \((?:(\d+) )?(\d+)/(\d+)\))?$`)
	for range 2000 {
		hundredths := 1 + rng.Int64N(60_000)
		text := fmt.Sprintf("%d.%02d mm", hundredths/100, hundredths%100)
		exact := big.NewRat(hundredths*10, 254*100)
		m := form.FindStringSubmatch(InText(jobs.Inches, text))
		if m == nil {
			t.Fatalf("seed %d: %s reads %q", seed, text, InText(jobs.Inches, text))
		}
		if want := exact.FloatString(3); m[1] != want {
			t.Errorf("seed %d: %s reads %s, want %s", seed, text, m[1], want)
		}
		if m[4] == "" {
			continue
		}
		whole, _ := strconv.ParseInt("0"+m[2], 10, 64)
		num, _ := strconv.ParseInt(m[3], 10, 64)
		den, _ := strconv.ParseInt(m[4], 10, 64)
		off := new(big.Rat).Sub(new(big.Rat).Add(big.NewRat(whole, 1), big.NewRat(num, den)), exact)
		if mm, _ := new(big.Rat).Mul(off, big.NewRat(254, 10)).Float64(); math.Abs(mm) > 0.1 || 64%den != 0 || num%2 == 0 {
			t.Errorf("seed %d: %s is named %v", seed, text, m[0])
		}
	}
}
