package layout

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Mark is one hole as found on the wood, by a square held to the fretboard end
// and the centre line. Hole is the string's number.
type Mark struct {
	Hole     int
	XMM, YMM float64
}

// Reading is one measured distance: From "end" (to the fretboard end), "edge"
// (shortest, to the outline) or "hole" (between the centres of Hole and To).
type Reading struct {
	Hole int
	From string
	To   int
	MM   float64
}

// MarksResult compares marks with a plan.
type MarksResult struct {
	Neck        string     `json:"neck"`
	Code        string     `json:"code"`
	Drilled     bool       `json:"drilled"`
	Pass        bool       `json:"pass"`
	WorstMM     float64    `json:"worst_mm"` // worst residual after turn and shift
	WorstHole   int        `json:"worst_hole"`
	RmsMM       float64    `json:"rms_mm"`
	TurnDeg     float64    `json:"turn_deg"`
	ShiftXMM    float64    `json:"shift_x_mm"`
	ShiftYMM    float64    `json:"shift_y_mm"`
	Scale       float64    `json:"scale,omitempty"`       // of three marks and more; reported apart, never used to excuse
	ScaleSpread float64    `json:"scale_error,omitempty"` // one standard error of the scale, from what is left over
	DatumWorst  float64    `json:"datum_worst_mm"`        // worst residual held to the datum
	DatumAcross float64    `json:"datum_across_worst_mm"` // the part of it across the strings
	DatumPass   bool       `json:"datum_pass"`
	FitMM       float64    `json:"fit_limit_mm"`
	DatumMM     float64    `json:"datum_limit_mm"`
	Holes       []HoleMark `json:"holes"`
	Mirrored    bool       `json:"mirrored"` // the marks look measured from the back
	Missing     []int      `json:"missing"`  // planned holes without a mark
	Notes       []string   `json:"notes"`
	Inches      Inches     `json:"-"` // its advice in inches
	Advice      []string   `json:"advice"`
}

// HoleMark is one hole against the plan. dx, dy is the residual after turn and
// shift; along and across are the same, along and across its string.
type HoleMark struct {
	Hole       int     `json:"hole"`
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
	ResidualMM float64 `json:"residual_mm"`
	DxMM       float64 `json:"dx_mm"`
	DyMM       float64 `json:"dy_mm"`
	AlongMM    float64 `json:"along_mm"`
	AcrossMM   float64 `json:"across_mm"`
	DatumMM    float64 `json:"datum_residual_mm"`
	DatumOff   float64 `json:"datum_across_mm"` // across its string, held to the datum
	KinkDeg    float64 `json:"kink_deg"`        // of its string, if drilled as marked
}

// CompareMarks fits marks and readings to a plan. It passes when the worst
// residual after turn and shift is within marks.fit_mm and, held to the datum,
// the worst is within marks.datum_mm and across the strings within
// marks.fit_mm: a good shape in the wrong place still kinks
// every string. Errors are *SpecError: unknown holes, readings that do not
// determine the marks, fewer than two holes.
func CompareMarks(p Plan, marks []Mark, readings []Reading, drilled bool) (MarksResult, error) {
	spec := p.Spec.withDefaults()
	out := MarksResult{
		Neck: p.Neck, Code: p.Code, Drilled: drilled, FitMM: spec.Marks.FitMM, DatumMM: spec.Marks.DatumMM,
		Holes: []HoleMark{}, Missing: []int{}, Notes: []string{}, Advice: []string{},
	}
	found, err := locate(p, marks, readings)
	if err != nil {
		return MarksResult{}, err
	}
	var nominal, measured []r2.Vec
	var holes []int
	for _, post := range p.Posts {
		at, ok := found[post.String]
		if !ok {
			out.Missing = append(out.Missing, post.String)
			continue
		}
		holes = append(holes, post.String)
		nominal = append(nominal, r2.Vec{X: post.XMM, Y: post.YMM})
		measured = append(measured, at)
	}
	slices.Sort(out.Missing)
	fit, ok := RigidFit(nominal, measured)
	if !ok {
		return MarksResult{}, specErr("points", len(nominal), "at least two different holes are needed for a fit")
	}
	out.TurnDeg, out.ShiftXMM, out.ShiftYMM = micro(degrees(fit.Turn)), micro(fit.Shift.X), micro(fit.Shift.Y)
	if len(nominal) > 2 { // two points fit any scale without an error
		scaled, _ := ScaledFit(nominal, measured)
		out.Scale = math.Round(scaled.Scale*1e8) / 1e8
		out.ScaleSpread = scaleError(nominal, scaled)
	}
	out.Mirrored = looksMirrored(nominal, measured)
	lines := spec.lines()
	for i, at := range measured {
		d := r2.Sub(at, fit.Apply(nominal[i]))
		l := lines[holes[i]-1]
		h := HoleMark{
			Hole: holes[i], XMM: micro(at.X), YMM: micro(at.Y), ResidualMM: micro(r2.Norm(d)), DxMM: micro(d.X), DyMM: micro(d.Y),
			AlongMM: micro(r2.Dot(d, l.Dir)), AcrossMM: micro(r2.Cross(d, l.Dir)), DatumMM: micro(r2.Norm(r2.Sub(at, nominal[i]))),
		}
		h.DatumOff = micro(r2.Cross(r2.Sub(at, nominal[i]), l.Dir))
		out.DatumAcross = math.Max(out.DatumAcross, math.Abs(h.DatumOff))
		post, _ := p.PostOf(h.Hole)
		off := post.OffStringMM + r2.Cross(r2.Sub(at, nominal[i]), l.Dir)
		h.KinkDeg = micro(KinkDeg(off, r2.Dot(r2.Sub(at, l.At), l.Dir)))
		if h.ResidualMM > out.WorstMM || out.WorstHole == 0 {
			out.WorstMM, out.WorstHole = h.ResidualMM, h.Hole
		}
		out.DatumWorst = math.Max(out.DatumWorst, h.DatumMM)
		out.Holes = append(out.Holes, h)
	}
	slices.SortFunc(out.Holes, func(a, b HoleMark) int { return a.Hole - b.Hole })
	out.RmsMM = micro(math.Sqrt(fit.Rss / float64(len(nominal))))
	out.DatumPass = out.DatumWorst <= out.DatumMM+1e-9 && out.DatumAcross <= out.FitMM+1e-9
	out.Pass = out.WorstMM <= out.FitMM+1e-9 && out.DatumPass && !out.Mirrored
	out.Notes = marksNotes(out)
	out.Inches = Inches{}
	out.Advice = out.Inches.keep(advice(out)...)
	return out, nil
}

