package layout

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestUnknownKeyNamesTheNearest(t *testing.T) {
	for bad, near := range map[string]string{
		"[posts]\ndiametre_mm = 4\n": "posts.diameter_mm",
		"[nut]\nouter_span = 35\n":   "nut.outer_span_mm",
		"[egde]\nmin_mm = 3\n":       "edge",
		"string = 6\n":               "strings",
		"[[keepout]]\nradius = 3\n":  "keepout.radius_mm",
	} {
		_, err := ReadSpec([]byte(bad), nil)
		if err == nil || !strings.Contains(err.Error(), near) || !strings.Contains(err.Error(), "line ") {
			t.Errorf("%q: err = %v, want the nearest key %s and the line", bad, err, near)
		}
	}
}

// Every refusal is one *SpecError naming key and value.
func TestSpecRefusals(t *testing.T) {
	for _, c := range []struct{ from, to, key string }{
		{"strings = 6", "strings = 0", "strings = 0"},
		{"strings = 6", "strings = 99", "strings = 99"},
		{"strings = 6", `strings = "six"`, "strings"},
		{"outer_span_mm = 35.0", "outer_span_mm = -1", "nut.outer_span_mm = -1"},
		{"outer_span_mm = 35.0", "outer_span_mm = nan", "nut.outer_span_mm"},
		{"outer_span_mm = 35.0", "outer_span_mm = 1e300", "nut.outer_span_mm"},
		{`"equal-centres"`, `"equal-center"`, `nut.spacing = "equal-center": one of "equal-centres", "equal-gaps"; the nearest is "equal-centres"`},
		{`"equal-centres"`, `"equal-gaps"`, "nut.spacing"},
		{"outer_span_mm = 35.0", "outer_span_mm = 35.0\ngauges_in = [46,36,26,17,13,10]", "nut.gauges_in = 46"},
		{"outer_span_mm = 35.0", "outer_span_mm = 35.0\ngauges_in = [0.046]", "nut.gauges_in = 1"},
		{"diameter_mm = 5.0", "diameter_mm = 0", "posts.diameter_mm = 0"},
		{"first_mm = 47.0", "first_mm = -3", "posts.first_mm = -3"},
		{"treble = 2", "treble = 3", "posts.bass = 4"},
		{"pitch_mm = 25.0", "pitch_mm = 0.2", "posts.pitch_mm = 0.2"},
		{"min_mm = 12.0", "min_mm = 19.0", "edge.min_mm = 19"},
		{"target_mm = 13.5", "target_mm = 16", "edge.target_mm = 16"},
		{"mirror = true", "mirror = true\ntreble_first_mm = 40", "posts.mirror"},
		{"[edge]", "[tuner]\nbore = [{diameter_mm = 10, depth_mm = 5}]\n[edge]", "tuner.bore"},
		{"[edge]", "[tuner]\nclamp_least_mm = 16\nclamp_most_mm = 15\n[edge]", "tuner.clamp_least_mm = 16"},
		{"[edge]", "[[keepout]]\nname = \"pocket\"\n[edge]", "keepout"},
		{"[edge]", "[stack]\ncore_mm = -2\n[edge]", "stack.core_mm = -2"},
		{"[edge]", "[[stack.measured]]\nstage = \"facing\"\nthickness_mm = 3\n[edge]", "stack.measured.stage"},
		{"[edge]", "[outline]\nview = \"plan\"\npath = \"M 0 0\"\n[edge]", "outline.view"},
		{"[edge]", "[outline]\nfile = \"x.svg\"\n[edge]", "outline.file"},
		{"[edge]", "[outline]\nstations = [[0, 20], [0, 30]]\n[edge]", "outline.stations"},
		{"[edge]", "[outline]\nstations = [[0, 20]]\n[edge]", "outline.stations"},
		{"[edge]", "[outline]\nstations = [[0, 20, 30, 40], [10, 3]]\n[edge]", "outline.stations"},
		{"[edge]", "shape = \"mine\"\n[edge]", "posts.shape"},
	} {
		_, err := ReadSpec([]byte(strings.Replace(mustSpec, c.from, c.to, 1)), nil)
		var se *SpecError
		if !errors.As(err, &se) || !strings.Contains(err.Error(), c.key) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: err = %v, want a one-line *SpecError with %q", c.to, err, c.key)
		}
	}
	if _, err := ReadSpec([]byte("strings = 6\nstrings = 6"), nil); err == nil {
		t.Error("a key that stands twice is taken")
	}
}

