package reports

import (
	"fmt"
	"math"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// Headstock is a plan drawn small, to a scale that can be stated: outline, posts
// with their flanges, strings and the fretboard end, tip up, seen from the front.
// It has nothing of the mechanics.
type Headstock struct {
	Plan   layout.Plan
	Sketch layout.Sketch // of the plan
	// WidthMM and HeightMM is the room it has; the scale is the largest of
	// scaleSteps that fits.
	WidthMM, HeightMM float64
	// Numbers writes a word outside each post, by the post's place in Plan.Posts:
	// the order of drilling, or the string. Nil writes none.
	Numbers []string
	Filled  bool // a pale face, for papers
}

// HeadstockOf is the drawing of a plan in a room of so many mm, with the numbers
// of its strings. Nil where the plan cannot be drawn.
func HeadstockOf(r *workshop.PlanResult, width, height float64) draw.Picture {
	k, err := layout.NewSketch(r.Plan)
	if err != nil {
		return nil
	}
	return Headstock{Plan: r.Plan, Sketch: k, WidthMM: width, HeightMM: height, Numbers: StringNumbers(r.Plan)}
}

// scaleSteps are the scales a person can divide by: 1:1, 1:1.5 and so on.
var scaleSteps = []float64{1, 1.5, 2, 2.5, 3, 4, 5, 7.5, 10}

// headstockEdge is the room round the drawing for what is outside of it.
const headstockEdge = 1.0

// sides is that room at the left and at the right.
func (h Headstock) sides() float64 {
	if h.Numbers != nil {
		return 7
	}
	return headstockEdge
}

// Divisor is the scale: 2 means 1:2.
func (h Headstock) Divisor() float64 {
	w, t := h.Sketch.Hi.X-h.Sketch.Lo.X, h.Sketch.Hi.Y-h.Sketch.Lo.Y
	roomX, roomY := h.WidthMM-2*h.sides(), h.HeightMM-2*headstockEdge
	for _, s := range scaleSteps {
		if w/s <= roomX && t/s <= roomY {
			return s
		}
	}
	return math.Max(w/math.Max(1, roomX), t/math.Max(1, roomY))
}

// Scale is the scale in words: "1:2".
func (h Headstock) Scale() string { return "1:" + figure(h.Divisor()) }

// Size implements draw.Picture.
func (h Headstock) Size() (width, height float64) {
	s := h.Divisor()
	return (h.Sketch.Hi.X-h.Sketch.Lo.X)/s + 2*h.sides(), (h.Sketch.Hi.Y-h.Sketch.Lo.Y)/s + 2*headstockEdge
}

// Place is where a point of the plan is drawn.
func (h Headstock) Place(q layout.Point) draw.Point {
	s := h.Divisor()
	return draw.Point{X: (q.X-h.Sketch.Lo.X)/s + h.sides(), Y: (h.Sketch.Hi.Y-q.Y)/s + headstockEdge}
}

// Draw implements draw.Picture.
func (h Headstock) Draw(s draw.Surface) {
	join := func(pts []layout.Point) []draw.Point {
		out := make([]draw.Point, len(pts))
		for i, q := range pts {
			out[i] = h.Place(q)
		}
		return out
	}
	face := draw.Look{Stroke: draw.Black, Width: 0.4}
	if h.Filled {
		face.Fill = draw.Tint
	}
	if o := h.Sketch.Outline; len(o) > 0 {
		s.Path(draw.Poly(join(o), h.Sketch.Closed), face)
	}
	for _, k := range h.Sketch.Strings {
		s.Path(draw.Poly(join([]layout.Point{k.A, k.B}), false), draw.Look{Stroke: draw.Rule, Width: 0.15})
	}
	end := join([]layout.Point{{X: h.Sketch.Lo.X}, {X: h.Sketch.Hi.X}})
	s.Path(draw.Poly(end, false), draw.Look{Stroke: draw.Grey, Width: 0.2})
	bore := 0.0
	for _, d := range h.Sketch.BoresMM {
		bore = math.Max(bore, d)
	}
	div := h.Divisor()
	for i, post := range h.Plan.Posts {
		c := h.Place(layout.Point{X: post.XMM, Y: post.YMM})
		flange, hole := h.Sketch.FlangeMM/2/div, bore/2/div
		s.Path(draw.Ellipse(c.X, c.Y, flange, flange), draw.Look{Fill: draw.White, Stroke: draw.Grey, Width: 0.15})
		s.Path(draw.Ellipse(c.X, c.Y, hole, hole), draw.Look{Stroke: draw.Brown, Width: 0.3})
		if i < len(h.Numbers) {
			h.number(s, post, c, h.Numbers[i])
		}
	}
}

// number writes a word outside the outline, level with its post, with a fine line
// to it.
func (h Headstock) number(s draw.Surface, post layout.Post, c draw.Point, word string) {
	w, _ := h.Size()
	x, anchor, gap := h.sides()-1.5, draw.End, 0.8
	if post.Side == layout.Treble {
		x, anchor, gap = w-h.sides()+1.5, draw.Start, -0.8
	}
	from := c.X - math.Copysign(h.Sketch.FlangeMM/2/h.Divisor(), gap)
	s.Path(draw.Stroke(from, c.Y, x+gap, c.Y), draw.Look{Stroke: draw.Rule, Width: 0.1})
	s.Text(x, c.Y+1.1, word, draw.Type{Points: labelPoints, Bold: true, Anchor: anchor})
}

// StringNumbers are the numbers of the posts' strings, for Headstock.Numbers.
func StringNumbers(p layout.Plan) []string {
	out := make([]string, len(p.Posts))
	for i, post := range p.Posts {
		out[i] = fmt.Sprint(post.String)
	}
	return out
}
