package layout

import (
	"math"
	"reflect"
	"slices"
	"strconv"
)

// Words a spec may use.
const (
	EqualCentres = "equal-centres"
	EqualGaps    = "equal-gaps"
	AlongNut     = "nut"
	AlongString  = "string"
)

// Validate checks a spec with its defaults filled and returns the first value
// that cannot be used as a *SpecError, or nil.
func (s Spec) Validate() error {
	if err := finite(reflect.ValueOf(s), ""); err != nil {
		return err
	}
	for _, check := range []func(Spec) *SpecError{
		validWords, validStrings, validPull, validPosts, validEdge, validOutline, validTuner, validKeepouts, validStack,
	} {
		if err := check(s); err != nil {
			return err
		}
	}
	if s.Outline.given() {
		if _, err := s.BuildOutline(); err != nil {
			return err
		}
	}
	return nil
}

// finite refuses NaN, infinity and lengths beyond any headstock, anywhere in
// the spec, naming the key.
func finite(v reflect.Value, key string) error {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			tag := v.Type().Field(i).Tag.Get("toml")
			if tag == "-" {
				continue
			}
			name := tag
			if key != "" {
				name = key + "." + tag
			}
			if err := finite(v.Field(i), name); err != nil {
				return err
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := finite(v.Index(i), key+"["+strconv.Itoa(i+1)+"]"); err != nil {
				return err
			}
		}
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.Abs(f) > maxCoordMM {
			return specErr(key, f, "a number of at most %g", maxCoordMM)
		}
	}
	return nil
}

func oneOf(key, value string, words ...string) *SpecError {
	if slices.Contains(words, value) {
		return nil
	}
	list := ""
	for i, w := range words {
		if i > 0 {
			list += ", "
		}
		list += strconv.Quote(w)
	}
	return specErr(key, value, "one of %s; the nearest is %q", list, nearest(value, words))
}

func validWords(s Spec) *SpecError {
	rows := []struct {
		key, value string
		words      []string
	}{
		{"nut.spacing", s.Nut.Spacing, []string{EqualCentres, EqualGaps}},
		{"pull.along", s.Pull.Along, []string{AlongNut, AlongString}},
		{"posts.wind", s.Posts.Wind, []string{"inner", "outer"}},
		{"outline.view", s.Outline.View, []string{"face", "plan"}},
		{"outline.join", s.Outline.Join, []string{"smooth", "straight"}},
		{"outline.tip", s.Outline.Tip, []string{"", "down", "up"}},
		{"tuner.align", s.Tuner.Align, []string{"edge", "line"}},
		{"shape", s.Shape, []string{"", "own design", "licensed", "asked"}},
	}
	for _, r := range rows {
		if err := oneOf(r.key, r.value, r.words...); err != nil {
			return err
		}
	}
	return nil
}

func validStrings(s Spec) *SpecError {
	n := s.Strings
	if n < 1 || n > maxStrings {
		return specErr("strings", n, "between 1 and %d strings", maxStrings)
	}
	if len(s.Nut.GaugesIn) > 0 && len(s.Nut.GaugesMM) > 0 {
		return specErr("nut.gauges_in", nil, "give the gauges in inches or in mm, not both")
	}
	for _, g := range []struct {
		key  string
		list []float64
		most float64
		unit string
	}{{"nut.gauges_in", s.Nut.GaugesIn, 0.2, "inches, such as 0.046"}, {"nut.gauges_mm", s.Nut.GaugesMM, 5, "millimetres, such as 1.17"}} {
		if len(g.list) > 0 && len(g.list) != n {
			return specErr(g.key, len(g.list), "one gauge for each of the %d strings, bass first", n)
		}
		for _, v := range g.list {
			if v <= 0 || v > g.most {
				return specErr(g.key, v, "a gauge in %s", g.unit)
			}
		}
	}
	if p := s.Nut.PositionsMM; len(p) > 0 {
		if len(p) != n {
			return specErr("nut.positions_mm", len(p), "one position for each of the %d strings, bass first", n)
		}
		if !slices.IsSorted(p) {
			return specErr("nut.positions_mm", nil, "positions rise from bass to treble")
		}
	} else if n > 1 && s.Nut.OuterSpanMM <= 0 {
		return specErr("nut.outer_span_mm", s.Nut.OuterSpanMM, "the span between the outer string centres is needed")
	}
	if s.Nut.Spacing == EqualGaps && len(s.gaugesMM()) == 0 && len(s.Nut.PositionsMM) == 0 {
		return specErr("nut.spacing", s.Nut.Spacing, "equal gaps need nut.gauges_in or nut.gauges_mm")
	}
	if len(s.Nut.PositionsMM) == 0 && s.Nut.Spacing == EqualGaps && n > 1 {
		if gap := s.gapMM(); gap <= 0 {
			return specErr("nut.outer_span_mm", s.Nut.OuterSpanMM, "the strings alone fill this span (gap %s mm)", trimMM(gap))
		}
	}
	if s.Nut.ThicknessMM < 0 || s.Nut.ThicknessMM > 50 {
		return specErr("nut.thickness_mm", s.Nut.ThicknessMM, "between 0 and 50")
	}
	if math.Abs(s.Nut.SlantDeg) > 30 {
		return specErr("nut.slant_deg", s.Nut.SlantDeg, "between -30 and 30 degrees")
	}
	return positive("nut.slot_height_mm", s.Nut.SlotHeightMM)
}

