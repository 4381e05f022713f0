package layout

import "slices"

// DrawnFromBack says that a spec whose posts do not fit its outline would fit the
// outline's mirror image: it may have been drawn as seen from the back.
func DrawnFromBack(spec Spec, mode string) bool {
	if spec.Posts.Bass == spec.Posts.Treble || !spec.Outline.given() || fitsOutline(spec, mode) {
		return false
	}
	return fitsOutline(spec.turned(), mode)
}

// fitsOutline says that every post can be placed and is not too near an edge.
func fitsOutline(spec Spec, mode string) bool {
	p, err := Solve(spec, mode)
	if err != nil {
		return false
	}
	for _, f := range p.Findings {
		if f.Result == Fail && (f.Check == "edge band" || f.Check == "wall to edge") {
			return false
		}
	}
	return true
}

// turned gives the strings and posts as they are on the mirror image of the head.
func (s Spec) turned() Spec {
	p := &s.Posts
	p.Bass, p.Treble = p.Treble, p.Bass
	p.BassReversed, p.TrebleReversed = p.TrebleReversed, p.BassReversed
	if p.TrebleFirstMM > 0 {
		p.FirstMM, p.TrebleFirstMM = p.TrebleFirstMM, p.FirstMM
	}
	if p.TreblePitchMM > 0 {
		p.PitchMM, p.TreblePitchMM = p.TreblePitchMM, p.PitchMM
	}
	back := func(list []float64) []float64 {
		out := slices.Clone(list)
		slices.Reverse(out)
		return out
	}
	s.Nut.GaugesIn, s.Nut.GaugesMM, s.Tuner.AnglesDeg = back(s.Nut.GaugesIn), back(s.Nut.GaugesMM), back(s.Tuner.AnglesDeg)
	s.Nut.PositionsMM = back(s.Nut.PositionsMM)
	for i := range s.Nut.PositionsMM {
		s.Nut.PositionsMM[i] = -s.Nut.PositionsMM[i]
	}
	s.Nut.SlantDeg = -s.Nut.SlantDeg
	s.Pull.ScaleBassMM, s.Pull.ScaleTrebleMM = s.Pull.ScaleTrebleMM, s.Pull.ScaleBassMM
	return s
}
