package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// stringLine is one string over the headstock: where it leaves the nut and its
// direction to the tip (a unit vector with Y > 0).
type stringLine struct {
	At       r2.Vec
	Dir      r2.Vec
	RadiusMM float64 // 0 when no gauge is given
}

// gaugesMM is the gauges in mm, bass first; nil when none are given.
func (s Spec) gaugesMM() []float64 {
	if len(s.Nut.GaugesIn) == 0 {
		return s.Nut.GaugesMM
	}
	mm := make([]float64, len(s.Nut.GaugesIn))
	for i, g := range s.Nut.GaugesIn {
		mm[i] = g * MMPerInch
	}
	return mm
}

// gapMM is the clear gap between strings at the nut for equal gaps: what the
// span between the outer centres leaves after the inner strings and half of
// each outer one, shared evenly.
func (s Spec) gapMM() float64 {
	d := s.gaugesMM()
	n := s.Strings
	if n < 2 || len(d) != n {
		return 0
	}
	solid := (d[0] + d[n-1]) / 2
	for _, v := range d[1 : n-1] {
		solid += v
	}
	return (s.Nut.OuterSpanMM - solid) / float64(n-1)
}

// positionsMM is the string centres along the nut from the centre line, bass
// first: x_{i+1} = x_i + d_i/2 + gap + d_{i+1}/2 for equal gaps.
func (s Spec) positionsMM() []float64 {
	if len(s.Nut.PositionsMM) > 0 {
		return s.Nut.PositionsMM
	}
	n := s.Strings
	x := make([]float64, n)
	if n == 1 {
		return x
	}
	half := s.Nut.OuterSpanMM / 2
	x[0] = -half
	d, gap := s.gaugesMM(), s.gapMM()
	for i := 1; i < n; i++ {
		if s.Nut.Spacing == EqualGaps {
			x[i] = x[i-1] + d[i-1]/2 + gap + d[i]/2
		} else {
			x[i] = -half + s.Nut.OuterSpanMM*float64(i)/float64(n-1)
		}
	}
	x[n-1] = half
	return x
}

// lines is the strings over the headstock. The nut's headstock side crosses
// the centre line at y = nut thickness; a slanted nut turns about that point
// and its span is measured along it. Pull along the string carries each line
// on from its bridge place (same proportions over the bridge span, its own
// share of the way from the bass to the treble scale length).
func (s Spec) lines() []stringLine {
	pos, gauges := s.positionsMM(), s.gaugesMM()
	sin, cos := math.Sincos(radians(s.Nut.SlantDeg))
	lines := make([]stringLine, len(pos))
	span := pos[len(pos)-1] - pos[0]
	for i, t := range pos {
		at := r2.Vec{X: t * cos, Y: s.Nut.ThicknessMM + t*sin}
		dir := r2.Vec{X: -sin, Y: cos}
		if s.Pull.Along == AlongString {
			share, bridgeX := 0.5, 0.0
			if span > 0 {
				share = (t - pos[0]) / span
				bridgeX = s.Pull.BridgeSpanMM * (share - 0.5)
			}
			scale := s.Pull.ScaleBassMM + (s.Pull.ScaleTrebleMM-s.Pull.ScaleBassMM)*share
			dir = r2.Unit(r2.Vec{X: at.X - bridgeX, Y: scale})
		}
		r := 0.0
		if len(gauges) == len(pos) {
			r = gauges[i] / 2
		}
		lines[i] = stringLine{At: at, Dir: dir, RadiusMM: r}
	}
	return lines
}
