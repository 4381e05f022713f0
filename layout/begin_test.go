package layout

import (
	"strings"
	"testing"
)

// What was begun reads as a spec, and each value that nobody gave says that it is a
// guess.
func TestBegin(t *testing.T) {
	whole := Answers{Title: "Plain six", Strings: 6, Bass: 3, Treble: 3, ScaleMM: 640, SpanMM: 35, Widths: [][2]float64{{0, 43}, {30, 76}, {160, 60}}, HoleMM: 10, PostMM: 6, FlangeMM: 14,
		ClampLeastMM: 11, ClampMostMM: 16, FirstMM: 45, PitchMM: 26, ThicknessMM: 15}
	bare := Answers{Title: "Plain six", Strings: 6, Bass: 6, NutMM: 42, HoleMM: 10, Widths: [][2]float64{{0, 43}, {160, 60}}}
	text, guessed := Begin(whole)
	if len(guessed) > 0 || strings.Contains(text, "guess") {
		t.Errorf("all was given, and %v is guessed:\n%s", guessed, text)
	}
	s, err := ReadSpec([]byte(text), nil)
	if err != nil || s.Nut.OuterSpanMM != 35 || s.Posts.Treble != 3 || s.Tuner.Bores[0].DiameterMM != 10 || s.Stack.CoreMM != 15 || s.Outline.Stations[1][1] != 38 {
		t.Errorf("%v %+v", err, s)
	}
	if _, err := Solve(s, "even-pitch"); err != nil {
		t.Errorf("it does not solve: %v", err)
	}
	text, guessed = Begin(bare)
	if s, err = ReadSpec([]byte(text), nil); err != nil || s.Nut.OuterSpanMM != 42-2*guessEdgeMM || strings.Count(text, "a guess") != len(guessed) || len(guessed) != 4 {
		t.Errorf("%v, guessed %v:\n%s", err, guessed, text)
	}
}

func FuzzBegin(f *testing.F) {
	f.Add("Plain six", 6, 3, 42.0, 10.0, 43.0, 76.0)
	f.Add("a \"quoted\" # title\n[nut]", 4, 4, 0.1, 3.0, 0.0, -5.0)
	f.Fuzz(func(t *testing.T, title string, strings, bass int, nut, hole, w0, w1 float64) {
		text, _ := Begin(Answers{Title: title, Strings: strings, Bass: bass, Treble: strings - bass, NutMM: nut, HoleMM: hole, Widths: [][2]float64{{0, w0}, {100, w1}}})
		if _, err := ReadSpec([]byte(text), nil); err != nil {
			oneLine(t, err)
		}
	})
}