// The worked spec alone is enough; with stations, a path or a file it can be
// balanced too.
func TestMinimalSpecIsEnough(t *testing.T) {
	files := func(name string) ([]byte, error) {
		if name != "head.svg" {
			return nil, errors.New("no such file")
		}
		return []byte(`<svg><path d="` + wedge + `"/></svg>`), nil
	}
	for _, outline := range []string{wedgeOutline, "[outline]\nfile = \"head.svg\"\n", "[outline]\nstations = [[0,-21,21],[30,-39,39],[80,-25,25],[110,-17,24],[141,-8,22],[153,2,10]]\n"} {
		s, err := ReadSpec([]byte(mustSpec+outline), files)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range Modes() {
			if _, err := Solve(s, m); err != nil {
				t.Errorf("%.30s, %s: %v", outline, m, err)
			}
		}
	}
	p := mustSolve(t, mustRead(t, mustSpec), StraightRow)
	if p.Posts[0].EdgeMM != nil || p.Posts[0].PitchMM != nil {
		t.Error("without an outline the edge distance is not a number")
	}
}

func TestRowsOfAnySplit(t *testing.T) {
	for _, c := range []struct {
		n, bass, treble int
		reversed        string
		bassRow, trRow  []int
	}{
		{6, 6, 0, "", []int{1, 2, 3, 4, 5, 6}, nil},
		{6, 0, 6, "", nil, []int{6, 5, 4, 3, 2, 1}},
		{6, 3, 3, "", []int{1, 2, 3}, []int{6, 5, 4}},
		{6, 4, 2, "", []int{1, 2, 3, 4}, []int{6, 5}},
		{7, 3, 4, "", []int{1, 2, 3}, []int{7, 6, 5, 4}},
		{5, 3, 2, "bass_reversed = true\n", []int{3, 2, 1}, []int{5, 4}},
		{4, 4, 0, "", []int{1, 2, 3, 4}, nil},
		{6, 0, 6, "treble_reversed = true\n", nil, []int{1, 2, 3, 4, 5, 6}},
	} {
		s := Spec{Strings: c.n, Nut: Nut{OuterSpanMM: 7 * float64(c.n-1)}, Posts: Posts{DiameterMM: 4, FirstMM: 47, PitchMM: 24.5, Bass: c.bass, Treble: c.treble,
			BassReversed: strings.HasPrefix(c.reversed, "bass"), TrebleReversed: strings.HasPrefix(c.reversed, "treble")}}
		p := mustSolve(t, s, EvenPitch)
		var b, tr []int
		for _, post := range p.Posts {
			if post.Side == Bass {
				b = append(b, post.String)
			} else {
				tr = append(tr, post.String)
			}
		}
		if !equalInts(b, c.bassRow) || !equalInts(tr, c.trRow) {
			t.Errorf("%d+%d %s: rows %v %v, want %v %v", c.bass, c.treble, c.reversed, b, tr, c.bassRow, c.trRow)
		}
		for _, post := range p.Posts {
			side := map[string]float64{Bass: -1, Treble: 1}[post.Side]
			str := -3.5*float64(c.n-1) + 7*float64(post.String-1)
			within(t, "post beside its string", post.XMM, str+2*side, 1e-9)
		}
	}
}

