package jobs

import (
	"slices"
	"testing"
)

func TestParseGauges(t *testing.T) {
	set := []float64{0.046, 0.036, 0.026, 0.017, 0.013, 0.01}
	for typed, usual := range map[string]bool{"10-46": true, "10-13-17-26-36-46": false, "46 36 26 17 13 10": false, ".010, .013, .017, .026, .036, .046": false, "0.254-0.3302-0.4318-0.6604-0.9144-1.1684mm": false} {
		got, guess, err := ParseGauges("gauges", typed, 6)
		if err != nil || !slices.Equal(got, set) || guess != usual {
			t.Errorf("%s: %v %v %v", typed, got, guess, err)
		}
	}
	for _, bad := range []string{"", "10", "10-47", "10-13-17-26-36", "0.25-0.33-0.43-0.66-0.91-1.17", "a-b", "10-13-17-26-36-460", "NaN-1-1-1-1-1"} {
		if got, _, err := ParseGauges("gauges", bad, 6); err == nil {
			t.Errorf("%q reads %v", bad, got)
		}
	}
	if _, _, err := ParseGauges("gauges", "10-46", 7); err == nil {
		t.Error("a set of six on seven strings")
	}
}
