package layout

import (
	"math"
)

// Stack is the thickness of the head. Thickness = core + face veneers + back
// veneers + a glue line for each veneer - levelling - sanding + the finish on
// both sides.
type Stack struct {
	CoreMM float64     `toml:"core_mm" json:"core_mm,omitempty"`
	CoreAt [][]float64 `toml:"core_at" json:"core_at,omitempty"` // tapered: [y, mm], straight between, level beyond
	FaceMM []float64   `toml:"face_veneers_mm" json:"face_veneers_mm,omitempty"`
	BackMM []float64   `toml:"back_veneers_mm" json:"back_veneers_mm,omitempty"`
	// FacePieces and BackPieces name veneers of the stock by code; whoever reads
	// the spec fills FaceMM and BackMM with their measured thicknesses.
	FacePieces  []string `toml:"face_pieces" json:"face_pieces,omitempty"`
	BackPieces  []string `toml:"back_pieces" json:"back_pieces,omitempty"`
	GlueLineMM  float64  `toml:"glue_line_mm" json:"glue_line_mm"`
	LevellingMM float64  `toml:"levelling_mm" json:"levelling_mm,omitempty"` // lost when inlay is levelled
	SandingMM   float64  `toml:"sanding_mm" json:"sanding_mm,omitempty"`     // lost when sanding, both sides together
	FinishMM    float64  `toml:"finish_mm" json:"finish_mm,omitempty"`       // film on each side
	MarginMM    float64  `toml:"margin_mm" json:"margin_mm"`                 // kept inside the clamping range
	BackingMM   float64  `toml:"backing_mm" json:"backing_mm"`               // the bit's way into the backing
	// Measured thicknesses replace what was calculated up to their stage.
	Measured []Measured `toml:"measured" json:"measured,omitempty"`
}

// Measured is a caliper reading and the stage it was taken at.
type Measured struct {
	Stage string  `toml:"stage" json:"stage"`
	MM    float64 `toml:"thickness_mm" json:"thickness_mm"`
}

// Stages in the order the wood goes through them.
var stages = [...]string{"core", "face-glued", "back-glued", "levelled", "sanded", "finished"}

func stageIndex(stage string) int {
	for i, s := range stages {
		if s == stage {
			return i
		}
	}
	return -1
}

func (s Stack) withDefaults() Stack {
	for _, d := range []struct {
		p *float64
		v float64
	}{{&s.GlueLineMM, defaultGlueLineMM}, {&s.MarginMM, defaultMarginMM}, {&s.BackingMM, defaultBackingMM}} {
		if *d.p == 0 {
			*d.p = d.v
		}
	}
	return s
}

func validStack(s Spec) *SpecError {
	k := s.Stack
	rows := []struct {
		key string
		v   float64
	}{
		{"stack.core_mm", k.CoreMM}, {"stack.glue_line_mm", k.GlueLineMM}, {"stack.levelling_mm", k.LevellingMM}, {"stack.sanding_mm", k.SandingMM},
		{"stack.finish_mm", k.FinishMM}, {"stack.margin_mm", k.MarginMM}, {"stack.backing_mm", k.BackingMM},
	}
	for _, v := range k.FaceMM {
		rows = append(rows, struct {
			key string
			v   float64
		}{"stack.face_veneers_mm", v})
	}
	for _, v := range k.BackMM {
		rows = append(rows, struct {
			key string
			v   float64
		}{"stack.back_veneers_mm", v})
	}
	for _, r := range rows {
		if r.v < 0 || r.v > 100 {
			return specErr(r.key, r.v, "between 0 and 100")
		}
	}
	if len(k.FacePieces) > 0 && len(k.FaceMM) > 0 && len(k.FacePieces) != len(k.FaceMM) || len(k.BackPieces) > 0 && len(k.BackMM) > 0 && len(k.BackPieces) != len(k.BackMM) {
		return specErr("stack.face_pieces", nil, "name the pieces or give their thicknesses, not both")
	}
	for i, r := range k.CoreAt {
		if len(r) != 2 || r[1] <= 0 || r[1] > 100 || i > 0 && r[0] <= k.CoreAt[i-1][0] {
			return specErr("stack.core_at", r, "pairs [y, mm], y rising, mm above 0 and at most 100")
		}
	}
	for _, m := range k.Measured {
		if stageIndex(m.Stage) < 0 {
			return specErr("stack.measured.stage", m.Stage, "one of core, face-glued, back-glued, levelled, sanded, finished; the nearest is %q", nearest(m.Stage, stages[:]))
		}
		if m.MM <= 0 || m.MM > 100 {
			return specErr("stack.measured.thickness_mm", m.MM, "above 0 and at most 100")
		}
	}
	return nil
}

// coreAt is the core's thickness at y; ok is false when none is given.
func (s Stack) coreAt(y float64) (float64, bool) {
	c := s.CoreAt
	if len(c) == 0 {
		return s.CoreMM, s.CoreMM > 0
	}
	if y <= c[0][0] {
		return c[0][1], true
	}
	for i := 1; i < len(c); i++ {
		if y <= c[i][0] {
			f := (y - c[i-1][0]) / (c[i][0] - c[i-1][0])
			return c[i-1][1] + f*(c[i][1]-c[i-1][1]), true
		}
	}
	return c[len(c)-1][1], true
}

