package layout

import (
	"math"
	"testing"
)

// mustSpec is a head of our own: 4+2 posts and a 35 mm nut.
const mustSpec = `
strings = 6
[nut]
outer_span_mm = 35.0
spacing = "equal-centres"
[posts]
diameter_mm = 5.0
first_mm = 47.0
pitch_mm = 25.0
bass = 4
treble = 2
mirror = true
[edge]
min_mm = 12.0
max_mm = 15.0
target_mm = 13.5
pitch_min_mm = 23.0
pitch_tol_mm = 1.0
edge_tol_mm = 0.75
`

// wedge is a plain head of our own: straight sides that suit a pitch of 25 mm
// (16.3 degrees to the strings), the treble side steeper beyond its posts.
const wedge = "M -22 0 L -39.9 27 L -7.44 138.3 C -5 146 2 151 10 149 C 18 147 22 143 22 135 L 25.32 77 L 39.9 27 L 22 0 Z"

const wedgeOutline = "[outline]\npath = \"" + wedge + "\"\n"

func mustRead(t testing.TB, text string) Spec {
	t.Helper()
	s, err := ReadSpec([]byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustSolve(t testing.TB, s Spec, mode string) Plan {
	t.Helper()
	p, err := Solve(s, mode)
	if err != nil {
		t.Fatalf("%s: %v", mode, err)
	}
	return p
}

func row4(p Plan, side string) (xs, ys []float64) {
	for _, post := range p.Posts {
		if post.Side == side {
			xs, ys = append(xs, post.XMM), append(ys, post.YMM)
		}
	}
	return xs, ys
}

func within(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// Strings 7 mm apart and posts 25 mm apart are 24 mm apart along the strings: by
// arithmetic, 7, 24 and 25 are the sides of a right triangle.
func TestSolveEvenPitchWorkedExample(t *testing.T) {
	for _, outline := range []string{"", wedgeOutline} {
		p := mustSolve(t, mustRead(t, mustSpec+outline), EvenPitch)
		xs, ys := row4(p, Bass)
		for i, want := range []float64{-20, -13, -6, 1} {
			within(t, "bass x", xs[i], want, 1e-6)
		}
		for i, want := range []float64{47, 71, 95, 119} {
			within(t, "bass y", ys[i], want, 1e-5)
		}
		within(t, "end to end", p.Rows[0].EndToEndMM, 75, 1e-5)
		tx, ty := row4(p, Treble)
		for i := range tx {
			within(t, "treble x", tx[i], -xs[i], 1e-6)
			within(t, "treble y", ty[i], ys[i], 1e-6)
		}
	}
}
