package paper

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// bars draws a bar of 100 mm across and one along the page: the printed page is
// measured before it is trusted. They are made up for like everything else.
func (p *plate) bars() {
	const thick = 1.2
	x, y := p.f.x0, pageMargin+titleHeight+4.5
	w, h := barMM*p.f.sx, barMM*p.f.sy
	solid, tick := draw.Look{Fill: draw.Black}, draw.Look{Stroke: draw.Black, Width: 0.2}
	p.box(x, y, w, thick, solid)
	p.box(pageMargin+3, p.f.y0, thick, h, solid)
	for i := range 11 {
		d := float64(i) / 10
		long := 1.2
		if i%5 == 0 {
			long = 2.2
		}
		// Ticks are within the bar's ends, so that its length is what one reads.
		tx := math.Min(math.Max(x+d*w, x+0.1), x+w-0.1)
		ty := math.Min(math.Max(p.f.y0+d*h, p.f.y0+0.1), p.f.y0+h-0.1)
		p.line(tx, y+thick, tx, y+thick+long, tick)
		p.line(pageMargin+3+thick, ty, pageMargin+3+thick+long, ty, tick)
	}
	p.text(x+w+2, y, "100 mm across: measure it with a rule", 8, draw.Start, false)
	p.text(pageMargin+2, p.f.y0+h+2.2, "100 mm", 8, draw.Start, false)
	p.text(pageMargin+2, p.f.y0+h+5.4, "along", 8, draw.Start, false)
}

// title is the strip at the foot of the page.
func (p *plate) title() {
	const codeWidth = 44.0
	x0, x1, y := pageMargin, p.f.w-pageMargin, pageMargin
	top := y + titleHeight
	frame := draw.Look{Stroke: draw.Black, Width: 0.25}
	p.box(x0, y, x1-x0, titleHeight, frame)
	p.line(x1-codeWidth, y, x1-codeWidth, top, frame)
	p.code(x1-codeWidth/2, y, codeWidth-4)
	width := x1 - codeWidth - x0 - 8
	write := func(down float64, words string, t draw.Type) {
		at := p.onPage(x0+4, top-down)
		p.s.Text(at.X, at.Y, draw.Cut(p.s, words, t, width), t)
	}
	name := p.t.Neck
	if p.t.Title != "" {
		name += ": " + p.t.Title
	}
	write(6, name, draw.Type{Points: 12, Bold: true})
	write(11, p.head(), draw.Type{Points: 9, Bold: true})
	for i, l := range p.notes() {
		write(15.2+float64(i)*3.7, l, draw.Type{Points: 8})
	}
	p.drawKey(x0+4, top-25.6, width)
}

// code is the box of the plan code, its middle at x.
func (p *plate) code(x, y, width float64) {
	plan := p.t.Plan
	p.text(x, y+titleHeight-6, "plan code", 8, draw.Middle, false)
	p.text(x, y+19, plan.Code, 30, draw.Middle, true)
	small := fmt.Sprintf("version %d", plan.Version)
	if !p.t.Made.IsZero() {
		small += ", " + p.t.Made.UTC().Format("2006-01-02")
	}
	p.text(x, y+12, small, 8, draw.Middle, false)
	bold := draw.Type{Points: 8, Bold: true, Anchor: draw.Middle}
	for i, l := range draw.Lines(p.s, p.t.State, bold, width) {
		if i == 2 {
			break // the whole sentence is on the screen
		}
		at := p.onPage(x, y+7-float64(i)*3.6)
		p.s.Text(at.X, at.Y, l, bold)
	}
}

// head says which side this is and which page of it.
func (p *plate) head() string {
	head := "FACE (seen from the front, bass left)"
	switch {
	case p.side == BackSide:
		head = "BACK (mirrored: seen from the back)"
	case p.f.turned:
		head = "FACE (seen from the front, tip to the right)"
	}
	if n := p.pageCount(); n > 1 {
		head += fmt.Sprintf(", page %d of %d", p.tile+2, n)
	}
	return head
}

func (p *plate) notes() []string {
	spec := p.t.Plan.Spec
	holes := layout.DrillCounts(p.t.Plan.Holes)
	var parts []string
	for _, h := range holes {
		parts = append(parts, fmt.Sprintf("%d %s %g mm", h.Holes, plural(h.Kind, h.Holes), h.DiameterMM))
	}
	pull := "strings square to the nut"
	if spec.Pull.Along == layout.AlongString {
		pull = "strings along their own lines"
	}
	scale := "Print at 100 %, no fit to page. Both bars must read 100.0 mm before this is stuck down."
	if p.f.sx != 1 || p.f.sy != 1 {
		scale = fmt.Sprintf("Made up for the printer: %.2f %% across, %.2f %% along. Print at 100 %%. Both bars must read 100.0 mm.", 100*p.f.sx, 100*p.f.sy)
	}
	return []string{
		fmt.Sprintf("%s; %s; drill: %s", "mode "+p.t.Plan.ModeText(), pull, strings.Join(parts, ", ")),
		scale,
		shapeNote(spec.Shape),
	}
}

func plural(kind string, n int) string {
	if n == 1 {
		return kind + " hole"
	}
	return kind + " holes"
}

func shapeNote(shape string) string {
	if shape == "" {
		return "Shape: not stated. Headstock shapes can be registered by others."
	}
	return "Shape: " + shape + "."
}

// table lists the posts, its upper left corner at (x, top).
func (p *plate) table(x, top float64) {
	cols := []struct {
		head string
		at   float64
	}{{"string", 10}, {"x", 23}, {"y", 36}, {"pitch", 49}, {"edge", 62}}
	rule := draw.Look{Stroke: draw.Rule, Width: 0.2}
	p.text(x, top, "Post centres from the datum, mm", 9, draw.Start, true)
	y := top - 5.5
	for _, c := range cols {
		p.text(x+c.at, y, c.head, 8, draw.End, true)
	}
	p.line(x, y-1.3, x+postsWidth, y-1.3, rule)
	for _, post := range p.t.Plan.Posts {
		y -= 4.6
		for i, v := range []string{fmt.Sprint(post.String), fmt.Sprintf("%.1f", post.XMM), fmt.Sprintf("%.1f", post.YMM), maybeMM(post.PitchMM), maybeMM(post.EdgeMM)} {
			p.text(x+cols[i].at, y, v, 9, draw.End, i == 0)
		}
	}
	p.line(x, y-1.6, x+postsWidth, y-1.6, rule)
	axes := "x to the treble side, y to the tip; string 1 is the lowest"
	if p.side == BackSide {
		axes = "x as from the front: to the treble side, here to the left"
	}
	small := draw.Type{Points: 8}
	y -= 5.5
	for _, words := range []string{axes, "pitch: to the post before; edge: shortest distance"} {
		for _, l := range draw.Lines(p.s, words, small, postsWidth) {
			at := p.onPage(x, y)
			p.s.Text(at.X, at.Y, l, small)
			y -= 3.6
		}
	}
}

func maybeMM(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f", *v)
}
