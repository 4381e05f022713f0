package layout

import (
	"errors"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// Two definitions of straight pull, a tilted plan view and the edge relation:
// recomputed by hand, no published source.
func TestTradeGeometry(t *testing.T) {
	deg, along := EdgeAngle(7.2, 25)
	within(t, "edge angle", deg, 16.74, 0.005)
	within(t, "along the string", along, 23.94, 0.005)
	deg, _ = EdgeAngle(7.2, 23)
	within(t, "steepest edge", deg, 18.24, 0.005)

	s := mustRead(t, strings.Replace(mustSpec, "outer_span_mm = 35.0", "outer_span_mm = 35.5", 1)+"[pull]\nscale_mm = 648.0\nbridge_span_mm = 52.0\n")
	l := s.lines()
	within(t, "fan angle", math.Abs(degrees(math.Atan(l[0].Dir.X/l[0].Dir.Y))), 0.729, 0.0005)
	for _, c := range []struct{ y, off float64 }{{50, 0.64}, {180, 2.29}} {
		x := l[0].At.X + l[0].Dir.X/l[0].Dir.Y*c.y
		within(t, "fan at the head", x-l[0].At.X, c.off, 0.005)
	}
	within(t, "treble fans the other way", l[5].Dir.X, -l[0].Dir.X, 1e-12)

	within(t, "break at 50", BreakDeg(0, 12, 7, 50), 5.7, 0.05)
	within(t, "break at 100", BreakDeg(0, 12, 7, 100), 2.9, 0.05)
	within(t, "break at 180", BreakDeg(0, 12, 7, 180), 1.6, 0.05)
	within(t, "kink", KinkDeg(0.5, 50), 0.57, 0.005)
	within(t, "kink far out", KinkDeg(0.5, 180), 0.16, 0.005)

	plan := mustRead(t, mustSpec+"[head]\ntilt_deg = 14\n[outline]\nview = \"plan\"\nstations = [[0, 30], ["+fmt.Sprint(180*math.Cos(radians(14)))+", 20]]\n")
	o, err := plan.BuildOutline()
	if err != nil {
		t.Fatal(err)
	}
	within(t, "a plan view tilted 14 degrees gives back 5.35 mm of 180", o.TipMM(), 180, 1e-9)
	within(t, "what the plan view lost", 180-180*math.Cos(radians(14)), 5.35, 0.005)
}

// Equal gaps: own algebra, checked with exact rational arithmetic for the six
// gauges (inches are 25.4 mm by definition).
func TestEqualGaps(t *testing.T) {
	text := strings.Replace(mustSpec, `spacing = "equal-centres"`, "spacing = \"equal-gaps\"\ngauges_in = [.046,.036,.026,.017,.013,.010]", 1)
	text = strings.NewReplacer("[.046", "[0.046", ",.0", ",0.0").Replace(text)
	s := mustRead(t, text)
	within(t, "gap at 35.0", s.gapMM(), 6.3904, 1e-9)
	for i, want := range []float64{0, 7.4318, 14.6096, 21.5461, 28.3175, 35.0} {
		within(t, "centre", s.positionsMM()[i]+17.5, want, 1e-9)
	}
	s.Nut.OuterSpanMM = 35.5
	within(t, "gap at 35.5", s.gapMM(), 6.49, 0.005)
	for i, want := range []float64{7.53, 7.28, 7.04, 6.87, 6.78} {
		within(t, "step, bass to treble", s.positionsMM()[i+1]-s.positionsMM()[i], want, 0.0055)
	}
	worst := 0.0
	for i, x := range s.positionsMM() {
		worst = math.Max(worst, math.Abs(x-(-17.75+7.1*float64(i))))
	}
	within(t, "inner strings move up to", worst, 0.61, 0.005)
	// A post stands half a post and half its string beside the string.
	p := mustSolve(t, s, EvenPitch)
	within(t, "bass post", p.Posts[0].XMM, -17.75-2.5-0.046*25.4/2, 1e-6)
	// Equal gaps cannot have even pitch, straight row and string at once.
	st := mustSolve(t, s, StraightRow)
	if st.Rows[0].OffMaxMM < 0.05 {
		t.Errorf("a straight row over equal gaps reports only %g mm beside the strings", st.Rows[0].OffMaxMM)
	}
	strip := s
	strip.Posts.Strip = true
	sp := mustSolve(t, strip, StraightRow)
	sq := func(p Plan) (q float64) {
		for _, post := range p.Posts[:4] {
			q += post.OffStringMM * post.OffStringMM
		}
		return q
	}
	if sq(sp) > sq(st)+1e-9 {
		t.Errorf("the strip laid by least squares is worse (%g) than through its ends (%g)", sq(sp), sq(st))
	}
	for _, post := range sp.Posts[1:4] {
		within(t, "plate pitch", *post.PitchMM, 25, 1e-5)
	}
}

func edgeCase(first float64, outline string, extra string) string {
	return fmt.Sprintf("strings = 6\n[nut]\nouter_span_mm = 35.0\n[posts]\ndiameter_mm = 5.0\nfirst_mm = %g\npitch_mm = 25.0\nbass = 6\ntreble = 0\n[outline]\n%s\n%s", first, outline, extra)
}

// Even edge against the closed forms: distance to a circle | |p-c| - r |, to a
// line, and to a parabola through the cubic 2x^3 + (1-2h)x - px = 0 of its foot.
func TestEvenEdgeClosedForms(t *testing.T) {
	t.Run("circle", func(t *testing.T) {
		// Centre (130, 60), radius 180, the bass side of a long head.
		const cx, cy, r = 130.0, 60.0, 180.0
		top := cy + math.Sqrt(r*r-100*100)
		out := fmt.Sprintf(`path = "M %.12f 0 A %g %g 0 0 0 %.12f %.12f L 60 220 L 60 0 Z"`, cx-math.Sqrt(r*r-cy*cy), r, r, cx-100, top)
		s := mustRead(t, edgeCase(46, out, ""))
		p := mustSolve(t, s, EvenEdge)
		e := r - math.Hypot(p.Posts[0].XMM-cx, p.Posts[0].YMM-cy)
		within(t, "first post stays", p.Posts[0].YMM, 46, 1e-9)
		for _, post := range p.Posts {
			within(t, fmt.Sprint("edge of string ", post.String), *post.EdgeMM, e, 0.001)
			within(t, fmt.Sprint("closed form of string ", post.String), r-math.Hypot(post.XMM-cx, post.YMM-cy), e, 0.001)
		}
		s = mustRead(t, edgeCase(46, out, "[edge]\ntarget_mm = 13.5"))
		for _, post := range mustSolve(t, s, EvenEdge).Posts {
			// y = cy + sqrt((r-e)^2 - (x-cx)^2) in closed form, one of two roots.
			dy := math.Sqrt((r-13.5)*(r-13.5) - (post.XMM-cx)*(post.XMM-cx))
			within(t, "y on the offset circle", math.Abs(post.YMM-cy), dy, 0.001)
		}
	})
	t.Run("line", func(t *testing.T) {
		out := `path = "M -40 0 L 0 160 L 40 160 L 40 0 Z"`
		p := mustSolve(t, mustRead(t, edgeCase(46, out, "[edge]\ntarget_mm = 13.5")), EvenEdge)
		for _, post := range p.Posts[:4] {
			d := (160*post.XMM - 40*post.YMM + 160*40) / math.Hypot(160, 40)
			within(t, "distance to the line", d, 13.5, 0.001)
		}
	})
	for name, out := range map[string]string{
		// x = -60 + (y-40)^2/400 from y = 0 to 260: as a quadratic Bezier (exact:
		// control point at the crossing of the end tangents), as its cubic, and as
		// stations every 10 mm.
		"parabola, quadratic": `path = "M -56 0 Q -82 130 61 260 L 80 260 L 80 0 Z"`,
		"parabola, stations":  "stations = [" + parabolaStations() + "]",
	} {
		t.Run(name, func(t *testing.T) {
			p := mustSolve(t, mustRead(t, edgeCase(46, out, "[edge]\ntarget_mm = 13.5")), EvenEdge)
			for _, post := range p.Posts {
				within(t, fmt.Sprint("closed form of string ", post.String), parabolaDistance(post.XMM, post.YMM), 13.5, 0.001)
				within(t, "reported", *post.EdgeMM, 13.5, 1e-5)
			}
		})
	}
}

func parabolaStations() string {
	var b strings.Builder
	for y := 0.0; y <= 260; y += 10 {
		fmt.Fprintf(&b, "[%g, %g, 80],", y, -60+(y-40)*(y-40)/400)
	}
	return strings.TrimSuffix(b.String(), ",")
}

// parabolaDistance is to x = -60 + (y-40)^2/400: with u = (y-40)/400,
// v = (x+60)/400 it is v = u^2 scaled by 400, and the foot solves
// 2u^3 + (1-2pv)u - pu = 0, found here by bisection on the side of the point.
func parabolaDistance(x, y float64) float64 {
	pu, pv := (y-40)/400, (x+60)/400
	best := math.Inf(1)
	f := func(u float64) float64 { return 2*u*u*u + (1-2*pv)*u - pu }
	const n = 2000
	for i := range n {
		a, b := -1+2*float64(i)/n, -1+2*float64(i+1)/n
		if f(a)*f(b) > 0 {
			continue
		}
		for range 80 {
			if m := (a + b) / 2; f(m)*f(a) <= 0 {
				b = m
			} else {
				a = m
			}
		}
		best = math.Min(best, 400*math.Hypot(a-pu, a*a-pv))
	}
	return best
}

// Balanced against brute force over every pair of places on a 0.25 mm grid for
// the two free posts of a three-post row, over random heads.
func TestBalancedNeverWorseThanBruteForce(t *testing.T) {
	const seed = 20261125
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewSource(seed))
	solved := 0
	for trial := range 25 {
		s := mustRead(t, fmt.Sprintf(`strings = 3
[nut]
outer_span_mm = %.2f
[posts]
diameter_mm = 4
first_mm = 45
pitch_mm = %.1f
bass = 3
[edge]
min_mm = 9
max_mm = 19
target_mm = 13.5
pitch_min_mm = 20
[outline]
path = "M -24 0 C %.1f 50 %.1f 70 %.1f 100 S %.1f 130 -10 170 L 30 170 L 30 0 Z"`,
			13+3*rng.Float64(), 23+4*rng.Float64(), -40+8*rng.Float64(), -30+8*rng.Float64(), -28+10*rng.Float64(), -16+10*rng.Float64()))
		p, err := Solve(s, Balanced)
		sv, serr := newSolver(s)
		if serr != nil {
			t.Fatal(serr)
		}
		r := sv.rows[0]
		w := sv.weights(r)
		brute := math.Inf(1)
		type place struct {
			at r2.Vec
			e  float64
		}
		var places [2][]place
		for k := range places {
			for y := 45.25; y < 170; y += 0.25 {
				at := r.Tracks[k+1].at(y)
				if e := sv.outline.signed(at); e >= 9 && e <= 19 {
					places[k] = append(places[k], place{at, e})
				}
			}
		}
		first := r.Tracks[0].at(45)
		for _, a := range places[0] {
			d1 := r2.Norm(r2.Sub(a.at, first))
			if d1 < 20 {
				continue
			}
			for _, b := range places[1] {
				if d2 := r2.Norm(r2.Sub(b.at, a.at)); b.at.Y > a.at.Y && d2 >= 20 {
					brute = math.Min(brute, w.cost(d1, a.e)+w.cost(d2, b.e))
				}
			}
		}
		if err != nil {
			if !math.IsInf(brute, 1) {
				t.Errorf("trial %d: %v, but brute force finds a place costing %g", trial, err, brute)
			}
			continue
		}
		solved++
		if *p.Rows[0].Cost > brute+1e-6 {
			t.Errorf("trial %d: balanced costs %.9f, brute force %.9f", trial, *p.Rows[0].Cost, brute)
		}
		// No small move of any post does better.
		for i := range 2 {
			for _, d := range []float64{-0.003, 0.003} {
				b := &balancer{s: sv, row: r, w: w, first: first}
				ys := []float64{p.Posts[1].YMM, p.Posts[2].YMM}
				ys[i] += d
				if c := b.pathCost(ys); c < *p.Rows[0].Cost*(1-1e-7)-1e-6 { // places are kept to 1e-6 mm
					t.Errorf("trial %d: moving post %d by %g improves %.9f to %.9f", trial, i+2, d, *p.Rows[0].Cost, c)
				}
			}
		}
	}
	if solved < 15 {
		t.Errorf("only %d of the random heads could be solved; the test looks at too little", solved)
	}
}

