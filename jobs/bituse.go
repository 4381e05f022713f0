package jobs

import (
	"math"
	"slices"
	"strings"
	"time"
)

// States of the backing under a hole.
const (
	BackingTight = "tight"
	BackingLoose = "loose"
	BackingNone  = "none"
)

// BackingStates lists the states; "" means that nobody said.
func BackingStates() []string { return []string{BackingTight, BackingLoose, BackingNone} }

// Faces a hole enters.
const (
	FaceShow   = "show"
	FaceHidden = "hidden"
)

// Signs seen or heard while drilling. Fuzz and a dull rim speak of the spurs;
// burnish, squeal, smoke, push and powder of the lips; wander of the point.
// burn ends an edge as dull. blue and nail are a shock: the edge is out at once,
// and its life ends by accident, not by wear (common practice, no source).
const (
	SignBurn = "burn"
	SignBlue = "blue"
	SignNail = "nail"
)

// UseSigns lists the signs.
func UseSigns() []string {
	return []string{"fuzz", "burnish", "squeal", "smoke", "push", "powder", "wander", SignBurn, SignBlue, SignNail}
}

// GlueLineMM is the wear of one cured glue line, as a depth of hard maple
// (judgement).
const GlueLineMM = 2

// Layer is a part of a hole's depth in one wood.
type Layer struct {
	Wood    string  `json:"wood"`
	DepthMM float64 `json:"depth_mm"`
}

// Backing is what lay under the work: State "" means not recorded. DepthMM is
// how far each hole ran into it.
type Backing struct {
	State   string  `json:"state,omitempty"`
	Wood    string  `json:"wood,omitempty"`
	DepthMM float64 `json:"depth_mm,omitempty"`
}

// BitUse is holes drilled with one edge at one time. IDs of moves and uses
// come from one sequence. Depths are per hole. Grades are nil when not seen,
// which is not the same as 0.
type BitUse struct {
	ID uint64 `json:"id"`
	// Bit is a code, or "" when nobody remembers: then UnknownMM is the size.
	Bit       string    `json:"bit,omitempty"`
	UnknownMM float64   `json:"unknown_mm,omitempty"`
	Edge      int       `json:"edge,omitempty"`
	Neck      string    `json:"neck,omitempty"`
	Step      int       `json:"step,omitempty"`
	Entry     uint64    `json:"entry,omitempty"`
	On        time.Time `json:"on"`
	Holes     int       `json:"holes"`
	DepthMM   float64   `json:"depth_mm"`
	Layers    []Layer   `json:"layers"`
	Backing   Backing   `json:"backing"`
	GlueLines int       `json:"glue_lines,omitempty"`
	Face      string    `json:"face,omitempty"`
	GradeIn   *int      `json:"grade_in"`
	GradeOut  *int      `json:"grade_out"`
	Signs     []string  `json:"signs,omitempty"`
	Test      bool      `json:"test,omitempty"`      // a test hole in offcut
	Estimated bool      `json:"estimated,omitempty"` // guessed afterwards
	Note      string    `json:"note,omitempty"`
}

// Validate reports what cannot be used.
func (u BitUse) Validate() error {
	if u.Bit == "" && u.UnknownMM <= 0 {
		return &FieldError{"bit", u.Bit, "a bit, or the size of an unknown one"}
	}
	if u.Holes < 1 || u.Holes > 10000 {
		return &FieldError{"holes", trimFloat(float64(u.Holes)), "a number from 1 to 10000, such as 6"}
	}
	if len(u.Layers) == 0 {
		return &FieldError{"wood", "", "the wood the holes went through"}
	}
	for _, l := range u.Layers {
		if !(l.DepthMM > 0 && l.DepthMM <= 300) {
			return &FieldError{"depth", trimFloat(l.DepthMM), "millimetres from above 0 to 300, such as 15"}
		}
	}
	if u.Backing.State != "" && !slices.Contains(BackingStates(), u.Backing.State) {
		return &FieldError{"backing", u.Backing.State, strings.Join(BackingStates(), ", ") + ", such as tight"}
	}
	if !(u.Backing.DepthMM >= 0 && u.Backing.DepthMM <= 100) {
		return &FieldError{"backing depth", trimFloat(u.Backing.DepthMM), "millimetres from 0 to 100"}
	}
	if u.Backing.State == BackingNone && u.Backing.DepthMM > 0 {
		return &FieldError{"backing depth", trimFloat(u.Backing.DepthMM), "no depth when there is no backing"}
	}
	if u.GlueLines < 0 || u.GlueLines > 50 {
		return &FieldError{"glue lines", trimFloat(float64(u.GlueLines)), "a number from 0 to 50"}
	}
	if u.Face != "" && u.Face != FaceShow && u.Face != FaceHidden {
		return &FieldError{"face", u.Face, "show or hidden"}
	}
	for _, g := range []*int{u.GradeIn, u.GradeOut} {
		if g != nil && (*g < 0 || *g > MaxGrade) {
			return &FieldError{"grade", trimFloat(float64(*g)), "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"}
		}
	}
	for _, s := range u.Signs {
		if !slices.Contains(UseSigns(), s) {
			return &FieldError{"sign", s, strings.Join(UseSigns(), ", ") + ", such as fuzz"}
		}
	}
	return nil
}

