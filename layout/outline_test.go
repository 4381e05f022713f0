package layout

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func outlineOf(t testing.TB, o OutlineSpec) *Outline {
	t.Helper()
	out, err := Spec{Outline: o}.BuildOutline()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Exact cases, recomputed in closed form: circle ||p-c|-r|, an arc whose end
// point rules, a line, a segment, the parabola y = x^2 as an exact cubic, an
// ellipse whose nearest point is not the vertex.
func TestPointToCurveExactCases(t *testing.T) {
	circle := arcSeg(r2.Vec{X: 5, Y: 1}, r2.Vec{X: -1, Y: 1}, 3, 3, 0, false, true)
	arc30to60 := arcSeg(r2.Vec{X: 10 * math.Cos(math.Pi/6), Y: 5}, r2.Vec{X: 5, Y: 10 * math.Sin(math.Pi/3)}, 10, 10, 0, false, true)
	if circle.Kind != segArc {
		t.Fatal("equal radii are not seen as a circle")
	}
	parabola := segment{Kind: segCubic, Edge: true, P: [4]r2.Vec{{X: -2, Y: 4}, {X: -2.0 / 3, Y: -4.0 / 3}, {X: 2.0 / 3, Y: -4.0 / 3}, {X: 2, Y: 4}}}
	upper := arcSeg(r2.Vec{X: 2, Y: 0}, r2.Vec{X: -2, Y: 0}, 2, 1, 0, false, true)
	line := lineSeg(r2.Vec{X: -3, Y: 3.5}, r2.Vec{X: 9, Y: -5.5}) // 3x + 4y = 5
	seg := lineSeg(r2.Vec{}, r2.Vec{X: 4})
	for _, c := range []struct {
		name string
		s    segment
		x, y float64
		want float64
	}{
		{"circle from outside", circle, 5, 5, 2},
		{"circle from inside, upper half", circle, 2.5, 1, 2.5},
		{"arc, its end point rules", arc30to60, 20, 0, 12.3931367493},
		{"line", line, 3, 4, 4},
		{"segment, its end rules", seg, 5, 5, 5.09901951359},
		{"parabola (3,0)", parabola, 3, 0, 2.2360679775},
		{"parabola (.5,2)", parabola, .5, 2, .8579597666},
		{"parabola (2,1)", parabola, 2, 1, .9082035598},
		{"parabola (1,1) on it", parabola, 1, 1, 0},
		{"parabola, two feet, h=1", parabola, 0, 1, .8660254038},
		{"parabola, two feet, h=2", parabola, 0, 2, 1.3228756555},
		{"parabola, cusp", parabola, 0, .5, .5},
		{"parabola from below", parabola, 0, -1, 1},
		{"ellipse, not the vertex", upper, 1, 0, .8164965809},
	} {
		o := &Outline{segs: []segment{c.s}}
		o.addChunks(0)
		o.group()
		d, _, _ := o.foot(r2.Vec{X: c.x, Y: c.y})
		within(t, c.name, d, c.want, 1e-9)
	}
	// A quarter circle drawn with the usual cubic strays up to 2.7253e-4 r
	// outside the circle, and we measure to what was drawn.
	const k = .5522847498307935
	q := segment{Kind: segCubic, P: [4]r2.Vec{{X: 1}, {X: 1, Y: k}, {X: k, Y: 1}, {Y: 1}}}
	p := q.at(.2113248273)
	within(t, "cubic quarter circle", math.Hypot(p.X, p.Y), 1.0002725300074, 1e-9)
}

type reference struct {
	Path      string `json:"path"`
	Distances []struct{ X, Y, MM float64 }
	Offsets   []struct {
		E, X float64
		Ys   []float64
	}
	Bodies []struct {
		Corners [][2]float64
		MM      float64
	}
	Fits []struct {
		Nominal, Measured [][2]float64
		Turn, Rss, Scale  float64
		Shift             [2]float64
	}
}

func readReference(t *testing.T) reference {
	t.Helper()
	data, err := os.ReadFile("../testdata/layout/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// Against shapely 1.8.5 (GEOS): testdata/layout/reference.py. Its chords leave
// the curves by less than 1e-5 mm; its offset rings by less than 2e-4.
func TestDistanceAndOffsetAgainstShapely(t *testing.T) {
	ref := readReference(t)
	o := outlineOf(t, OutlineSpec{Path: ref.Path})
	if len(ref.Distances) < 40 || len(ref.Offsets) < 8 {
		t.Fatal("reference values are missing")
	}
	for _, d := range ref.Distances {
		within(t, fmt.Sprintf("distance of %g,%g", d.X, d.Y), o.Distance(r2.Vec{X: d.X, Y: d.Y}).MM, d.MM, 1e-5)
	}
	waist := 0
	for _, b := range ref.Bodies { // its sides are sampled every 0.024 mm
		var ring []r2.Vec
		corner := math.Inf(1)
		for _, c := range b.Corners {
			ring = append(ring, r2.Vec{X: c[0], Y: c[1]})
			corner = math.Min(corner, o.signed(ring[len(ring)-1]))
		}
		within(t, fmt.Sprintf("body at %v", b.Corners), o.leastAlong(ring), b.MM, 0.01)
		if corner-b.MM > 0.05 {
			waist++
		}
	}
	if len(ref.Bodies) < 20 || waist < 2 {
		t.Errorf("%d bodies, %d of them nearer the edge between their corners", len(ref.Bodies), waist)
	}
	s := &solver{outline: o}
	for _, c := range ref.Offsets {
		ys := s.crossings(track{base: r2.Vec{X: c.X}, stretch: 1}, c.E, 45, 200)
		if len(ys) != len(c.Ys) {
			t.Errorf("e %g x %g: crossings %v, shapely %v", c.E, c.X, ys, c.Ys)
			continue
		}
		for i := range ys {
			within(t, fmt.Sprintf("offset %g at x %g", c.E, c.X), ys[i], c.Ys[i], 0.001)
		}
	}
}

// Against scipy 1.10.1 (orthogonal_procrustes) and, for the first two sets, the
// closed form about the centroids.
func TestFitAgainstScipy(t *testing.T) {
	for i, c := range readReference(t).Fits {
		var n, m []r2.Vec
		for k := range c.Nominal {
			n, m = append(n, r2.Vec{X: c.Nominal[k][0], Y: c.Nominal[k][1]}), append(m, r2.Vec{X: c.Measured[k][0], Y: c.Measured[k][1]})
		}
		f, ok := RigidFit(n, m)
		s, ok2 := ScaledFit(n, m)
		if !ok || !ok2 {
			t.Fatal("no fit")
		}
		within(t, fmt.Sprint("turn of set ", i), f.Turn, c.Turn, 1e-11)
		within(t, "shift x", f.Shift.X, c.Shift[0], 1e-9)
		within(t, "shift y", f.Shift.Y, c.Shift[1], 1e-9)
		within(t, "rss", f.Rss, c.Rss, 1e-9)
		within(t, "scale", s.Scale, c.Scale, 1e-11)
	}
}

func TestPartsAreNamed(t *testing.T) {
	o := outlineOf(t, OutlineSpec{Path: "M -20 0 L -30 30 L -30 120 C -30 160 30 160 30 120 L 30 30 L 20 0 Z"})
	for _, c := range []struct {
		x, y float64
		want string
	}{{-20, 60, "bass side, straight"}, {20, 60, "treble side, straight"}, {0, 140, "tip, curve"}, {-24, 128, "bass side, curve"}} {
		if got := o.Distance(r2.Vec{X: c.x, Y: c.y}).Part; got != c.want {
			t.Errorf("nearest part to %g,%g is %q, want %q", c.x, c.y, got, c.want)
		}
	}
	if d := o.Distance(r2.Vec{X: 0, Y: 2}).MM; d < 15 {
		t.Errorf("the line across the fretboard end counts as edge: %g mm from the datum", d)
	}
	if d := o.Distance(r2.Vec{X: -40, Y: 60}).MM; math.Abs(d+10) > 1e-9 {
		t.Errorf("a point outside is %g mm from the edge, want -10", d)
	}
}

func TestPathReaderRefusals(t *testing.T) {
	for _, bad := range []string{
		"", "L 1 1", "M", "M 0", "M 0 0 L 1", "M 0 0 X 3 3", "M 0 0 L 1e999 3", "M 0 0 L 99999999999999999999999999999999999 1", "M 0 0 A 1 1 0 2 0 3 3",
		"M 0 0 L 6000 1 Z", "M 0 0 <L>", "M 0 0 Z", "M 0 0 L 1 1e", strings.Repeat("M 0 0 L 1 1 ", 9000), "M 0 0 L 10 -10 L 20 -10 Z",
	} {
		_, err := (Spec{Outline: OutlineSpec{Path: bad}}).BuildOutline()
		if bad == "" {
			continue
		}
		var se *SpecError
		if err == nil || !asSpec(err, &se) || len(err.Error()) > 300 || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.40q: err = %v, want one short *SpecError", bad, err)
		}
	}
	// Relative commands, smooth continuations and arc flags written together.
	o := outlineOf(t, OutlineSpec{Path: "m-20,0 l0,50 c0,10,5,20,10,20 s10,10 10,10 q5 0 5 -5 t5-5 h10 v-70z"})
	if !o.Closed() {
		t.Error("z does not close the outline")
	}
	o = outlineOf(t, OutlineSpec{Path: "M-20 0L-20 100a20 20 0 0040 0L20 0Z"})
	within(t, "tip", o.TipMM(), 120, 0.02)
}

func asSpec(err error, to **SpecError) bool {
	se, ok := err.(*SpecError)
	*to = se
	return ok
}

func vec2(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
