package layout

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func finding(p Plan, check string) (Finding, bool) {
	var best Finding
	found := false
	for _, f := range p.Findings {
		if f.Check == check && (!found || f.ClearanceMM < best.ClearanceMM) {
			best, found = f, true
		}
	}
	return best, found
}

// A full tuner: common sizes of our own invention.
const fullTuner = `[tuner]
flange_mm = 14.0
body_width_mm = 15.0
body_in_mm = 8.0
body_out_mm = 11.0
shaft_mm = 17.0
button_mm = 16.0
button_length_mm = 10.0
clamp_least_mm = 12.0
clamp_most_mm = 15.0
wind_height_mm = 7.0
screws_mm = [[0.0, -7.0]]
pilot_mm = 1.5
pilot_depth_mm = 8.0
[[tuner.bore]]
diameter_mm = 8.5
[[tuner.bore]]
diameter_mm = 10.0
depth_mm = 6.0
[stack]
core_mm = 12.2
face_veneers_mm = [1.4]
back_veneers_mm = [0.6]
sanding_mm = 0.3
finish_mm = 0.2
`

// All checks are looked at once the spec knows enough.
func TestEveryCheckRuns(t *testing.T) {
	text := strings.Replace(mustSpec, "outer_span_mm = 35.0", "outer_span_mm = 35.0\nslot_height_mm = 12.0", 1)
	s := mustRead(t, text+wedgeOutline+fullTuner+"[[keepout]]\nname = \"rod pocket\"\nbox_mm = [-9.0, 0.0, 9.0, 28.0]\n")
	p := mustSolve(t, s, EvenPitch)
	for _, row := range checks() {
		if _, ok := finding(p, row.Name); !ok {
			t.Errorf("%s: nothing found", row.Name)
		}
	}
	if len(p.Unchecked) > 0 {
		t.Errorf("not checked: %v", p.Unchecked)
	}
	for _, f := range p.Findings {
		want := map[bool]string{true: Fail, false: ""}[f.ClearanceMM < -1e-5]
		if want != "" && f.Result == Pass || f.Text == "" || f.Where == "" {
			t.Errorf("%+v", f)
		}
	}
	again, _, _, err := Check(p)
	if err != nil || len(again) != len(p.Findings) {
		t.Errorf("checking the plan again finds %d, not %d (%v)", len(again), len(p.Findings), err)
	}
}

func TestCheckClearances(t *testing.T) {
	solve := func(change func(*Spec)) Plan {
		s := mustRead(t, mustSpec+wedgeOutline+fullTuner)
		change(&s)
		return mustSolve(t, s, EvenPitch)
	}
	for _, c := range []struct {
		name, check, result string
		change              func(*Spec)
		clear               float64
	}{
		// wall = edge - hole/2: a 10 mm hole at 12 leaves 7.0 (recomputed).
		{"wall to edge", "wall to edge", Pass, func(s *Spec) { s.Edge.WallMM = 3 }, math.NaN()},
		{"walls between holes in a 3+3", "wall between holes", Fail, func(s *Spec) { s.Posts.Bass, s.Posts.Treble = 3, 3 }, 12 - 10 - 3},
		{"keep-out disc", "keep-outs", Fail, func(s *Spec) {
			s.Keepout = []Keepout{{Name: "inlay", CentreMM: []float64{-13, 75.96}, RadiusMM: 3, ClearMM: 1}}
		}, 4.96 - 3 - 5 - 1},
		{"glue line is only a word", "keep-outs", Tight, func(s *Spec) {
			s.Keepout = []Keepout{{Name: "ear", PointsMM: [][]float64{{-20, 0}, {-20, 200}}, GlueLine: true, ClearMM: 1}}
		}, -7},
		{"flange barely covers", "flanges", Fail, func(s *Spec) { s.Tuner.FlangeMM = 11 }, -0.5},
		{"break angle on a flat head", "break angle", Tight, func(s *Spec) { s.Nut.SlotHeightMM = 12 }, math.NaN()},
		{"tilt alone", "break angle", Pass, func(s *Spec) { s.Head.TiltDeg = 13 }, math.NaN()},
		{"shaft too short", "shafts", Fail, func(s *Spec) { s.Tuner.ShaftMM = 12 }, math.NaN()},
		{"bodies of two rows collide", "bodies", Fail, func(s *Spec) {
			s.Posts.Bass, s.Posts.Treble, s.Tuner.BodyInMM, s.Tuner.Align = 3, 3, 8, "line"
		}, 12 - 16},
		{"screw too near the hole", "screws", Fail, func(s *Spec) { s.Tuner.ScrewsMM = [][]float64{{0, -6}} }, 6 - 5 - 0.75 - 1},
	} {
		p := solve(c.change)
		f, ok := finding(p, c.check)
		if !ok || f.Result != c.result {
			t.Errorf("%s: %+v, want %s", c.name, f, c.result)
			continue
		}
		if !math.IsNaN(c.clear) {
			within(t, c.name, f.ClearanceMM, c.clear, 0.002)
		}
	}
	// A reversed in-line row: the outer strings belong to the far posts and pass
	// the near ones.
	s := mustRead(t, strings.NewReplacer("bass = 4", "bass = 0", "treble = 2", "treble = 6\ntreble_reversed = true", "mirror = true", "").Replace(mustSpec))
	f, _ := finding(mustSolve(t, s, EvenPitch), "strings past posts")
	if f.ClearanceMM > 6 {
		t.Errorf("a reversed row: %+v", f)
	}
	s.Posts.DiameterMM = 11
	if f, _ := finding(mustSolve(t, s, EvenPitch), "strings past posts"); f.Result != Fail {
		t.Errorf("strings pass fat posts: %+v", f)
	}
}

