package layout

// Default limits. Common practice, no source, unless said otherwise; each can
// be set in the spec.
const (
	defaultHoleMM        = 10.0 // bushing hole of a usual tuner
	defaultFlangeMM      = 14.0 // its washer: 2 mm of cover round the hole
	defaultPitchTolMM    = 1.0  // differences of pitch the eye does not see
	defaultEdgeTolMM     = 0.75 // a wobble next to a visible edge is seen sooner
	defaultWallMM        = 3.0
	defaultKeepClearMM   = 2.0
	defaultLeastBreakDeg = 5.0
	defaultGlueLineMM    = 0.1
	defaultMarginMM      = 0.2 // kept inside the tuner's clamping range
	defaultThicknessMM   = 15.0
	defaultBackingMM     = 4.0 // the bit runs this far into the backing
	defaultFitMM         = 0.5 // paper and drawing agree within half a millimetre
	defaultDatumMM       = 1.0
	stringClearMM        = 1.5 // string to a post it passes
	bodyPitchGapMM       = 1.0 // least pitch is the body's width and this
	glueNearMM           = 2.0 // a hole this near to a glue line is worth a word

	maxCoordMM = 5000.0 // beyond any number that makes sense here
	maxTipMM   = 800.0  // no headstock is longer
	maxUnits   = 1e6    // of a drawing, before its scale is applied
	maxStrings = 24
	minPitchMM = 1.0
)

// withDefaults fills what the builder left out.
func (s Spec) withDefaults() Spec {
	setText := func(p *string, v string) {
		if *p == "" {
			*p = v
		}
	}
	setMM := func(p *float64, v float64) {
		if *p == 0 {
			*p = v
		}
	}
	setText(&s.Nut.Spacing, EqualCentres)
	if s.Pull.Along == "" {
		s.Pull.Along = AlongNut
		if s.Pull.BridgeSpanMM > 0 {
			s.Pull.Along = AlongString
		}
	}
	setText(&s.Posts.Wind, "inner")
	setText(&s.Outline.View, "face")
	setText(&s.Outline.Join, "smooth")
	setText(&s.Tuner.Align, "edge")
	if s.Pull.ScaleMM > 0 {
		setMM(&s.Pull.ScaleBassMM, s.Pull.ScaleMM)
		setMM(&s.Pull.ScaleTrebleMM, s.Pull.ScaleMM)
	}
	switch {
	case s.Posts.Bass > 0 && s.Posts.Treble == 0 && s.Posts.Bass < s.Strings:
		s.Posts.Treble = s.Strings - s.Posts.Bass
	case s.Posts.Treble > 0 && s.Posts.Bass == 0 && s.Posts.Treble < s.Strings:
		s.Posts.Bass = s.Strings - s.Posts.Treble
	}
	setMM(&s.Head.LeastBreakDeg, defaultLeastBreakDeg)
	setMM(&s.Edge.PitchTolMM, defaultPitchTolMM)
	setMM(&s.Edge.EdgeTolMM, defaultEdgeTolMM)
	setMM(&s.Edge.WallMM, defaultWallMM)
	if s.Edge.PitchMinMM == 0 && s.Tuner.BodyWidthMM > 0 {
		s.Edge.PitchMinMM = s.Tuner.BodyWidthMM + bodyPitchGapMM
	}
	if len(s.Tuner.Bores) == 0 {
		s.Tuner.Bores = []Bore{{DiameterMM: defaultHoleMM}}
	}
	s.Tuner.Bores = append([]Bore(nil), s.Tuner.Bores...)
	for i := range s.Tuner.Bores {
		setText(&s.Tuner.Bores[i].From, "face")
	}
	setMM(&s.Tuner.FlangeMM, defaultFlangeMM)
	s.Keepout = append([]Keepout(nil), s.Keepout...)
	for i := range s.Keepout {
		setMM(&s.Keepout[i].ClearMM, defaultKeepClearMM)
		setText(&s.Keepout[i].Name, "keep-out")
	}
	s.Stack = s.Stack.withDefaults()
	setMM(&s.Marks.FitMM, defaultFitMM)
	setMM(&s.Marks.DatumMM, defaultDatumMM)
	return s
}