// scaleError is the standard error of the scale: left-over spread over the
// spread of the points. Zero when too few points leave nothing over.
func scaleError(nominal []r2.Vec, f Fit) float64 {
	n := len(nominal)
	if 2*n <= 4 {
		return 0
	}
	var m r2.Vec
	for _, p := range nominal {
		m = r2.Add(m, r2.Scale(1/float64(n), p))
	}
	ss := 0.0
	for _, p := range nominal {
		ss += r2.Norm2(r2.Sub(p, m))
	}
	return math.Round(math.Sqrt(f.Rss/float64(2*n-4)/ss)*1e8) / 1e8
}

// looksMirrored: held to the datum the marks fit far better on the plan turned
// over, as when measured from the back. (A straight row turned over is only
// turned, so the fit alone cannot tell.)
func looksMirrored(nominal, measured []r2.Vec) bool {
	var straight, over float64
	for i, p := range nominal {
		straight += r2.Norm2(r2.Sub(measured[i], p))
		over += r2.Norm2(r2.Sub(measured[i], r2.Vec{X: -p.X, Y: p.Y}))
	}
	n := float64(len(nominal))
	straight, over = math.Sqrt(straight/n), math.Sqrt(over/n)
	return straight > 3 && over < straight/4
}

func marksNotes(m MarksResult) []string {
	notes := []string{}
	if d := (m.Scale - 1) * 100; m.Scale > 0 && math.Abs(d) >= 0.05 {
		word := "long"
		if d < 0 {
			word = "short"
		}
		notes = append(notes, fmt.Sprintf("The marks are %.1f %% %s (give or take %.2f %%): measure the printed bars. A wrong scale is no excuse here.", math.Abs(d), word, 100*m.ScaleSpread))
	}
	if len(m.Missing) > 0 {
		notes = append(notes, fmt.Sprintf("No mark for %s.", holeList(m.Missing)))
	}
	if m.Mirrored {
		notes = append(notes, "The marks fit the plan turned over. Were they measured from the back, or was the paper face down?")
	}
	return notes
}

func holeList(hs []int) string {
	s := "hole "
	if len(hs) > 1 {
		s = "holes "
	}
	for i, h := range hs {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprint(h)
	}
	return s
}

// advice is a different list before and after drilling: marks are cheap to move
// and holes are not.
func advice(m MarksResult) []string {
	shapeOK := m.WorstMM <= m.FitMM+1e-9
	switch {
	case m.Pass && m.Drilled:
		return []string{"accept: the holes agree with the plan"}
	case m.Pass && len(m.Missing) > 0:
		return []string{"the marks given agree with the plan: measure the others before drilling"}
	case m.Pass:
		return []string{"drill: the marks agree with the plan"}
	case m.Mirrored && m.Drilled:
		return []string{"check which face was measured before anything else", "if the holes really are mirrored, the head is drilled for the other hand"}
	case m.Mirrored:
		return []string{"do not drill: measure again from the face, with bass on the left"}
	case m.Drilled && !shapeOK:
		return []string{
			fmt.Sprintf("hole %d is %s mm off: see if a larger ferrule hides it", m.WorstHole, tenth(m.WorstMM)),
			"or plug it with the grain and drill again from the plan (rework, cause: marking)",
			"or solve the row again round the hole as it is",
			"or accept it, with a kink in its string",
		}
	case m.Drilled:
		return []string{
			fmt.Sprintf("the row is true but sits up to %s mm from its place: check the kinks before the tuners go on", tenth(m.DatumWorst)),
			"larger ferrules or a nut cut to suit can take up a little, else plug and drill again",
		}
	case !shapeOK:
		return []string{fmt.Sprintf("do not drill: prick hole %d again (%s mm off) and measure once more", m.WorstHole, tenth(m.WorstMM)), "measure the printed bars too, if more than one mark is off"}
	}
	return []string{
		fmt.Sprintf("do not drill: the marks have the right shape but are turned %.1f degrees and shifted %s, %s mm", m.TurnDeg, tenth(m.ShiftXMM), tenth(m.ShiftYMM)),
		"lay the template again to the fretboard end and the centre line and prick afresh",
	}
}
