package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Point is a place in the plane of the face.
type Point struct{ X, Y float64 }

// Stroke is a straight stroke of a drawing.
type Stroke struct{ A, B Point }

// Shape is a keep-out as drawn: a disc, or a ring of corners (two corners make
// a line).
type Shape struct {
	Name   string
	Centre Point
	Radius float64 // 0: Ring
	Ring   []Point
}

// Sketch is a plan as shapes to draw, in mm in the plane of the face.
type Sketch struct {
	Lo, Hi   Point // the box that holds outline, posts and flanges
	Outline  []Point
	Closed   bool
	Strings  []Stroke // nut to post, one for each post in the plan's order
	Band     []Stroke // hatching of where post centres may be, by AddBand
	Keepouts []Shape
	Bodies   [][]Point // tuner bodies on the back, one for each post, when given
	Buttons  [][]Point
	FlangeMM float64
	BoresMM  []float64 // diameters, as given
}

// bandHatchMM is the distance between the strokes of the edge band.
const bandHatchMM = 1.6

// NewSketch works out what a drawing of the plan shows.
func NewSketch(p Plan) (Sketch, error) {
	spec := p.Spec.withDefaults()
	s, err := newSolver(spec)
	if err != nil {
		return Sketch{}, err
	}
	c := &checker{s: s, spec: spec, posts: p.Posts, lines: spec.lines()}
	k := Sketch{FlangeMM: spec.Tuner.FlangeMM}
	for _, b := range spec.Tuner.Bores {
		k.BoresMM = append(k.BoresMM, b.DiameterMM)
	}
	for i, post := range p.Posts {
		l := c.lines[post.String-1]
		k.Strings = append(k.Strings, Stroke{pt(l.At), pt(c.contact(post, l))})
		dir := spec.buttonDir(p.Posts, i, s.outline)
		if spec.Tuner.BodyWidthMM > 0 {
			k.Bodies = append(k.Bodies, pts(spec.Tuner.bodyBox(at(post), dir)))
		}
		if spec.Tuner.ShaftMM > 0 && spec.Tuner.ButtonMM > 0 {
			k.Buttons = append(k.Buttons, pts(spec.Tuner.buttonBox(at(post), dir)))
		}
	}
	if s.outline != nil {
		for _, q := range s.outline.Ring() {
			k.Outline = append(k.Outline, Point{q[0], q[1]})
		}
		k.Closed = s.outline.closed
	}
	for _, ko := range spec.Keepout {
		sh := Shape{Name: ko.Name, Radius: ko.RadiusMM, Ring: pts(ko.ring())}
		if len(ko.CentreMM) == 2 {
			sh.Centre = Point{ko.CentreMM[0], ko.CentreMM[1]}
		}
		k.Keepouts = append(k.Keepouts, sh)
	}
	k.box(p.Posts)
	return k, nil
}

// AddBand puts the hatching of where the plan's post centres may be into its sketch,
// clear of the flanges; none without an outline. It takes longer than all the rest of
// a drawing.
func (k *Sketch) AddBand(p Plan) error {
	s, err := newSolver(p.Spec.withDefaults())
	if err == nil && s.outline != nil {
		k.Band = clearOfPosts(s.hatch(), p.Posts, k.FlangeMM/2)
	}
	return err
}

func pt(v r2.Vec) Point { return Point{v.X, v.Y} }

func pts(vs []r2.Vec) []Point {
	var out []Point
	for _, v := range vs {
		out = append(out, pt(v))
	}
	return out
}

// clearOfPosts takes out of the strokes what is within r of a post: the wood
// to be pricked and drilled stays white.
func clearOfPosts(strokes []Stroke, posts []Post, r float64) []Stroke {
	for _, p := range posts {
		var out []Stroke
		for _, s := range strokes {
			a, b := r2.Vec(s.A), r2.Vec(s.B)
			d := r2.Sub(b, a)
			l := r2.Norm(d)
			if l == 0 {
				continue
			}
			mid := r2.Dot(r2.Sub(at(p), a), d) / l
			off := r2.Cross(r2.Sub(at(p), a), d) / l
			half := math.Sqrt(math.Max(0, r*r-off*off))
			if half == 0 || mid+half <= 0 || mid-half >= l {
				out = append(out, s)
				continue
			}
			if mid-half > 0 {
				out = append(out, Stroke{s.A, pt(r2.Add(a, r2.Scale((mid-half)/l, d)))})
			}
			if mid+half < l {
				out = append(out, Stroke{pt(r2.Add(a, r2.Scale((mid+half)/l, d))), s.B})
			}
		}
		strokes = out
	}
	return strokes
}

func (k *Sketch) box(posts []Post) {
	k.Lo, k.Hi = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	grow := func(p Point, r float64) {
		k.Lo = Point{math.Min(k.Lo.X, p.X-r), math.Min(k.Lo.Y, p.Y-r)}
		k.Hi = Point{math.Max(k.Hi.X, p.X+r), math.Max(k.Hi.Y, p.Y+r)}
	}
	grow(Point{}, 0)
	for _, p := range k.Outline {
		grow(p, 0)
	}
	for _, p := range posts {
		grow(Point{p.XMM, p.YMM}, k.FlangeMM/2+1)
	}
	for _, s := range k.Strings {
		grow(s.A, 1)
	}
	for _, body := range k.Bodies {
		for _, q := range body {
			grow(q, 0)
		}
	}
}

// hatch strokes the ground where a post centre keeps the edge band, at 45
// degrees; empty when there is no band.
func (s *solver) hatch() []Stroke {
	lo, hi := s.spec.Edge.MinMM, s.spec.Edge.MaxMM
	if lo == 0 || hi == 0 {
		return nil
	}
	var k Sketch
	for _, q := range s.outline.Ring() {
		k.Outline = append(k.Outline, Point{q[0], q[1]})
	}
	k.box(nil)
	out := func(p r2.Vec) float64 { // above 0 inside the band
		d := s.outline.signed(p)
		return math.Min(d-lo, hi-d)
	}
	const q = math.Sqrt2 / 2
	var strokes []Stroke
	width, height := k.Hi.X-k.Lo.X, k.Hi.Y-k.Lo.Y
	for d := bandHatchMM; d < (width+height)*q; d += bandHatchMM {
		// Strokes run up to the right; d counts from the upper left corner.
		from := r2.Vec{X: k.Lo.X + d*q, Y: k.Hi.Y - d*q}
		end := (height + width) * q
		at := func(t float64) r2.Vec { return r2.Add(from, r2.Scale(t*q, r2.Vec{X: 1, Y: 1})) }
		var start float64
		in := false
		t, f := -end, out(at(-end))
		for t < end {
			// f changes no faster than t: a step of |f| cannot pass a border.
			next := t + math.Max(0.25, math.Abs(f)*0.999)
			g := out(at(next))
			if (f > 0) != (g > 0) {
				edge := bisect(func(v float64) float64 { return out(at(v)) }, t, next, f)
				if g > 0 {
					start, in = edge, true
				} else if in {
					strokes = append(strokes, Stroke{pt(at(start)), pt(at(edge))})
					in = false
				}
			}
			t, f = next, g
		}
	}
	return strokes
}