// A thin band leaves the grid no place, but the true answer is still found.
func TestBalancedInAThinBand(t *testing.T) {
	text := strings.Replace(mustSpec, "min_mm = 12.0\nmax_mm = 15.0", "min_mm = 13.49\nmax_mm = 13.51", 1)
	p := mustSolve(t, mustRead(t, text+wedgeOutline), Balanced)
	for _, post := range p.Posts[1:4] {
		if *post.EdgeMM < 13.49-1e-6 || *post.EdgeMM > 13.51+1e-6 {
			t.Errorf("string %d stands %g mm from the edge, outside its band", post.String, *post.EdgeMM)
		}
	}
}

func TestInfeasibleNamesPostLimitAndRelaxation(t *testing.T) {
	// The row needs more room than 24 mm of band leaves: widen the least pitch.
	text := strings.NewReplacer("pitch_min_mm = 23.0", "pitch_min_mm = 40.0").Replace(mustSpec)
	s := mustRead(t, text+wedgeOutline)
	_, err := Solve(s, Balanced)
	var none *InfeasibleError
	if !errors.As(err, &none) {
		t.Fatalf("err = %v, want an *InfeasibleError", err)
	}
	if none.Side != Bass || none.Post < 2 || none.String != none.Post || len(none.Relax) == 0 {
		t.Fatalf("%+v does not name post, limit and relaxation", none)
	}
	t.Log(err)
	// Each relaxation works, and half of it does not.
	for _, r := range none.Relax {
		for share, want := range map[float64]bool{1: true, 0.5: false} {
			try := s
			to := r.NowMM + (r.ToMM-r.NowMM)*share
			switch r.Key {
			case "edge.min_mm":
				try.Edge.MinMM, try.Edge.TargetMM = to, math.Max(to, try.Edge.TargetMM)
			case "edge.max_mm":
				try.Edge.MaxMM = to
			case "edge.pitch_min_mm":
				try.Edge.PitchMinMM = to
			}
			if _, err := Solve(try, Balanced); (err == nil) != want {
				t.Errorf("%s changed by %g of the relaxation: err = %v, want solved %v", r.Key, share, err, want)
			}
		}
	}
	// Even edge: the advised distance works, and nothing a tenth nearer does.
	far := s
	far.Edge.MinMM, far.Edge.MaxMM, far.Edge.PitchMinMM, far.Edge.TargetMM = 0, 0, 0, 20
	if _, err := Solve(far, EvenEdge); !errors.As(err, &none) || len(none.Relax) != 1 {
		t.Errorf("even edge too far in: %v", err)
	} else {
		far.Edge.TargetMM = none.Relax[0].ToMM
		if _, err := Solve(far, EvenEdge); err != nil {
			t.Errorf("the advised distance %g: %v", far.Edge.TargetMM, err)
		}
	}
	short := mustRead(t, strings.Replace(mustSpec, "pitch_mm = 25.0", "pitch_mm = 6.0", 1))
	if _, err := Solve(short, EvenPitch); !errors.As(err, &none) || none.Limit != "posts.pitch_mm" || none.Relax[0].ToMM != 7.01 {
		t.Errorf("a pitch below the spacing: %v", err)
	}
	if _, err := Solve(short, Balanced); err == nil || !strings.Contains(err.Error(), "outline") {
		t.Errorf("balanced without an outline: %v", err)
	}
}

