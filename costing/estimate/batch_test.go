package estimate

import (
	"math"
	"testing"
)

func TestBatchesSaveTheSetupAndNothingElse(t *testing.T) {
	// Set-up 10, run 1.5 a hole: 14 holes over two necks are 31 min, two single
	// ones of 6 and 8 are 19 and 22 (arithmetic by hand).
	std := Standard{SetupMin: 10, RunMin: 1.5, Per: "holes"}
	batch := PastJob{Operation: "drill", Quantity: 14, Minutes: 31, Necks: []string{"A", "B"}}
	single := PastJob{Operation: "drill", Quantity: 6, Minutes: 19, Necks: []string{"C"}}
	got := Batches(std, []PastJob{batch, single, {Operation: "drill", Quantity: 6, Minutes: 90, Necks: []string{"D"}, Excluded: "rework"}}, 1)
	if got.Batches != 1 || got.Singles != 1 || got.Necks != 2 || math.Abs(got.BatchPace-1) > 1e-12 || math.Abs(got.SinglePace-1) > 1e-12 || got.SavedMin != 10 {
		t.Errorf("got %+v", got)
	}
	// One past job of 14 holes keeps the standard of a single neck: 19 min.
	e := ForStep(std, 6, []PastJob{batch}, Pace{}, Settings{})
	if e.N != 1 || math.Abs(e.LikelyMin-19) > 1e-9 {
		t.Errorf("after a batch at standard pace, six holes are likely %g min of %d past jobs, want 19 of 1", e.LikelyMin, e.N)
	}
}
