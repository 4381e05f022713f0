package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/layout"
	"bookmatch/reports/plain"
)

// bars draws a bar of 100 mm across and one along the page: the printed page is
// measured before it is trusted. They are made up for like everything else.
func (p *plate) bars() {
	const thick = 1.2
	x, y := p.f.x0, pageMargin+titleHeight+4.5
	w, h := barMM*p.f.sx, barMM*p.f.sy
	p.box(x, y, w, thick, inkColor, "")
	p.box(pageMargin+3, p.f.y0, thick, h, inkColor, "")
	for i := range 11 {
		d := float64(i) / 10
		long := 1.2
		if i%5 == 0 {
			long = 2.2
		}
		// Ticks lie within the bar's ends, so that its length is what one reads.
		tx := math.Min(math.Max(x+d*w, x+0.1), x+w-0.1)
		ty := math.Min(math.Max(p.f.y0+d*h, p.f.y0+0.1), p.f.y0+h-0.1)
		p.line(tx, y+thick, tx, y+thick+long, inkColor, 0.2)
		p.line(pageMargin+3+thick, ty, pageMargin+3+thick+long, ty, inkColor, 0.2)
	}
	p.text(x+w+2, y, "100 mm across: measure it with a rule", 7, -1, false)
	p.text(pageMargin+2, p.f.y0+h+2.2, "100 mm", 7, -1, false)
	p.text(pageMargin+2, p.f.y0+h+5, "along", 7, -1, false)
}

// title is the strip at the foot of the page.
func (p *plate) title(t tile) {
	x0, x1 := pageMargin, p.f.w-pageMargin
	y := pageMargin
	p.box(x0, y, x1-x0, titleHeight, "", inkColor)
	codeWidth := 44.0
	p.line(x1-codeWidth, y, x1-codeWidth, y+titleHeight, inkColor, 0.25)
	plan := p.d.Plan
	cx := x1 - codeWidth/2
	p.text(cx, y+titleHeight-5.5, "plan code", 7, 0, false)
	p.text(cx, y+12.5, plan.Code, 30, 0, true)
	small := fmt.Sprintf("version %d", plan.Version)
	if !p.d.Made.IsZero() {
		small += ", " + p.d.Made.UTC().Format("2006-01-02")
	}
	p.text(cx, y+7, small, 7, 0, false)
	if p.d.State != "" {
		p.text(cx, y+3, plain.Shorten(p.d.State, 34), 7, 0, true)
	}
	head := strings.ToUpper(p.side)
	if p.side == BackSide {
		head += " (mirrored: seen from the back)"
	} else {
		head += " (seen from the front, bass left)"
		if p.f.turned {
			head = "FACE (seen from the front, tip to the right)"
		}
	}
	if len(p.f.tiles) > 1 {
		head += fmt.Sprintf(", page %d of %d", p.tile+1, len(p.f.tiles))
	}
	name := p.d.Neck
	if p.d.Title != "" {
		name += ": " + p.d.Title
	}
	p.text(x0+4, y+titleHeight-6, plain.Shorten(name, 60), 12, -1, true)
	p.text(x0+4, y+titleHeight-11.5, head, 9, -1, true)
	for i, l := range p.notes() {
		p.text(x0+4, y+titleHeight-16-float64(i)*3.6, l, 7, -1, false)
	}
}

func (p *plate) notes() []string {
	spec := p.d.Plan.Spec
	holes := layout.DrillCounts(p.d.Plan.Holes)
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
		scale = fmt.Sprintf("Made up for the printer: %.2f %% across, %.2f %% along. Print at 100 %%; both bars must read 100.0 mm.", 100*p.f.sx, 100*p.f.sy)
	}
	return []string{
		fmt.Sprintf("%s; %s; drill: %s", "mode "+p.d.Plan.Mode, pull, strings.Join(parts, ", ")),
		scale,
		"Hatched: where post centres may stand. Red: holes. Dashed brown: flanges. Crosses are open: prick the wood.",
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

// table lists the posts beside the head.
func (p *plate) table() {
	x := p.f.x1 - postsWidth
	top := p.f.y1 - 4
	cols := []struct {
		head string
		at   float64
	}{{"string", 10}, {"x", 23}, {"y", 36}, {"pitch", 49}, {"edge", 62}}
	p.text(x, top, "Post centres from the datum, mm", 8, -1, true)
	y := top - 5.5
	for _, c := range cols {
		p.text(x+c.at, y, c.head, 7, 1, true)
	}
	p.line(x, y-1.3, x+postsWidth, y-1.3, ruleColor, 0.2)
	for _, post := range p.d.Plan.Posts {
		y -= 4.4
		for i, v := range []string{fmt.Sprint(post.String), fmt.Sprintf("%.1f", post.XMM), fmt.Sprintf("%.1f", post.YMM), maybeMM(post.PitchMM), maybeMM(post.EdgeMM)} {
			p.text(x+cols[i].at, y, v, 8, 1, i == 0)
		}
	}
	p.line(x, y-1.6, x+postsWidth, y-1.6, ruleColor, 0.2)
	y -= 5.5
	axes := "x to the treble side, y to the tip; string 1 is the lowest"
	if p.side == BackSide {
		axes = "x as from the front: to the treble side, here to the left"
	}
	p.text(x, y, axes, 6.5, -1, false)
	y -= 3.4
	p.text(x, y, "pitch: to the post before; edge: shortest distance", 6.5, -1, false)
}

func maybeMM(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f", *v)
}
