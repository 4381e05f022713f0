package paper

import (
	"fmt"
	"math"

	"bookmatch/layout"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// The looks of a template's lines. No two are alike in grey: the key on each page
// explains every one by what it looks like.
var (
	lookOutline = draw.Look{Stroke: draw.Black, Width: 0.4}
	lookHole    = draw.Look{Stroke: draw.Brown, Width: 0.2}
	lookFlange  = draw.Look{Stroke: draw.Grey, Width: 0.15, Dash: []float64{1, 0.7}}
	lookCross   = draw.Look{Stroke: draw.Black, Width: 0.1}
	lookString  = draw.Look{Stroke: draw.Rule, Width: 0.15}
	lookBand    = draw.Look{Stroke: draw.Rule, Width: 0.13}
	lookCentre  = draw.Look{Stroke: draw.Grey, Width: 0.15, Dash: []float64{6, 1.2, 1, 1.2}}
	lookDatum   = draw.Look{Stroke: draw.Black, Width: 0.25}
	lookKeep    = draw.Look{Stroke: draw.Grey, Width: 0.25, Dash: []float64{2.5, 1}}
	lookKeepX   = draw.Look{Stroke: draw.Grey, Width: 0.1}
	lookBody    = draw.Look{Stroke: draw.Grey, Width: 0.2}
	lookButton  = draw.Look{Stroke: draw.Grey, Width: 0.15, Dash: []float64{0.3, 0.6}}
	lookCut     = draw.Look{Stroke: draw.Black, Width: 0.25}
	lookTape    = draw.Look{Stroke: draw.Grey, Width: 0.2, Dash: []float64{3, 1.5}}
)

// throughWood are the dashes of a body that is seen through the wood.
var throughWood = []float64{1.6, 1.2}

// plate is one page being drawn. Its own measures count up the page from the
// lower left corner; the surface counts down.
type plate struct {
	s    draw.Surface
	t    Template
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
	p.s.Page(p.f.w, p.f.h)
	tiled := len(p.f.tiles) > 1
	if tiled {
		p.clip(p.f.tiles[p.tile])
	}
	p.band()
	p.guides()
	p.strings()
	p.outline()
	p.keepouts()
	p.tuners()
	p.posts()
	if tiled {
		p.s.Unclip()
		p.joins(p.f.tiles[p.tile])
	}
	p.bars()
	p.title()
	if p.f.table {
		p.table(p.f.x1-postsWidth, p.f.y1-4)
	}
}

// clip keeps the drawing within the field, and an overlap beyond each join.
func (p *plate) clip(t tile) {
	x0, y0, x1, y1 := p.f.x0, p.f.y0, p.f.x1, p.f.y1
	if !math.IsNaN(t.joinX[0]) {
		x0 = math.Max(x0, t.joinX[0]-tileOverlap)
	}
	if !math.IsNaN(t.joinY[0]) {
		y0 = math.Max(y0, t.joinY[0]-tileOverlap)
	}
	if !math.IsNaN(t.joinX[1]) {
		x1 = math.Min(x1, t.joinX[1]+tileOverlap)
	}
	if !math.IsNaN(t.joinY[1]) {
		y1 = math.Min(y1, t.joinY[1]+tileOverlap)
	}
	p.s.Clip(draw.Box(x0, p.f.h-y1, x1-x0, y1-y0))
}

// onPage turns page measures into the surface's.
func (p *plate) onPage(x, y float64) draw.Point { return draw.Point{X: x, Y: p.f.h - y} }

func (p *plate) text(x, y float64, words string, points float64, anchor int, bold bool) {
	p.s.Text(x, p.f.h-y, words, draw.Type{Points: points, Bold: bold, Anchor: anchor})
}

func (p *plate) line(x0, y0, x1, y1 float64, look draw.Look) {
	p.s.Path(draw.Poly([]draw.Point{p.onPage(x0, y0), p.onPage(x1, y1)}, false), look)
}

func (p *plate) box(x, y, w, h float64, look draw.Look) {
	p.s.Path(draw.Box(x, p.f.h-y-h, w, h), look)
}

// stroke joins points of the plan.
func (p *plate) stroke(pts []layout.Point, closed bool, look draw.Look) {
	out := make([]draw.Point, len(pts))
	for i, q := range pts {
		out[i] = p.onPage(p.at(q))
	}
	p.s.Path(draw.Poly(out, closed), look)
}

func (p *plate) between(a, b layout.Point, look draw.Look) {
	p.stroke([]layout.Point{a, b}, false, look)
}

// ring is a circle of the plan; where the printer's correction differs across
// and along, it is drawn as the ellipse that prints round.
func (p *plate) ring(c layout.Point, r float64, look draw.Look) {
	q := p.onPage(p.at(c))
	p.s.Path(draw.Ellipse(q.X, q.Y, r*p.f.sx, r*p.f.sy), look)
}

func (p *plate) band() {
	all := new(draw.Path)
	for _, s := range p.k.Band {
		a, b := p.onPage(p.at(s.A)), p.onPage(p.at(s.B))
		all.Move(a.X, a.Y).Line(b.X, b.Y)
	}
	p.s.Path(all, lookBand)
}

// guides are the centre line and the datum.
func (p *plate) guides() {
	lo, hi := p.k.Lo, p.k.Hi
	p.between(layout.Point{X: 0, Y: lo.Y - 3}, layout.Point{X: 0, Y: hi.Y + 3}, lookCentre)
	p.between(layout.Point{X: lo.X - 3, Y: 0}, layout.Point{X: hi.X + 3, Y: 0}, lookDatum)
	if p.f.turned {
		return
	}
	x, y := p.at(layout.Point{X: 0, Y: 0})
	p.text(x+1.5, y-3.4, "datum: fretboard end", 8, draw.Start, false)
}

func (p *plate) strings() {
	for _, s := range p.k.Strings {
		p.between(s.A, s.B, lookString)
	}
}

func (p *plate) outline() {
	if len(p.k.Outline) > 0 {
		p.stroke(p.k.Outline, p.k.Closed, lookOutline)
	}
}

func (p *plate) keepouts() {
	for _, k := range p.k.Keepouts {
		var mid layout.Point
		if k.Radius > 0 {
			mid = k.Centre
			p.ring(k.Centre, k.Radius, lookKeep)
		} else {
			p.stroke(k.Ring, len(k.Ring) > 2, lookKeep)
			for _, q := range k.Ring {
				mid.X, mid.Y = mid.X+q.X/float64(len(k.Ring)), mid.Y+q.Y/float64(len(k.Ring))
			}
			if len(k.Ring) == 4 {
				p.between(k.Ring[0], k.Ring[2], lookKeepX)
				p.between(k.Ring[1], k.Ring[3], lookKeepX)
				mid.Y += (k.Ring[2].Y - k.Ring[0].Y) * 0.36
			}
		}
		x, y := p.at(mid)
		p.text(x, y+1, plain.Shorten(k.Name, 24), 8, draw.Middle, false)
	}
}

// bodyLook is how a body on the back is drawn: through the wood on the face.
func (p *plate) bodyLook() draw.Look {
	look := lookBody
	if p.side == FaceSide {
		look.Dash = throughWood
	}
	return look
}

func (p *plate) tuners() {
	for _, b := range p.k.Bodies {
		p.stroke(b, true, p.bodyLook())
	}
	for _, b := range p.k.Buttons {
		if p.inField(b) {
			p.stroke(b, true, lookButton)
		}
	}
	for _, h := range p.t.Plan.Holes {
		if h.Kind == "pilot" {
			p.ring(layout.Point{X: h.XMM, Y: h.YMM}, h.DiameterMM/2, p.bodyLook())
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
	for _, post := range p.t.Plan.Posts {
		c := layout.Point{X: post.XMM, Y: post.YMM}
		reach := p.k.FlangeMM/2 + crossArm
		for _, d := range []layout.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			p.between(layout.Point{X: c.X + crossGap*d.X, Y: c.Y + crossGap*d.Y}, layout.Point{X: c.X + reach*d.X, Y: c.Y + reach*d.Y}, lookCross)
		}
		for _, r := range p.k.BoresMM {
			p.ring(c, r/2, lookHole)
		}
		p.ring(c, p.k.FlangeMM/2, lookFlange)
		p.label(post, c)
	}
}

// label is on the inner side of a post, clear of the flange and the cross.
func (p *plate) label(post layout.Post, c layout.Point) {
	r := p.k.FlangeMM/2 + 0.6
	side := 1.0
	if post.Side == layout.Treble {
		side = -1
	}
	x, y := p.at(layout.Point{X: c.X + side*r*0.78, Y: c.Y + r*0.78})
	anchor := draw.Start
	if px, _ := p.at(c); x < px {
		anchor = draw.End
	}
	p.text(x, y, fmt.Sprintf("%d", post.String), 10, anchor, true)
}