func TestPolyGap(t *testing.T) {
	sq := func(x, y, h float64) []r2.Vec {
		return []r2.Vec{{X: x - h, Y: y - h}, {X: x + h, Y: y - h}, {X: x + h, Y: y + h}, {X: x - h, Y: y + h}}
	}
	within(t, "apart along x", polyGap(sq(0, 0, 1), sq(5, 0, 1)), 3, 1e-12)
	within(t, "apart at corners", polyGap(sq(0, 0, 1), sq(5, 5, 1)), 3*math.Sqrt2, 1e-12)
	within(t, "overlap", polyGap(sq(0, 0, 1), sq(1.5, 0.2, 1)), -0.5, 1e-12)
}

// The stack: 12.8 + 1.4 + 0.6 + 0.2 - 0.3 + 0.4 = 15.1 against 15.0: 0.3 off
// the core before gluing (recomputed).
func TestStackWorkedExample(t *testing.T) {
	k := Stack{CoreMM: 12.8, FaceMM: []float64{1.4}, BackMM: []float64{0.6}, SandingMM: 0.3, FinishMM: 0.2}
	tuner := Tuner{ClampLeast: 12, ClampMost: 15}
	s, ok := StackOf(k, tuner, []float64{50, 125})
	if !ok {
		t.Fatal("no answer")
	}
	within(t, "finished", s.FinishedMM, 15.1, 1e-9)
	within(t, "take off", s.TakeOffMM, 0.3, 1e-9)
	within(t, "core most", s.CoreMostMM, 12.5, 1e-9)
	within(t, "core least", s.CoreLeastMM, 9.9, 1e-9)
	if s.Result != Fail || !strings.Contains(s.Text, "take 0.3 mm off the core before the back veneer goes on") {
		t.Errorf("%s: %s", s.Result, s.Text)
	}
	k.CoreMM = s.CoreMostMM
	if s, _ := StackOf(k, tuner, nil); s.Result != Pass || s.TakeOffMM != 0 {
		t.Errorf("at the target the stack is %s, %s", s.Result, s.Text)
	}
	k.CoreMM = 12.6
	if s, _ := StackOf(k, tuner, nil); s.Result != Tight {
		t.Errorf("inside the margin: %s", s.Result)
	}
	// Measured after the face was glued on: what was reckoned before is dropped.
	k.Measured = []Measured{{"face-glued", 14.0}}
	s, _ = StackOf(k, tuner, nil)
	within(t, "from the measured stage", s.FinishedMM, 14.0+0.7-0.3+0.4, 1e-9)
	// Tapered: each post has its own thickness, the core target keeps both ends.
	k = Stack{CoreAt: [][]float64{{0, 13}, {150, 11}}, FaceMM: []float64{1}}
	s, _ = StackOf(k, tuner, []float64{30, 120})
	within(t, "thickest", s.FinishedMM, 12.6+1.1, 1e-9)
	within(t, "thinnest", s.ThinnestMM, 11.4+1.1, 1e-9)
	within(t, "core may grow", s.CoreMostMM-s.CoreNowMM, 15-0.2-13.7, 1e-9)
	within(t, "core may shrink", s.CoreNowMM-s.CoreLeastMM, 12.5-12.2, 1e-9)
}

func TestFitVeneers(t *testing.T) {
	k := Stack{CoreMM: 12.8, FaceMM: []float64{1.4}, SandingMM: 0.3, FinishMM: 0.2}
	fits := FitVeneers(k, Tuner{ClampLeast: 12, ClampMost: 15}, nil, "back", []Veneer{{"W3", 0.6}, {"W4", 0.4}, {"W5", 0.2}, {"W6", 1.5}})
	var got []string
	for _, f := range fits {
		got = append(got, f.Code+" "+f.Result)
	}
	if s := strings.Join(got, ", "); s != "W3 fail, W4 tight, W5 pass, W6 fail" {
		t.Error(s)
	}
	if FitVeneers(Stack{}, Tuner{}, nil, "back", []Veneer{{"W1", 1}}) != nil {
		t.Error("an answer without a core")
	}
}

