package bitlife

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/jobs"
)

// SpindleSpeed gives revolutions per minute from the cutting speed at the rim:
// n = 1000 v / (pi d), v in m/min, d in mm. 0 for a diameter that is none.
func SpindleSpeed(vMPerMin, diameterMM float64) float64 {
	if !(diameterMM > 0) {
		return 0
	}
	return 1000 * vMPerMin / (math.Pi * diameterMM)
}

// cuttingSpeeds in m/min by point: in hard woods, and in soft ones (abrasion
// below 0.65). Judgement: the common rule of thumb of 1500 per minute in hard
// and 3000 in soft wood for twist bits up to 3/8 in; forstner bits half of that
// and less, since their rim rubs. The builder's own ear and the maker's label
// come first.
var cuttingSpeeds = map[string][2]float64{"brad": {40, 70}, "twist": {45, 90}, "forstner": {25, 40}, "countersink": {15, 25}}

// What is said before a hole is drilled, and the same for a narrow screen. The
// machine's manual and the bit's label come before any figure here (common
// practice, no source).
const (
	CautionWide   = "Clamp the work, tight backing, eyes covered, chuck key out, no gloves."
	CautionNarrow = "Clamp it, tight backing, eyes covered, key out, no gloves."
)

// DrillAdvice is how to set up the press for a bit in a wood.
type DrillAdvice struct {
	CuttingMPerMin float64  `json:"cutting_m_per_min"`
	RPM            float64  `json:"rpm"`
	Step           int      `json:"step_rpm,omitempty"` // of the shop's press
	Cautions       []string `json:"cautions"`
	// Reaction is the builder's own note on the wood, also among the cautions.
	Reaction string `json:"reaction,omitempty"`
}

// AdviseDrilling takes the highest step of the press that is not above the
// speed for the point, the wood and the diameter; below the lowest step the
// lowest is given with a word of warning.
func AdviseDrilling(bit jobs.Bit, wood jobs.Wood, steps []int) DrillAdvice {
	v := cuttingSpeeds[bit.Point]
	a := DrillAdvice{CuttingMPerMin: v[0]}
	if wood.Abrasion > 0 && wood.Abrasion < 0.65 {
		a.CuttingMPerMin = v[1]
	}
	a.RPM = SpindleSpeed(a.CuttingMPerMin, bit.DiameterMM)
	sorted := slices.Clone(steps)
	slices.Sort(sorted)
	for _, s := range sorted {
		if float64(s) <= a.RPM || a.Step == 0 {
			a.Step = s
		}
	}
	a.Cautions = append(a.Cautions, CautionWide)
	if a.Step > 0 && float64(a.Step) > a.RPM {
		a.Cautions = append(a.Cautions, fmt.Sprintf("The slowest step, %d, is above the %.0f per minute for this bit. Feed in short pecks and let it cool.", a.Step, a.RPM))
	}
	name := strings.ReplaceAll(wood.Name, "-", " ")
	if dust, ok := strings.CutPrefix(wood.Dust, "dust "); ok {
		a.Cautions = append(a.Cautions, sentence(name+" dust "+dust))
	} else if wood.Dust != "" {
		a.Cautions = append(a.Cautions, sentence(name+": "+wood.Dust))
	}
	if wood.Reaction != "" {
		a.Reaction = sentence(name + ", your own note: " + wood.Reaction)
		a.Cautions = append(a.Cautions, a.Reaction)
	}
	return a
}
