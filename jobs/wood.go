package jobs

import (
	"slices"
	"strings"
)

// Wood is what a drill meets: a wood, or a board used as backing.
//
// Two properties are kept apart. Abrasion is how fast it wears an edge,
// relative to hard maple = 1. TearOut is the grade (0..3) that a sharp bit with
// a tight backing leaves on it; only a grade above it speaks against the bit.
type Wood struct {
	Name  string `json:"wood"`
	Title string `json:"title"`
	// Botanical is the botanical name, for papers that go with a neck.
	Botanical string  `json:"botanical,omitempty"`
	Abrasion  float64 `json:"abrasion"`
	TearOut   int     `json:"tear_out"`
	// HardnessN is the side hardness at 12 % moisture in newtons; 0 when no
	// source was read.
	HardnessN    float64 `json:"hardness_n,omitempty"`
	Dust         string  `json:"dust,omitempty"`
	TradeControl string  `json:"trade_control,omitempty"`
	// Source says where the factor comes from, or that the builder set it.
	Source string `json:"source"`
	// Reaction is the builder's own note on how this dust treats him.
	Reaction string `json:"reaction,omitempty"`
}

// Limits of a wood's settings.
const (
	MinAbrasion = 0.05
	MaxAbrasion = 20
	MaxGrade    = 3
)

// Validate reports what cannot be used.
func (w Wood) Validate() error {
	if !kebab(w.Name) {
		return &FieldError{"wood", w.Name, "a name in small letters with hyphens, such as hard-maple"}
	}
	if !(w.Abrasion >= MinAbrasion && w.Abrasion <= MaxAbrasion) {
		return &FieldError{"abrasion", trimFloat(w.Abrasion), "a factor from 0.05 to 20 (hard maple = 1)"}
	}
	if w.TearOut < 0 || w.TearOut > MaxGrade {
		return &FieldError{"tear-out", trimFloat(float64(w.TearOut)), "a grade from 0 to 3"}
	}
	return nil
}

// kebab accepts "hard-maple": small letters and digits, single hyphens inside.
func kebab(s string) bool {
	if s == "" || len(s) > 40 || strings.HasPrefix(s, "-") || strings.HasSuffix(s, "-") || strings.Contains(s, "--") {
		return false
	}
	return strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// WoodTable answers for woods by name.
type WoodTable map[string]Wood

// NewWoodTable indexes woods; of two with one name the later counts.
func NewWoodTable(woods []Wood) WoodTable {
	t := make(WoodTable, len(woods))
	for _, w := range woods {
		t[w.Name] = w
	}
	return t
}

// Abrasion gives the factor of a wood. An unknown name counts as hard maple,
// and known is false so that the caller can warn.
func (t WoodTable) Abrasion(name string) (factor float64, known bool) {
	if w, ok := t[name]; ok && w.Abrasion > 0 {
		return w.Abrasion, true
	}
	return 1, false
}

// Expected gives the grade a sharp bit with a tight backing leaves: 0 for an
// unknown wood.
func (t WoodTable) Expected(name string) int { return t[name].TearOut }

// Names lists the woods in alphabetical order.
func (t WoodTable) Names() []string {
	names := make([]string, 0, len(t))
	for n := range t {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// Find gives the wood with that name or unique beginning; otherwise a
// *NotFoundError with the nearest names.
func (t WoodTable) Find(name string) (Wood, error) {
	names := t.Names()
	if hits := Candidates(name, names); len(hits) == 1 {
		return t[hits[0]], nil
	}
	return Wood{}, &NotFoundError{"wood", name, Nearest(name, names)}
}
