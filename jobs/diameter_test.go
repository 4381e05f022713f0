package jobs

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"
)

func TestParseDiameter(t *testing.T) {
	// 1 in = 25.4 mm exactly (international inch).
	good := []struct {
		in   string
		mm   float64
		text string
	}{
		{"10", 10, "10mm"}, {"10mm", 10, "10mm"}, {" 9.5 MM ", 9.5, "9.5mm"}, {"9,5", 9.5, "9.5mm"},
		{"0.5in", 12.7, "0.5in"}, {`.5"`, 12.7, ".5in"}, {"1/2in", 12.7, "1/2in"}, {"1/2 inch", 12.7, "1/2in"},
		{"13/32in", 10.31875, "13/32in"}, {"25/64in", 9.921875, "25/64in"}, {`25/64"`, 9.921875, "25/64in"},
		{"1-1/8in", 28.575, "1-1/8in"}, {`1 1/8"`, 28.575, "1 1/8in"}, {"0.5mm", 0.5, "0.5mm"},
	}
	for _, c := range good {
		mm, text, err := ParseDiameter(c.in)
		if err != nil || math.Abs(mm-c.mm) > 1e-9 || text != c.text {
			t.Errorf("%q: got %v %q %v, want %v %q", c.in, mm, text, err, c.mm, c.text)
		}
	}
	bad := map[string]string{
		"": "a size such as", "0.5": "0.5in or 0.5mm", ".5": "the unit", "1/2": "1/2in", "13/32": "13/32in", "25/64mm": "as a decimal",
		"-10": "a size", "10 10": "a size", "1/0in": "a size", "9/8/2in": "a size", "1 9/8in": "a size", "nan": "a size", "1e3": "a size",
		"200": "from 0.3 to 120 mm", "0in": "from 0.3", "10cm": "a size", "in": "a size", strings.Repeat("1", 40): "a size",
	}
	for in, want := range bad {
		_, _, err := ParseDiameter(in)
		if !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want a field error that says %q", in, err, want)
		}
	}
}

func FuzzParseDiameter(f *testing.F) {
	for _, s := range []string{"10", "9,5mm", "25/64in", `.5"`, "1 1/8in", "0.5", "1/2", "''", "1-in", "٣mm", `,8888888887988888888887"`, "0,88888888888888888\"", "0.888888888888888888inches"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		mm, text, err := ParseDiameter(s)
		if err != nil {
			if !errors.Is(err, ErrInvalid) {
				t.Fatalf("%q: %v is no field error", s, err)
			}
			return
		}
		if !(mm >= MinDiameterMM && mm <= MaxDiameterMM) {
			t.Fatalf("%q: %v mm is out of range", s, mm)
		}
		again, label, err := ParseDiameter(text)
		if err != nil || again != mm || label != text {
			t.Fatalf("%q: its own label %q reads as %v %q %v, not %v", s, text, again, label, err, mm)
		}
	})
}

// The fractional sizes of ASME B94.11M, jobber length: 1/64 to 1 in by 64ths, typed as
// they are written, are exact (1 in = 25.4 mm). What a table of drill sizes prints for
// some of them ("Metric, Inch, & Fractional Inch: Drills, Sizes, Threads", version 2 of
// 2007, public domain) is within its rounding.
func TestDrillSizesOfTheStandard(t *testing.T) {
	printed := map[string]struct{ mm, in float64 }{"1/64": {0.396, 0.0156}, "1/32": {0.792, 0.0312}, "3/64": {1.191, 0.0469}, "1/16": {1.588, 0.0625}}
	met := 0
	for n := int64(1); n <= 64; n++ {
		size := big.NewRat(n, 64)
		want, _ := new(big.Rat).Mul(size, big.NewRat(254, 10)).Float64()
		for _, typed := range []string{size.RatString() + "in", size.RatString() + `"`, size.FloatString(6) + "in"} {
			mm, text, err := ParseDiameter(typed)
			if err != nil || math.Abs(mm-want) > 5e-7 { // kept to a millionth
				t.Errorf("%s: %v %q %v, want %v", typed, mm, text, err, want)
			}
			if p, ok := printed[size.RatString()]; ok {
				met++
				if math.Abs(mm-p.mm) > 0.002 || math.Abs(mm/25.4-p.in) > 0.00006 {
					t.Errorf("%s: %v mm, the table prints %v mm, %v in", typed, mm, p.mm, p.in)
				}
			}
		}
	}
	if met != 3*len(printed) {
		t.Errorf("%d printed sizes were met, want %d", met, 3*len(printed))
	}
}