// positive allows zero, which means "not given".
func positive(key string, v float64) *SpecError {
	if v < 0 {
		return specErr(key, v, "not below zero")
	}
	return nil
}

func validPull(s Spec) *SpecError {
	p := s.Pull
	for _, r := range []struct {
		key string
		v   float64
	}{{"pull.scale_mm", p.ScaleMM}, {"pull.scale_bass_mm", p.ScaleBassMM}, {"pull.scale_treble_mm", p.ScaleTrebleMM}, {"pull.bridge_span_mm", p.BridgeSpanMM}} {
		if err := positive(r.key, r.v); err != nil {
			return err
		}
	}
	if p.Along == AlongString {
		if p.BridgeSpanMM == 0 && s.Strings > 1 {
			return specErr("pull.bridge_span_mm", p.BridgeSpanMM, "needed for pull along the string's own line")
		}
		if p.ScaleBassMM < 100 || p.ScaleTrebleMM < 100 {
			return specErr("pull.scale_mm", p.ScaleMM, "a scale length of 100 mm or more is needed for pull along the string's own line")
		}
	}
	if math.Abs(s.Head.TiltDeg) > 45 {
		return specErr("head.tilt_deg", s.Head.TiltDeg, "between -45 and 45 degrees")
	}
	if s.Head.LeastBreakDeg < 0 || s.Head.LeastBreakDeg > 45 {
		return specErr("head.least_break_deg", s.Head.LeastBreakDeg, "between 0 and 45 degrees")
	}
	return nil
}

func validPosts(s Spec) *SpecError {
	p := s.Posts
	if p.DiameterMM <= 0 || p.DiameterMM > 30 {
		return specErr("posts.diameter_mm", p.DiameterMM, "the post's waist, above 0 and at most 30")
	}
	if p.FirstMM <= 0 {
		return specErr("posts.first_mm", p.FirstMM, "the first post's distance from the fretboard end, above 0")
	}
	if p.PitchMM < minPitchMM {
		return specErr("posts.pitch_mm", p.PitchMM, "centre to centre, %g or more", minPitchMM)
	}
	if p.Bass < 0 || p.Treble < 0 || p.Bass+p.Treble != s.Strings {
		return specErr("posts.bass", p.Bass, "posts.bass and posts.treble (%d) add up to the %d strings", p.Treble, s.Strings)
	}
	if err := positive("posts.treble_first_mm", p.TrebleFirstMM); err != nil {
		return err
	}
	if p.TreblePitchMM != 0 && p.TreblePitchMM < minPitchMM {
		return specErr("posts.treble_pitch_mm", p.TreblePitchMM, "%g or more", minPitchMM)
	}
	if p.Mirror && (p.TrebleFirstMM > 0 || p.TreblePitchMM > 0) {
		return specErr("posts.mirror", p.Mirror, "a mirrored row takes its first post and pitch from the longer row; leave out posts.treble_first_mm and posts.treble_pitch_mm")
	}
	return nil
}

