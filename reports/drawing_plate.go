package reports

import (
	"fmt"
	"math"

	"bookmatch/layout"
	"bookmatch/reports/plain"

	"github.com/tdewolff/canvas"
)

// The inks of a template. Holes have one of their own, so that a copy in grey
// still tells them from the flanges by their solid line.
const (
	inkHole   = "B00020"
	inkFlange = "7A4B12"
	inkString = "4A6A8A"
	inkBand   = "9DB08A"
	inkKeep   = "A05A00"
	inkGuide  = "8A8A8A"
	inkBody   = "5A5A78"
)

// plate is one page being drawn.
type plate struct {
	*sheetOfPaper
	d    Template
	k    layout.Sketch
	f    fitting
	tile int
	side string
}

// at carries a point of the plan to the page.
func (p *plate) at(q layout.Point) (x, y float64) {
	l := p.f.lay(q)
	t := p.f.tiles[p.tile]
	return l.X + t.dx, l.Y + t.dy
}

func (p *plate) draw() {
	p.size(p.f.w, p.f.h)
	p.band()
	p.guides()
	p.strings()
	p.outline()
	p.keepouts()
	p.tuners()
	p.posts()
	p.frame()
}

// path makes a canvas path of plan points.
func (p *plate) path(pts []layout.Point, closed bool) *canvas.Path {
	out := &canvas.Path{}
	for i, q := range pts {
		x, y := p.at(q)
		if i == 0 {
			out.MoveTo(x, y)
		} else {
			out.LineTo(x, y)
		}
	}
	if closed {
		out.Close()
	}
	return out
}

// stroke draws a line; dashes are mm (the library counts them in line widths).
func (p *plate) stroke(path *canvas.Path, ink string, width float64, dashes ...float64) {
	var units []float64
	for _, d := range dashes {
		units = append(units, d/width)
	}
	p.ctx.SetDashes(0, units...)
	p.sheetOfPaper.draw(path, 0, 0, "", ink, width)
	p.ctx.SetDashes(0)
}

func (p *plate) between(a, b layout.Point, ink string, width float64, dashes ...float64) {
	p.stroke(p.path([]layout.Point{a, b}, false), ink, width, dashes...)
}

// ring is a circle of the plan; where the printer's correction differs across
// and along, it is drawn as the ellipse that prints round.
func (p *plate) ring(c layout.Point, r float64, ink string, width float64, dashes ...float64) {
	x, y := p.at(c)
	e := canvas.Ellipse(r*p.f.sx, r*p.f.sy)
	p.stroke(e.Translate(x, y), ink, width, dashes...)
}

func (p *plate) band() {
	all := &canvas.Path{}
	for _, s := range p.k.Band {
		ax, ay := p.at(s.A)
		bx, by := p.at(s.B)
		all.MoveTo(ax, ay)
		all.LineTo(bx, by)
	}
	if len(p.k.Band) > 0 {
		p.stroke(all, inkBand, 0.13)
	}
}

// guides are the centre line and the datum.
func (p *plate) guides() {
	lo, hi := p.k.Lo, p.k.Hi
	p.between(layout.Point{X: 0, Y: lo.Y - 3}, layout.Point{X: 0, Y: hi.Y + 3}, inkGuide, 0.15, 6, 1.2, 1, 1.2)
	p.between(layout.Point{X: lo.X - 3, Y: 0}, layout.Point{X: hi.X + 3, Y: 0}, inkColor, 0.25)
	if p.f.turned {
		return
	}
	x, y := p.at(layout.Point{X: 0, Y: 0})
	p.text(x+1.5, y-3.4, "datum: fretboard end", 6.5, -1, false)
}

func (p *plate) strings() {
	for _, s := range p.k.Strings {
		p.between(s.A, s.B, inkString, 0.15)
	}
}

func (p *plate) outline() {
	if len(p.k.Outline) > 0 {
		p.stroke(p.path(p.k.Outline, p.k.Closed), inkColor, 0.3)
	}
}

func (p *plate) keepouts() {
	for _, k := range p.k.Keepouts {
		var mid layout.Point
		if k.Radius > 0 {
			mid = k.Centre
			p.ring(k.Centre, k.Radius, inkKeep, 0.2, 1.5, 1)
		} else {
			p.stroke(p.path(k.Ring, len(k.Ring) > 2), inkKeep, 0.2, 1.5, 1)
			for _, q := range k.Ring {
				mid.X, mid.Y = mid.X+q.X/float64(len(k.Ring)), mid.Y+q.Y/float64(len(k.Ring))
			}
			if len(k.Ring) == 4 {
				p.between(k.Ring[0], k.Ring[2], inkKeep, 0.1)
				p.between(k.Ring[1], k.Ring[3], inkKeep, 0.1)
				mid.Y += (k.Ring[2].Y - k.Ring[0].Y) * 0.36
			}
		}
		x, y := p.at(mid)
		p.text(x, y+1, plain.Shorten(k.Name, 24), 6, 0, false)
	}
}

