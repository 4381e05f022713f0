package jobs

import (
	"errors"
	"strings"
	"testing"
)

// Side hardness, newtons at 12 % moisture: USDA Wood Handbook, FPL-GTR-282
// (2021), tables 5-3a and 5-5a (metric).
func TestSeedWoodsFollowTheHandbook(t *testing.T) {
	table := NewWoodTable(SeedWoods())
	printed := map[string]float64{"hard-maple": 6400, "alder": 2600, "basswood": 1800, "poplar": 2400, "cherry": 4200, "mahogany": 3600, "limba": 2200,
		"soft-maple": 4200, "walnut": 4500, "ash": 5900, "khaya": 3700, "sapele": 6700, "rosewood": 14100, "purpleheart": 8300, "bubinga": 12000}
	for name, n := range printed {
		if got := table[name].HardnessN; got != n {
			t.Errorf("%s: %v N, want %v N", name, got, n)
		}
	}
	if f, known := table.Abrasion("hard-maple"); f != 1 || !known {
		t.Errorf("hard maple is the reference: got %v, %v", f, known)
	}
	for _, a := range SeedWoods() {
		if err := a.Validate(); err != nil {
			t.Errorf("%s: %v", a.Name, err)
		}
		if a.Source == "" || a.Dust == "" {
			t.Errorf("%s: a factor without its source, or a wood without its caution", a.Name)
		}
		for _, b := range SeedWoods() {
			ordered := a.HardnessN > 0 && b.HardnessN > 0 && !strings.Contains(a.Source, "weighs more") && !strings.Contains(b.Source, "weighs more")
			if ordered && a.HardnessN < b.HardnessN && a.Abrasion > b.Abrasion {
				t.Errorf("%s (%v N) is softer than %s (%v N) but wears more: %v > %v", a.Name, a.HardnessN, b.Name, b.HardnessN, a.Abrasion, b.Abrasion)
			}
		}
	}
}

func TestWoodTableUnknown(t *testing.T) {
	table := NewWoodTable(SeedWoods())
	if f, known := table.Abrasion("stone"); f != 1 || known {
		t.Errorf("an unknown wood counts as hard maple and says so: got %v, %v", f, known)
	}
	_, err := table.Find("hard-mapel")
	var nf *NotFoundError
	if !errors.As(err, &nf) || len(nf.Near) == 0 || nf.Near[0] != "hard-maple" {
		t.Errorf("got %v, want the nearest name hard-maple", err)
	}
	for _, w := range []Wood{{Name: "Hard Maple", Abrasion: 1}, {Name: "x", Abrasion: 0}, {Name: "x", Abrasion: 1, TearOut: 4}, {Name: "x-", Abrasion: 1}} {
		if err := w.Validate(); !errors.Is(err, ErrInvalid) {
			t.Errorf("%+v: got %v, want a refusal", w, err)
		}
	}
}