func equalInts(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func TestPlanCode(t *testing.T) {
	s := mustRead(t, mustSpec+wedgeOutline)
	a, b := mustSolve(t, s, EvenPitch), mustSolve(t, s, EvenPitch)
	if a.Code != b.Code || len(a.Code) != codeLength || strings.Trim(a.Code, codeLetters) != "" {
		t.Fatalf("codes %q and %q", a.Code, b.Code)
	}
	seen := map[string]string{a.Code: "as it is"}
	named := s
	named.Title = "another name"
	if p := mustSolve(t, named, EvenPitch); p.Code != a.Code {
		t.Error("a title changes the code")
	}
	for name, change := range map[string]func(*Spec){
		"nut": func(s *Spec) { s.Nut.OuterSpanMM = 34.5 }, "tuner": func(s *Spec) { s.Tuner.FlangeMM = 15 }, "pitch": func(s *Spec) { s.Posts.PitchMM = 26.1 },
		"outline": func(s *Spec) { s.Outline.Path = strings.Replace(wedge, "149", "150", 1) }, "core": func(s *Spec) { s.Stack.CoreMM = 13 },
		"gauges": func(s *Spec) { s.Nut.GaugesIn = []float64{.046, .036, .026, .017, .013, .010} },
	} {
		c := s
		change(&c)
		p := mustSolve(t, c, EvenPitch)
		if other, twice := seen[p.Code]; twice {
			t.Errorf("%s changed, but the code is that of %s", name, other)
		}
		seen[p.Code] = name
		if InputCode(c) == InputCode(s) {
			t.Errorf("%s changed, but the inputs' code did not", name)
		}
	}
	if InputCode(s) != InputCode(named) {
		t.Error("a title makes a plan out of date")
	}
}

func FuzzReadSpec(f *testing.F) {
	f.Add(mustSpec)
	f.Add(mustSpec + wedgeOutline)
	f.Add(twelve)
	f.Add("[[keepout]]\nbox_mm = [1,2,3,4]\n")
	f.Add("strings = 2\n[nut]\nouter_span_mm=30\nslant_deg=29\n[posts]\ndiameter_mm=1\nfirst_mm=1\npitch_mm=1e3\nbass=2\n[outline]\nstations=[[0,20],[1,30]]\n[edge]\ntarget_mm=0.001\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadSpec([]byte(text), nil)
		if err != nil {
			oneLine(t, err)
			return
		}
		for _, m := range Modes() {
			p, err := Solve(s, m)
			if err != nil {
				oneLine(t, err)
				continue
			}
			for _, post := range p.Posts {
				if math.IsNaN(post.XMM+post.YMM) || math.IsInf(post.XMM+post.YMM, 0) {
					t.Fatalf("%s: post %+v", m, post)
				}
			}
		}
	})
}

func oneLine(t *testing.T, err error) {
	t.Helper()
	var se *SpecError
	var ie *InfeasibleError
	if !errors.As(err, &se) && !errors.As(err, &ie) {
		t.Fatalf("%T %v is no error of this package", err, err)
	}
	most := 600
	var all SpecErrors
	if errors.As(err, &all) {
		most *= len(all)
	}
	if text := err.Error(); len(text) > most || strings.ContainsAny(text, "\n\r") {
		t.Fatalf("not one clear line: %q", text)
	}
}

func FuzzOutlinePath(f *testing.F) {
	for _, p := range []string{wedge, "m0,0a1 1 0 01 3 3z", "M0 0C1 1 2 2 3 3S4 4 5 5Q6 6 7 7T8 8H9V9Z", "M-1e-3.5.5 1", "M 0 0 A 0 0 0 1 1 9 9"} {
		f.Add(p)
	}
	f.Fuzz(func(t *testing.T, path string) {
		o, err := (Spec{Outline: OutlineSpec{Path: path, View: "face"}}).BuildOutline()
		if path == "" {
			return
		}
		if err != nil {
			oneLine(t, err)
			return
		}
		if d := o.Distance(vec2(3, 40)); math.IsNaN(d.MM) {
			t.Fatalf("%q: distance %+v", path, d)
		}
	})
}

func FuzzSVGFile(f *testing.F) {
	f.Add(`<svg width="2in" viewBox="0 0 9 9"><g transform="rotate(3 1 1)"><path d="` + wedge + `"/></g></svg>`)
	f.Add(`<svg><polyline points="1,2 3,4 5,60"/></svg>`)
	f.Fuzz(func(t *testing.T, text string) {
		if _, err := (Spec{Outline: OutlineSpec{SVG: text}}).BuildOutline(); err != nil && text != "" {
			oneLine(t, err)
		}
	})
}

func FuzzReadPoints(f *testing.F) {
	f.Add("hole,x_mm,y_mm\n1,2.5,3\n")
	f.Add("hole;from;mm\n1;end;50,2\n1;2;26\n")
	f.Fuzz(func(t *testing.T, text string) {
		if _, _, err := ReadPoints(text, noUnits); err != nil {
			oneLine(t, err)
		}
	})
}