func TestHolesAndCounts(t *testing.T) {
	p := mustSolve(t, mustRead(t, mustSpec+wedgeOutline+fullTuner), EvenPitch)
	counts := DrillCounts(p.Holes)
	want := []DrillCount{{"post", "face", 8.5, 6, 6 * (14.1 + 4)}, {"step", "face", 10, 6, 36}, {"pilot", "back", 1.5, 6, 48}}
	if len(counts) != 3 {
		t.Fatalf("%+v", counts)
	}
	for i, w := range want {
		g := counts[i]
		within(t, w.Kind+" cut", g.CutMM, w.CutMM, 1e-6)
		if w.CutMM = g.CutMM; g != w {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
	// Six holes with 4 mm into the backing of a 15 mm head: 0.114 m (recomputed).
	plain := mustSolve(t, mustRead(t, mustSpec), EvenPitch)
	within(t, "cut of a plain head", DrillCounts(plain.Holes)[0].CutMM, 114, 1e-9)
	if !plain.Holes[0].Assumed {
		t.Error("an assumed thickness is not marked")
	}
}

// Properties over random specs: mirroring a spec mirrors the plan, and the
// outline turned into another drawing of the same shape changes nothing.
func TestMirrorProperty(t *testing.T) {
	const seed = 11
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewSource(seed))
	for range 20 {
		var left, right []string
		w := 20.0
		for y := 0.0; y <= 180; y += 15 {
			w += rng.Float64()*8 - 3
			v := w + rng.Float64()*4
			left, right = append(left, fmt.Sprintf("[%g,%g,%g]", y, -w-12, v+12)), append(right, fmt.Sprintf("[%g,%g,%g]", y, -v-12, w+12))
		}
		text := strings.NewReplacer("mirror = true", "").Replace(mustSpec)
		a := mustRead(t, text+"[outline]\nstations = ["+strings.Join(left, ",")+"]\n")
		b := mustRead(t, strings.NewReplacer("bass = 4", "bass = 2", "treble = 2", "treble = 4").Replace(text)+"[outline]\nstations = ["+strings.Join(right, ",")+"]\n")
		for _, m := range Modes() {
			pa, ea := Solve(a, m)
			pb, eb := Solve(b, m)
			if (ea == nil) != (eb == nil) {
				t.Errorf("%s: %v against %v", m, ea, eb)
				continue
			}
			for _, post := range pa.Posts {
				q, _ := pb.PostOf(7 - post.String)
				within(t, m+" mirrored x", q.XMM, -post.XMM, 2e-5)
				within(t, m+" mirrored y", q.YMM, post.YMM, 2e-5)
			}
		}
	}
}

func TestCompareModes(t *testing.T) {
	s := mustRead(t, mustSpec+wedgeOutline)
	c, err := Compare(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Modes) != 4 || len(c.Edges) != 2 {
		t.Fatalf("%+v", c)
	}
	e := c.Edges[0]
	within(t, "edge for this pitch", e.AngleDeg, degrees(math.Asin(7.0/25)), 1e-6)
	within(t, "drawn edge", *e.DrawnDeg, degrees(math.Atan(7.0/24)), 0.1)
	within(t, "pitch the drawn edge suits", *e.DrawnPitchMM, 7/math.Sin(radians(*e.DrawnDeg)), 1e-4)
	within(t, "cost", *c.Modes[3].Rows[0].Cost, 0, 0.01)
	for _, cut := range e.Even.Cuts {
		within(t, "nothing to cut on a head drawn for it", cut.CutMM, 0, 0.06)
	}
	within(t, "equal centres: the even edge is straight", e.Even.BowMM, 0, 1e-6)
	// Sawing to the even edge makes all even: its line as the outline.
	l := e.Even
	dx := (l.X1 - l.X0) / (l.Y1 - l.Y0)
	at := func(y float64) float64 { return l.X0 + dx*(y-l.Y0) }
	s2 := s
	s2.Outline = OutlineSpec{View: "face", Path: fmt.Sprintf("M %.9f 5 L %.9f 190 L 90 190 L 90 5 Z", at(5), at(190))}
	p := mustSolve(t, s2, EvenPitch)
	for _, post := range p.Posts[:4] {
		within(t, "even edge", *post.EdgeMM, 13.5, 1e-5)
	}
	// Without an outline the modes that need one say so.
	c, err = Compare(mustRead(t, mustSpec))
	if err != nil || c.Modes[2].Error == "" || c.Modes[0].Error != "" {
		t.Errorf("%+v %v", c.Modes, err)
	}
}