// added is what each stage adds to the thickness.
func (s Stack) added(stage int) float64 {
	switch stages[stage] {
	case "face-glued":
		return sum(s.FaceMM) + s.GlueLineMM*float64(len(s.FaceMM))
	case "back-glued":
		return sum(s.BackMM) + s.GlueLineMM*float64(len(s.BackMM))
	case "levelled":
		return -s.LevellingMM
	case "sanded":
		return -s.SandingMM
	case "finished":
		return 2 * s.FinishMM
	}
	return 0
}

func sum(v []float64) float64 {
	t := 0.0
	for _, x := range v {
		t += x
	}
	return t
}

// At is the thickness at y after a stage, from the latest measured stage up to
// it, else from the core; basis is the stage it starts from. ok is false when
// neither is given.
func (s Stack) At(y float64, stage string) (mm float64, basis string, ok bool) {
	to := stageIndex(stage)
	start := 0
	mm, ok = s.coreAt(y)
	basis = "core as given"
	for _, m := range s.Measured {
		if i := stageIndex(m.Stage); i >= 0 && i <= to && (i > start || i == start && basis == "core as given") {
			start, ok, basis = i, true, "measured after "+m.Stage
			mm = m.MM
			if c, has := s.coreAt(y); has && len(s.CoreAt) > 0 {
				mm += c - s.CoreAt[0][1] // read at the fretboard end; the taper goes on from there
			}
		}
	}
	if !ok || to < 0 {
		return 0, "", false
	}
	for i := start + 1; i <= to; i++ {
		mm += s.added(i)
	}
	return mm, basis, true
}

// atDrilling is the wood the bit goes through: after sanding, before finish.
func (s Stack) atDrilling(y float64) (float64, bool) {
	mm, _, ok := s.At(y, "sanded")
	return mm, ok
}

// StackSum is the answer about the thickness: finished figure against the
// clamping range, and the range the core must be in BEFORE the back veneer
// goes on.
type StackSum struct {
	FinishedMM  float64    `json:"finished_mm"` // at the thickest post
	ThinnestMM  float64    `json:"thinnest_mm"` // at the thinnest post
	Basis       string     `json:"basis"`
	ClampLeast  float64    `json:"clamp_least_mm"`
	ClampMost   float64    `json:"clamp_most_mm"`
	Result      string     `json:"result"`
	ClearanceMM float64    `json:"clearance_mm"`
	CoreNowMM   float64    `json:"core_now_mm"`
	CoreLeastMM float64    `json:"core_least_mm"`
	CoreMostMM  float64    `json:"core_most_mm"`
	TakeOffMM   float64    `json:"take_off_mm"` // from the core; negative: it is too thin
	Text        string     `json:"text"`
	told        string     // it with its lengths marked
	Steps       []StackRow `json:"steps"`
}

// StackRow is the thickness after one stage, at the thickest post.
type StackRow struct {
	Stage    string  `json:"stage"`
	ChangeMM float64 `json:"change_mm"`
	MM       float64 `json:"thickness_mm"`
	Measured bool    `json:"measured"`
}

// StackOf works out the stack at the given places (y of the posts). ok is false
// when the core or the tuner's clamping range is not given.
func StackOf(k Stack, t Tuner, ys []float64) (StackSum, bool) {
	k = k.withDefaults()
	if len(ys) == 0 {
		ys = []float64{0}
	}
	lo, hi, loY, hiY := math.Inf(1), math.Inf(-1), 0.0, 0.0
	basis := ""
	for _, y := range ys {
		mm, b, ok := k.At(y, "finished")
		if !ok {
			return StackSum{}, false
		}
		basis = b
		if mm < lo {
			lo, loY = mm, y
		}
		if mm > hi {
			hi, hiY = mm, y
		}
	}
	if t.ClampMost == 0 {
		return StackSum{}, false
	}
	out := StackSum{FinishedMM: micro(hi), ThinnestMM: micro(lo), Basis: basis, ClampLeast: t.ClampLeast, ClampMost: t.ClampMost}
	for i, st := range stages {
		mm, b, ok := k.At(hiY, st)
		if !ok {
			continue
		}
		out.Steps = append(out.Steps, StackRow{Stage: st, ChangeMM: micro(k.added(i)), MM: micro(mm), Measured: b == "measured after "+st})
	}
	core, _ := k.coreAt(hiY)
	coreLo, _ := k.coreAt(loY)
	out.CoreNowMM = micro(core)
	// The rest of the stack rides on the core: the core may grow until the
	// thickest post meets the upper limit, and shrink until the thinnest meets
	// the lower.
	out.CoreMostMM = micro(t.ClampMost - k.MarginMM - (hi - core))
	out.CoreLeastMM = micro(t.ClampLeast + k.MarginMM - (lo - coreLo) + (core - coreLo))
	over, under := t.ClampMost-hi, lo-t.ClampLeast
	out.ClearanceMM = micro(math.Min(over, under))
	out.Result = grade(out.ClearanceMM, k.MarginMM)
	switch {
	case hi > t.ClampMost-k.MarginMM+1e-9:
		out.TakeOffMM = micro(hi - (t.ClampMost - k.MarginMM))
	case lo < t.ClampLeast+k.MarginMM-1e-9:
		out.TakeOffMM = micro(lo - (t.ClampLeast + k.MarginMM))
	}
	out.told = stackText(k, out)
	out.Text = plainText(out.told)
	return out, true
}

// grade turns a clearance into a result: tight within margin of the limit.
func grade(clear, margin float64) string {
	switch {
	case clear < -1e-6:
		return Fail
	case clear < margin-1e-6:
		return Tight
	}
	return Pass
}