// tuners are the bodies on the back, dashed where they are seen through the
// wood.
func (p *plate) tuners() {
	dashes := []float64{1.2, 0.8}
	if p.side == BackSide {
		dashes = nil
	}
	for _, b := range p.k.Bodies {
		p.stroke(p.path(b, true), inkBody, 0.18, dashes...)
	}
	for _, b := range p.k.Buttons {
		if !p.inField(b) {
			continue
		}
		p.stroke(p.path(b, true), inkBody, 0.12, 0.6, 0.6)
	}
	for _, h := range p.d.Plan.Holes {
		if h.Kind == "pilot" {
			p.ring(layout.Point{X: h.XMM, Y: h.YMM}, h.DiameterMM/2, inkBody, 0.15, dashes...)
		}
	}
}

// inField: what is only for show is left out where the page has no room.
func (p *plate) inField(pts []layout.Point) bool {
	for _, q := range pts {
		if x, y := p.at(q); x < p.f.x0 || x > p.f.x1 || y < p.f.y0 || y > p.f.y1 {
			return false
		}
	}
	return true
}

const (
	crossGap = 0.7 // the cross is open round its centre: the prick sees wood
	crossArm = 2.5 // and reaches this far beyond the flange
)

func (p *plate) posts() {
	for _, post := range p.d.Plan.Posts {
		c := layout.Point{X: post.XMM, Y: post.YMM}
		reach := p.k.FlangeMM/2 + crossArm
		for _, d := range []layout.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			p.between(layout.Point{X: c.X + crossGap*d.X, Y: c.Y + crossGap*d.Y}, layout.Point{X: c.X + reach*d.X, Y: c.Y + reach*d.Y}, inkColor, 0.1)
		}
		for _, r := range p.k.BoresMM {
			p.ring(c, r/2, inkHole, 0.2)
		}
		p.ring(c, p.k.FlangeMM/2, inkFlange, 0.15, 1, 0.7)
		p.label(post, c)
	}
}

// label stands on the inner side of a post, clear of the flange and the cross.
func (p *plate) label(post layout.Post, c layout.Point) {
	r := p.k.FlangeMM/2 + 0.6
	side := 1.0
	if post.Side == layout.Treble {
		side = -1
	}
	x, y := p.at(layout.Point{X: c.X + side*r*0.78, Y: c.Y + r*0.78})
	align := -1
	if px, _ := p.at(c); x < px {
		align = 1
	}
	p.text(x, y, fmt.Sprintf("%d", post.String), 9, align, true)
}

// frame covers what runs out of the field and draws the page's furniture.
func (p *plate) frame() {
	f, t := p.f, p.f.tiles[p.tile]
	if len(f.tiles) > 1 {
		for _, b := range [][4]float64{{0, 0, f.w, f.y0 - 0.5}, {0, f.y1 + 0.5, f.w, f.h - f.y1 - 0.5}, {0, 0, f.x0 - 0.5, f.h}, {f.x1 + 0.5, 0, f.w - f.x1 - 0.5, f.h}} {
			p.box(b[0], b[1], b[2], b[3], "FFFFFF", "")
		}
		p.joins(t)
	}
	p.bars()
	p.title(t)
	if f.table {
		p.table()
	}
}

// joins are dashed lines with a pair of triangles, the same on both pages.
func (p *plate) joins(t tile) {
	letter := func(i int) string { return string(rune('A' + i%26)) }
	for k, y := range t.joinY {
		if math.IsNaN(y) {
			continue
		}
		p.dashed(p.f.x0, y, p.f.x1, y)
		name := letter(t.row + k - 1)
		for _, x := range []float64{p.f.x0 + 3, p.f.x1 - 3} {
			p.triangle(x, y, 0, 1)
			p.text(x, y+4, name, 8, 0, true)
		}
	}
	for k, x := range t.joinX {
		if math.IsNaN(x) {
			continue
		}
		p.dashed(x, p.f.y0, x, p.f.y1)
		name := letter(12 + t.col + k - 1)
		for _, y := range []float64{p.f.y0 + 3, p.f.y1 - 3} {
			p.triangle(x, y, 1, 0)
			p.text(x+4, y-1, name, 8, 0, true)
		}
	}
}

func (p *plate) dashed(x0, y0, x1, y1 float64) {
	q := &canvas.Path{}
	q.MoveTo(x0, y0)
	q.LineTo(x1, y1)
	p.stroke(q, inkGuide, 0.15, 3, 1.5)
}

// triangle points at the join from both sides.
func (p *plate) triangle(x, y, dx, dy float64) {
	for _, s := range []float64{-1, 1} {
		q := &canvas.Path{}
		q.MoveTo(x, y)
		q.LineTo(x+s*2.2*dx+1.2*dy, y+s*2.2*dy+1.2*dx)
		q.LineTo(x+s*2.2*dx-1.2*dy, y+s*2.2*dy-1.2*dx)
		q.Close()
		p.sheetOfPaper.draw(q, 0, 0, inkColor, "", 0)
	}
}
