package reports

import (
	"fmt"
	"math"

	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// Picture is a drawing that has a form on paper too.
type Picture interface {
	Drawing
	draw.Picture
}

// The type of pictures. Nothing is smaller than a label.
const (
	titlePoints = 13
	labelPoints = 9
)

const (
	pictureWidth  = 180.0
	pictureMargin = 8.0
	pictureRoom   = pictureWidth - 2*pictureMargin
)

func heading(s draw.Surface, words string) {
	t := draw.Type{Points: titlePoints, Bold: true}
	s.Text(pictureMargin, 9, draw.Cut(s, words, t, pictureRoom-30), t)
}

// stepLook is how the stretch of a step is inked: each state has its own pattern.
func stepLook(st StepState) (fill draw.Ink, hatch draw.Look, step, deg float64) {
	thin := draw.Look{Stroke: draw.Grey, Width: 0.2}
	switch st {
	case StepDone:
		return draw.Brown, thin, 0, 0
	case StepRunning:
		return draw.Rule, thin, 0, 0
	case StepCuring:
		return draw.White, thin, 1.2, 45
	case StepReady:
		return draw.Hair, thin, 0, 0
	case StepBlocked:
		return draw.White, thin, 2.4, -45
	}
	return draw.White, thin, 0, 0
}

func stepBox(s draw.Surface, x, y, w, h float64, st StepState) {
	fill, look, step, deg := stepLook(st)
	box := draw.Box(x, y, w, h)
	s.Path(box, draw.Look{Fill: fill})
	if step > 0 {
		s.Path(draw.Hatch(box, step, deg), look)
	}
	edge := draw.Look{Stroke: draw.Grey, Width: 0.25}
	if st == StepDone {
		edge.Stroke = draw.Hair // seen on the dark fill
	}
	s.Path(box, edge)
}

// Size implements draw.Picture.
func (p Strip) Size() (w, h float64) { return pictureWidth, 37 + float64((len(p.Steps)+2)/3)*5 }

// Draw implements draw.Picture: the strip with numbered steps, and the steps by
// number below it.
func (p Strip) Draw(s draw.Surface) {
	const top, bar = 13.0, 14.0
	label := draw.Type{Points: labelPoints}
	heading(s, p.Title)
	s.Text(pictureWidth-pictureMargin, 9, ShareText(p.DoneShare())+" done", draw.Type{Points: 10, Anchor: draw.End})
	all := 0.0
	for _, st := range p.Steps {
		all += weight(st)
	}
	x, rows := pictureMargin, max(1, (len(p.Steps)+2)/3)
	numbered := pictureMargin - 9 // where the last number was written
	for i, st := range p.Steps {
		part := weight(st) / all * pictureRoom
		stepBox(s, x, top, part, bar, st.State)
		if mid := x + part/2; part > 4 && mid-numbered > 4 {
			s.Text(mid, top+bar+4.5, fmt.Sprint(i+1), draw.Type{Points: labelPoints, Anchor: draw.Middle})
			numbered = mid
		}
		x += part
		cx, cy := pictureMargin+float64(i/rows)*pictureRoom/3, top+bar+12+float64(i%rows)*5
		stepBox(s, cx, cy-2.6, 3, 3, st.State)
		words := fmt.Sprintf("%d %s, %s", i+1, plain.Clean(st.Name), stepWords[st.State])
		s.Text(cx+4.5, cy, draw.Cut(s, words, label, pictureRoom/3-6), label)
	}
}

// Size implements draw.Picture.
func (l LifeBar) Size() (w, h float64) { return pictureWidth, 44 }

// Draw implements draw.Picture.
func (l LifeBar) Draw(s draw.Surface) {
	const top, bar = 17.0, 10.0
	heading(s, l.Title)
	at := func(v float64) float64 { return pictureMargin + math.Min(1, math.Max(0, v/l.end()))*pictureRoom }
	edge := draw.Look{Stroke: draw.Grey, Width: 0.25}
	s.Path(draw.Box(at(0), top, at(l.Used)-at(0), bar), draw.Look{Fill: draw.Brown})
	if l.Next > 0 {
		next := draw.Box(at(l.Used), top, at(l.Used+l.Next)-at(l.Used), bar)
		s.Path(draw.Hatch(next, 1.4, 45), draw.Look{Stroke: draw.Black, Width: 0.2})
		s.Path(next, edge)
	}
	s.Path(draw.Box(pictureMargin, top, pictureRoom, bar), edge)
	if l.Retire > 0 {
		s.Path(draw.Stroke(at(l.Retire), top-2, at(l.Retire), top+bar+2), draw.Look{Stroke: draw.Black, Width: 0.8})
	}
	scale(s, pictureMargin, top+bar, pictureRoom, 0, l.end(), l.Unit)
	label := draw.Type{Points: labelPoints}
	x := pictureMargin
	write := func(words string) {
		s.Text(x, 42, words, label)
		x += s.Width(words, label) + 8
	}
	write("solid: cut " + figure(l.Used) + " " + l.Unit)
	if l.Next > 0 {
		write("hatched: next job " + figure(l.Next) + " " + l.Unit)
	}
	if l.Retire > 0 {
		write("thick line: retire at " + figure(l.Retire) + " " + l.Unit)
	}
}

// scale draws ticks at round figures below a box whose lower edge is at y.
func scale(s draw.Surface, x, y, room, from, to float64, unit string) {
	label := draw.Type{Points: labelPoints, Anchor: draw.Middle}
	for _, v := range ticks(from, to) {
		at := x + (v-from)/(to-from)*room
		s.Path(draw.Stroke(at, y, at, y+1.2), draw.Look{Stroke: draw.Black, Width: 0.2})
		s.Text(at, y+5, figure(v), label)
	}
	if unit != "" {
		s.Text(x+room, y+9.5, unit, draw.Type{Points: labelPoints, Anchor: draw.End})
	}
}

// ticks gives four to nine round figures in a range.
func ticks(from, to float64) []float64 {
	step := math.Pow(10, math.Floor(math.Log10((to-from)/4)))
	for _, k := range []float64{5, 2} {
		if (to-from)/(step*k) >= 4 {
			step *= k
			break
		}
	}
	var out []float64
	// Adding 0 makes 0 of -0.
	for i := math.Ceil(from/step-1e-9) + 0; i*step <= to+step*1e-9; i++ {
		out = append(out, i*step)
	}
	return out
}

// Size implements draw.Picture.
func (c Curve) Size() (w, h float64) { return pictureWidth, 96 }

// Draw implements draw.Picture.
func (c Curve) Draw(s draw.Surface) {
	const left, base, room, tall = 22.0, 76.0, 148.0, 56.0
	label := draw.Type{Points: labelPoints}
	heading(s, c.Title)
	s.Text(pictureMargin, 15, c.YTitle, label)
	if len(c.Points) < 2 {
		s.Text(left, 48, "too few figures to draw", draw.Type{Points: 10})
		return
	}
	x0, x1, y1 := c.bounds()
	px := func(x float64) float64 { return left + (x-x0)/(x1-x0)*room }
	py := func(y float64) float64 { return base - y/y1*tall }
	for _, v := range ticks(0, y1) {
		s.Path(draw.Stroke(left, py(v), left+room, py(v)), draw.Look{Stroke: draw.Hair, Width: 0.2})
		words := figure(v)
		if c.Percent {
			words = fmt.Sprintf("%.0f %%", 100*v)
		}
		s.Text(left-2, py(v)+1, words, draw.Type{Points: labelPoints, Anchor: draw.End})
	}
	for i, l := range c.Levels {
		s.Path(draw.Stroke(px(l.X), base, px(l.X), base-tall), draw.Look{Stroke: draw.Grey, Width: 0.3, Dash: []float64{1.5, 1}})
		s.Text(px(l.X)+1, base-2-4*float64(i%3), l.Name+" "+figure(l.X), label)
	}
	line := make([]draw.Point, len(c.Points))
	for i, p := range c.Points {
		line[i] = draw.Point{X: px(p.X), Y: py(p.Y)}
	}
	s.Path(draw.Poly(line, false), draw.Look{Stroke: draw.Brown, Width: 0.7})
	s.Path(draw.Stroke(left, base, left+room, base), draw.Look{Stroke: draw.Black, Width: 0.3})
	scale(s, left, base, room, x0, x1, c.XTitle)
}
