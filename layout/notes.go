package layout

import (
	"fmt"
	"math"
)

// gaveWay says, for each row, what the mode kept and what gave way.
func (s *solver) gaveWay(m mode, p Plan) []string {
	var notes []string
	for _, r := range p.Rows {
		if r.Posts < 2 {
			continue
		}
		text := m.kept
		gave := ""
		if m.givesString && r.OffMaxMM > 0 {
			gave = fmt.Sprintf("posts up to %s mm beside their strings", tenths(r.OffMaxMM))
		}
		if r.EdgeMinMM != nil && m.givesEdge {
			gave = join(gave, "edge "+fromTo(*r.EdgeMinMM, *r.EdgeMaxMM))
		}
		if m.givesPitch {
			gave = join(gave, "pitch "+fromTo(*r.PitchMinMM, *r.PitchMaxMM))
		}
		if gave != "" {
			text += "; what gives: " + gave
		}
		notes = append(notes, r.Side+" row: "+text)
	}
	return notes
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// tenths prints to 0.1 mm, the finest a rule and a square can follow; anything
// smaller than that but not nothing is "under 0.1".
func tenths(v float64) string {
	if a := math.Abs(v); a > 0 && a < 0.05 {
		return "under 0.1"
	}
	return fmt.Sprintf("%.1f", v)
}

// assumed says what the plan rests on that the spec left open.
func (s *solver) assumed() []string {
	var notes []string
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if s.spec.Pull.Along == AlongString {
		add("strings carry on along their own lines (bridge span %s mm)", trimMM(s.spec.Pull.BridgeSpanMM))
	} else if s.spec.Nut.SlantDeg != 0 {
		add("the nut is slanted %s degrees and the strings leave it square; on a real neck they follow their own lines: give pull.bridge_span_mm and scale lengths", trimMM(s.spec.Nut.SlantDeg))
	}
	if s.spec.Nut.ThicknessMM == 0 {
		add("nut.thickness_mm is not given: kink and break are reckoned from the fretboard end")
	}
	if len(s.spec.gaugesMM()) == 0 {
		add("no gauges given: posts stand half a post beside the string's centre, without half the string")
	}
	if s.spec.Outline.View == "plan" {
		tip := s.outline.TipMM()
		add("the outline was a plan view: tilted %s degrees it lost %s mm up to the tip, given back here", trimMM(s.spec.Head.TiltDeg), tenths(tip*(1-math.Cos(radians(s.spec.Head.TiltDeg)))))
	}
	if s.outline != nil && s.outline.Ignored > 0 {
		add("the drawing holds %d more shapes; the largest is taken as the outline", s.outline.Ignored)
	}
	if s.outline != nil && !s.outline.closed {
		add("the outline is open: distances are to the line drawn, on either side of it")
	}
	if s.spec.Shape == "" {
		add("whose shape is it? Headstock shapes and tuner arrangements can be registered by others: set shape to \"own design\", \"licensed\" or \"asked\"")
	}
	if s.spec.Stack.CoreMM == 0 && len(s.spec.Stack.CoreAt) == 0 {
		add("no thickness given: hole depths assume %s mm", trimMM(defaultThicknessMM))
	}
	return notes
}

func fromTo(lo, hi float64) string {
	a, b := tenths(lo), tenths(hi)
	if a == b {
		return a + " mm"
	}
	return a + " to " + b + " mm"
}
