package layout

import (
	"fmt"
	"math"
	"strings"
)

// gaveWay says, for each row, what the mode kept and what gave way.
func (s *solver) gaveWay(m mode, p Plan) []string {
	var notes []string
	for _, r := range p.Rows {
		if r.Posts < 2 {
			continue
		}
		text := m.kept
		if len(p.ByHand) > 0 {
			text = "posts moved by hand"
		}
		gave := ""
		if m.givesString && r.OffMaxMM > 0 {
			gave = fmt.Sprintf("posts up to %s mm off their strings", tenthsOf(r.OffMaxMM))
		}
		if r.EdgeMinMM != nil && (m.givesEdge || len(p.ByHand) > 0) {
			gave = join(gave, "edge "+fromTo(*r.EdgeMinMM, *r.EdgeMaxMM))
		}
		if m.givesPitch || len(p.ByHand) > 0 {
			gave = join(gave, "pitch "+fromTo(*r.PitchMinMM, *r.PitchMaxMM))
		}
		if gave != "" && len(p.ByHand) > 0 {
			text += ": " + gave
		} else if gave != "" {
			text += ". What gave way: " + gave
		}
		notes = append(notes, fmt.Sprintf("%s row: %s.", capital(r.Side), text))
	}
	return notes
}

// capital is text with a capital to begin a sentence.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

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
		add("Strings follow their own lines (bridge span %s mm).", length(s.spec.Pull.BridgeSpanMM))
	} else if s.spec.Nut.SlantDeg != 0 {
		add("The nut is slanted %s degrees and the strings leave it square. On a real neck they follow their own lines: add pull.bridge_span_mm and pull.scale_mm.", trimMM(s.spec.Nut.SlantDeg))
	}
	if s.spec.Nut.ThicknessMM == 0 {
		add("Assumed: nut thickness 0. Add nut.thickness_mm.")
	}
	if len(s.spec.gaugesMM()) == 0 {
		add("Assumed: string gauges 0. Add nut.gauges_in.")
	}
	if s.spec.Outline.View == "plan" {
		tip := s.outline.TipMM()
		add("The outline is a plan view: tilted %s degrees it was %s mm short at the tip, corrected here.", trimMM(s.spec.Head.TiltDeg), tenthsOf(tip*(1-math.Cos(radians(s.spec.Head.TiltDeg)))))
	}
	if s.outline != nil && s.outline.Ignored > 0 {
		add("The drawing has %d more shapes. The largest is the outline.", s.outline.Ignored)
	}
	if s.outline != nil && !s.outline.closed {
		add("The outline is open: edge distances are to the line as drawn, on either side.")
	}
	if s.spec.Stack.CoreMM == 0 && len(s.spec.Stack.CoreAt) == 0 {
		add("Assumed: headstock %s mm thick. Add stack.core_mm.", length(defaultThicknessMM))
	}
	return notes
}

func fromTo(lo, hi float64) string {
	if tenths(lo) == tenths(hi) {
		return tenthsOf(lo) + " mm"
	}
	return tenthsOf(lo) + " to " + tenthsOf(hi) + " mm"
}
