package jobs

import (
	"math"
	"testing"
)

// Sizes as tables of drills print them in millimetres, from ASME B94.11M.
func TestNumberedAndLetteredDrills(t *testing.T) {
	for typed, want := range map[string]float64{
		"#1": 5.791, "no 7": 5.105, "#7": 5.105, "No. 21": 4.039, "#29": 3.454, "number 30": 3.264, "#36": 2.705, "no40": 2.489, "#50": 1.778, "#53": 1.511, "#60": 1.016, "#80": 0.343,
		"A": 5.944, "e": 6.350, "letter F": 6.528, "F": 6.528, "Q": 8.433, "Z": 10.490,
	} {
		mm, label, err := ParseDiameter(typed)
		if err != nil || math.Abs(mm-want) > 0.0006 {
			t.Errorf("%s: %v %v, want %v", typed, mm, err, want)
		}
		if again, _, err := ParseDiameter(label); err != nil || again != mm {
			t.Errorf("%s: its label %q reads %v %v", typed, label, again, err)
		}
	}
	last := 0.0
	for i := len(numberDrills) - 1; i >= 0; i-- { // a larger number is a smaller drill
		if v := float64(numberDrills[i]) / 1e4; v <= last {
			t.Errorf("#%d is %v after %v", i+1, v, last)
		} else {
			last = v
		}
	}
	for i := range letterDrills { // and A follows #1
		if v := float64(letterDrills[i]) / 1e3; v <= last {
			t.Errorf("%c is %v after %v", 'A'+i, v, last)
		} else {
			last = v
		}
	}
	for _, bad := range []string{"#0", "#81", "no", "letter", "AA", "#", "#7mm"} {
		if mm, _, err := ParseDiameter(bad); err == nil {
			t.Errorf("%s reads %v", bad, mm)
		}
	}
	if mm, _, _ := ParseDiameter("7"); mm != 7 {
		t.Errorf("7 alone is %v", mm)
	}
}
