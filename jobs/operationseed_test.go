package jobs

import (
	"slices"
	"testing"
	"time"
)

// The seeded operations against what the trade does. Common practice, no source,
// where a line says so; the minutes themselves are judgement.
func TestSeedOperations(t *testing.T) {
	operations := map[string]Operation{}
	for _, k := range SeedOperations() {
		if err := k.Validate(); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
		if _, twice := operations[k.Name]; twice {
			t.Errorf("%s stands twice", k.Name)
		}
		operations[k.Name] = k
		if k.Source == "" {
			t.Errorf("%s does not say where its minutes come from", k.Name)
		}
		if (k.Dust || k.Noise && k.Drills != "" || k.Wet || len(k.Recipe) > 0 && k.CureMin > 0) && len(k.Cautions) == 0 {
			t.Errorf("%s can hurt and has no caution", k.Name)
		}
	}
	shop := DefaultShop()
	// A veneer stays clamped over night: from a late glue-up at 22:00 it is not
	// free before six in the morning (common practice, no source).
	for _, name := range []string{"glue-face", "glue-back"} {
		unclamp, full, _ := operations[name].Cure(shop, nil)
		if unclamp < 8*time.Hour || full < unclamp || operations[name].Clamps < 1 {
			t.Errorf("%s: clamps for %v, next step after %v", name, unclamp, full)
		}
	}
	// The last pass by hand after the spindle takes about ten minutes (common
	// practice, no source), whatever the length of the edge.
	if k := operations["block-sand"]; k.StandardMin(1) < 8 || k.StandardMin(1) > 15 || k.Per != "neck" {
		t.Errorf("block-sand: %g minutes by %s", k.StandardMin(1), k.Per)
	}
	// A decision on a veneer takes about half an hour (common practice, no source).
	if k := operations["choose-veneer"]; !k.Decide || k.StandardMin(1) < 20 || k.StandardMin(1) > 40 {
		t.Errorf("choose-veneer: %g minutes, decides %v", k.StandardMin(1), k.Decide)
	}
	// A border of 14 pieces takes two to three evenings of two and a half hours
	// and more (common practice, no source: an inlay takes two to three evenings).
	inlay := 0.0
	for _, name := range []string{"inlay-draw", "inlay-cut", "inlay-rout", "inlay-glue", "inlay-level"} {
		inlay += operations[name].StandardMin(14)
	}
	if evenings := inlay / 150; evenings < 2 || evenings > 4 {
		t.Errorf("an inlay of 14 pieces takes %.1f evenings", evenings)
	}
}

func TestSeedRoutes(t *testing.T) {
	operations := map[string]Operation{}
	for _, k := range SeedOperations() {
		operations[k.Name] = k
	}
	for _, r := range SeedRoutes() {
		plain, _, err := PlanSteps(r, operations, nil)
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		inlaid, _, err := PlanSteps(r, operations, map[string]float64{"inlay": 14, "coats": 3})
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		if len(inlaid) <= len(plain) {
			t.Errorf("%s: inlay adds no step (%d, %d)", r.Name, len(plain), len(inlaid))
		}
		at := func(operation string) int {
			return slices.IndexFunc(inlaid, func(s Step) bool { return s.Operation == operation })
		}
		// What has to come before what (common practice, no source).
		for _, pair := range [][2]string{{"choose-veneer", "glue-face"}, {"glue-face", "flush-sand"}, {"flush-sand", "block-sand"}, {"mark-posts", "drill"}, {"fit-backing", "drill"}, {"drill", "fit-tuners"}, {"finish-coat", "ream-finish"}} {
			if at(pair[0]) < 0 || at(pair[1]) < 0 || at(pair[0]) > at(pair[1]) {
				t.Errorf("%s: %s does not stand before %s", r.Name, pair[0], pair[1])
			}
		}
		for i, s := range inlaid {
			if s.No != i+1 || s.Quantity <= 0 {
				t.Errorf("%s: step %d is %+v", r.Name, i+1, s)
			}
		}
	}
}