// CutPerHole gives the wear of one hole in cut metres: depth in m x abrasion of
// each layer and of the backing, and GlueLineMM for each cured glue line.
// Unknown woods count as hard maple and are named.
func (u BitUse) CutPerHole(woods WoodTable) (m float64, unknown []string) {
	add := func(wood string, depth float64) {
		f, known := woods.Abrasion(wood)
		if !known && !slices.Contains(unknown, wood) {
			unknown = append(unknown, wood)
		}
		m += depth * f
	}
	for _, l := range u.Layers {
		add(l.Wood, l.DepthMM)
	}
	if u.Backing.DepthMM > 0 {
		add(u.Backing.Wood, u.Backing.DepthMM)
	}
	m += GlueLineMM * float64(u.GlueLines)
	return roundM(m / 1000), unknown
}

// Cut gives the wear of the whole use in cut metres.
func (u BitUse) Cut(woods WoodTable) float64 {
	m, _ := u.CutPerHole(woods)
	return roundM(m * float64(u.Holes))
}

// roundM rounds cut metres to a millionth of a millimetre, so that sums print
// as people would write them.
func roundM(m float64) float64 { return math.Round(m*1e9) / 1e9 }

// Tale is what a use shows of its edge.
type Tale int

// The tales.
const (
	TaleSilent Tale = iota // nothing was seen that counts
	TaleClean              // a rim was seen, no worse than a sharp bit leaves
	TaleDull               // worse than that, or burnt
	TaleShock              // blued or hit a nail: out by accident
)

// Tale reads the grades and signs. The entry rim is held against what the
// first wood gives a sharp bit, the exit rim against the last, and the exit
// counts under a tight backing only: without one it says nothing of the bit.
func (u BitUse) Tale(woods WoodTable) (Tale, string) {
	if slices.Contains(u.Signs, SignBlue) || slices.Contains(u.Signs, SignNail) {
		return TaleShock, "blued or hit metal"
	}
	if slices.Contains(u.Signs, SignBurn) {
		return TaleDull, "burnt the hole"
	}
	tale := TaleSilent
	rim := func(side string, grade *int, wood string) string {
		if grade == nil {
			return ""
		}
		if want := woods.Expected(wood); *grade > want {
			tale = TaleDull
			return side + " grade " + trimFloat(float64(*grade)) + " where a sharp bit leaves " + trimFloat(float64(want))
		}
		if tale == TaleSilent {
			tale = TaleClean
		}
		return ""
	}
	if len(u.Layers) == 0 {
		return TaleSilent, ""
	}
	why := rim("entry", u.GradeIn, u.Layers[0].Wood)
	if u.Backing.State == BackingTight {
		if w := rim("exit", u.GradeOut, u.Layers[len(u.Layers)-1].Wood); why == "" {
			why = w
		}
	}
	return tale, why
}

// PlaceGrade puts the grade of the worst rim of a drilling where it belongs. A rim
// as a sharp bit leaves it on entry is the entry rim. A worse one is the exit rim
// where the backing was not tight, or where the last wood leaves it so. Else it is
// the entry rim, and speaks against the bit.
func (u *BitUse) PlaceGrade(grade *int, woods WoodTable) {
	u.GradeIn, u.GradeOut = grade, nil
	if grade == nil || len(u.Layers) == 0 || *grade <= woods.Expected(u.Layers[0].Wood) {
		return
	}
	loose := u.Backing.State == BackingLoose || u.Backing.State == BackingNone
	if loose || *grade <= woods.Expected(u.Layers[len(u.Layers)-1].Wood) {
		u.GradeIn, u.GradeOut = nil, grade
	}
}

// WorstGrade gives the worse of the grades that count, and whether any does.
func (u BitUse) WorstGrade() (int, bool) {
	worst, seen := 0, false
	if u.GradeIn != nil {
		worst, seen = *u.GradeIn, true
	}
	if u.GradeOut != nil && u.Backing.State == BackingTight {
		worst, seen = max(worst, *u.GradeOut), true
	}
	return worst, seen
}