// Slanted nut, strings along their own lines, gauges: every post stands half a
// post and half its string beside its line, on the outer side, in every mode
// that keeps posts on their strings.
func TestPostsStandBesideTheirStrings(t *testing.T) {
	for _, extra := range []string{
		"[pull]\nscale_bass_mm = 686.0\nscale_treble_mm = 648.0\nbridge_span_mm = 52.0\n",
		"[pull]\nalong = \"nut\"\n",
	} {
		text := strings.Replace(mustSpec, "outer_span_mm = 35.0", "outer_span_mm = 35.0\nslant_deg = -1.5\nthickness_mm = 5.0\ngauges_mm = [1.2,0.9,0.7,0.45,0.33,0.25]", 1)
		s := mustRead(t, strings.NewReplacer("min_mm = 12.0\n", "", "max_mm = 15.0\n", "", "target_mm = 13.5", "target_mm = 11", "pitch_min_mm = 23.0", "pitch_min_mm = 15.0").Replace(text)+extra+"[outline]\npath = \"M -60 0 L 0 170 L 12 170 L 60 0 Z\"\n")
		lines := s.lines()
		for _, m := range []string{EvenPitch, EvenEdge, Balanced} {
			p := mustSolve(t, s, m)
			for _, post := range p.Posts {
				l := lines[post.String-1]
				off := r2.Cross(r2.Sub(at(post), l.At), l.Dir) // positive to the treble side
				want := sideSign(post.Side) * (2.5 + l.RadiusMM)
				within(t, fmt.Sprintf("%s, string %d beside its line", m, post.String), off, want, 2e-6)
				within(t, "reported off", post.OffStringMM, 0, 1e-9)
			}
		}
	}
}

// Moving and turning the drawing of the same head leaves the plan alone.
func TestDrawnElsewhere(t *testing.T) {
	a := mustRead(t, mustSpec+wedgeOutline)
	svg := `<svg><g transform="translate(100,40) scale(1,-1)"><path d="` + wedge + `"/></g></svg>`
	b := a
	b.Outline = OutlineSpec{SVG: svg, File: "x.svg", Tip: "up", OriginMM: []float64{100, 40}, View: "face"}
	pa, pb := mustSolve(t, a, Balanced), mustSolve(t, b, Balanced)
	for i, post := range pa.Posts {
		within(t, "x", pb.Posts[i].XMM, post.XMM, 2e-6)
		within(t, "y", pb.Posts[i].YMM, post.YMM, 2e-6)
		within(t, "edge", *pb.Posts[i].EdgeMM, *post.EdgeMM, 2e-6)
	}
}