func validEdge(s Spec) *SpecError {
	e := s.Edge
	for _, r := range []struct {
		key string
		v   float64
	}{{"edge.min_mm", e.MinMM}, {"edge.max_mm", e.MaxMM}, {"edge.target_mm", e.TargetMM}, {"edge.pitch_min_mm", e.PitchMinMM}, {"edge.wall_mm", e.WallMM}} {
		if err := positive(r.key, r.v); err != nil {
			return err
		}
	}
	if e.PitchTolMM < 0.001 {
		return specErr("edge.pitch_tol_mm", e.PitchTolMM, "0.001 or more")
	}
	if e.EdgeTolMM < 0.001 {
		return specErr("edge.edge_tol_mm", e.EdgeTolMM, "0.001 or more")
	}
	if e.MaxMM > 0 && e.MinMM > e.MaxMM {
		return specErr("edge.min_mm", e.MinMM, "not above edge.max_mm (%s)", trimMM(e.MaxMM))
	}
	if e.TargetMM > 0 && (e.TargetMM < e.MinMM || e.MaxMM > 0 && e.TargetMM > e.MaxMM) {
		return specErr("edge.target_mm", e.TargetMM, "inside the band edge.min_mm (%s) to edge.max_mm (%s)", trimMM(e.MinMM), trimMM(e.MaxMM))
	}
	return nil
}

func validTuner(s Spec) *SpecError {
	t := s.Tuner
	through := false
	for _, b := range t.Bores {
		if b.DiameterMM <= 0 || b.DiameterMM > 60 {
			return specErr("tuner.bore.diameter_mm", b.DiameterMM, "above 0 and at most 60")
		}
		if b.DepthMM < 0 || b.DepthMM > 100 {
			return specErr("tuner.bore.depth_mm", b.DepthMM, "0 (through) to 100")
		}
		if err := oneOf("tuner.bore.from", b.From, "face", "back"); err != nil {
			return err
		}
		through = through || b.DepthMM == 0
	}
	if !through {
		return specErr("tuner.bore", nil, "one step must go through (no depth_mm)")
	}
	for _, r := range []struct {
		key string
		v   float64
	}{
		{"tuner.flange_mm", t.FlangeMM}, {"tuner.body_width_mm", t.BodyWidthMM}, {"tuner.body_in_mm", t.BodyInMM}, {"tuner.body_out_mm", t.BodyOutMM},
		{"tuner.shaft_mm", t.ShaftMM}, {"tuner.button_mm", t.ButtonMM}, {"tuner.button_length_mm", t.ButtonLenMM}, {"tuner.clamp_least_mm", t.ClampLeast},
		{"tuner.clamp_most_mm", t.ClampMost}, {"tuner.wind_height_mm", t.WindMM}, {"tuner.pilot_mm", t.PilotMM}, {"tuner.pilot_depth_mm", t.PilotDepth},
	} {
		if r.v < 0 || r.v > 200 {
			return specErr(r.key, r.v, "between 0 and 200")
		}
	}
	if t.ClampMost > 0 && t.ClampLeast > t.ClampMost {
		return specErr("tuner.clamp_least_mm", t.ClampLeast, "not above tuner.clamp_most_mm (%s)", trimMM(t.ClampMost))
	}
	if len(t.AnglesDeg) > 0 && len(t.AnglesDeg) != s.Strings {
		return specErr("tuner.angles_deg", len(t.AnglesDeg), "one angle for each of the %d strings", s.Strings)
	}
	for _, sc := range t.ScrewsMM {
		if len(sc) != 2 {
			return specErr("tuner.screws_mm", sc, "pairs: along the row, towards the button")
		}
	}
	if len(t.ScrewsMM) > 0 && t.PilotMM == 0 {
		return specErr("tuner.pilot_mm", t.PilotMM, "the pilot's diameter is needed with tuner.screws_mm")
	}
	if len(t.ScrewsMM) > 8 || len(t.Bores) > 8 {
		return specErr("tuner", nil, "at most 8 screws and 8 bore steps")
	}
	return nil
}
