package layout

import (
	"regexp"
	"strings"
	"testing"
)

// What was started reads as a spec, and each value that nobody gave says that it is a
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

// What a started spec offers behind its remarks can be taken as it is: every key is
// one, and the plan it gives leaves fewer checks undone.
func TestBeginOffersKeys(t *testing.T) {
	text, _ := Begin(Answers{Title: "offer", Strings: 6, Bass: 6, NutMM: 42, HoleMM: 10, FirstMM: 42, PitchMM: 25, Widths: [][2]float64{{0, 43}, {30, 78}, {190, 60}}})
	all := regexp.MustCompile(`(?m)^# ([a-z_]+ = )`).ReplaceAllString(text, "$1")
	if n := strings.Count(all, "\n") - strings.Count(text, "\n"); n != 0 || all == text {
		t.Fatalf("nothing is offered in\n%s", text)
	}
	bare, full := mustRead(t, text), mustRead(t, all)
	if full.Edge.MinMM == 0 || full.Tuner.FlangeMM == 0 || full.Tuner.ClampMost == 0 || full.Nut.ThicknessMM == 0 || len(full.Nut.GaugesIn) != 6 || len(full.Stack.FaceMM) == 0 || full.Stack.CoreMM == 0 {
		t.Errorf("an offered key was not read: %+v", full)
	}
	less, err := Solve(bare, EvenPitch)
	if err != nil {
		t.Fatal(err)
	}
	more, err := Solve(full, EvenPitch)
	if err != nil {
		t.Fatal(err)
	}
	if len(more.Unchecked) >= len(less.Unchecked) {
		t.Errorf("%d checks undone with the offered keys, %d without", len(more.Unchecked), len(less.Unchecked))
	}
}
