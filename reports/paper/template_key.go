package paper

import (
	"bookmatch/reports/draw"
)

// keyRow is one line of the key: how a line looks and what it is. swatch draws it
// in a box of keySample x 3 mm whose middle is at (x, y) of the surface.
type keyRow struct {
	words  string
	swatch func(s draw.Surface, x, y float64)
}

const (
	keySwatch = 9.0
	keyWidth  = 45.9 // of one column
	keyLine   = 4.0
)

func straight(look draw.Look) func(draw.Surface, float64, float64) {
	return func(s draw.Surface, x, y float64) {
		s.Path(draw.Stroke(x-keySwatch/2, y, x+keySwatch/2, y), look)
	}
}

func round(look draw.Look) func(draw.Surface, float64, float64) {
	return func(s draw.Surface, x, y float64) { s.Path(draw.Ellipse(x, y, 1.6, 1.6), look) }
}

func boxed(look draw.Look) func(draw.Surface, float64, float64) {
	return func(s draw.Surface, x, y float64) { s.Path(draw.Box(x-keySwatch/2, y-1.5, keySwatch, 3), look) }
}

// key lists the lines that this template has, in the words of how they look.
func (p *plate) key() []keyRow {
	rows := []keyRow{
		{"solid circle: hole", round(lookHole)},
		{"dashed circle: flange", round(lookFlange)},
		{"open cross: prick the wood", func(s draw.Surface, x, y float64) {
			for _, d := range []draw.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				s.Path(draw.Stroke(x+0.4*d.X, y+0.4*d.Y, x+1.9*d.X, y+1.9*d.Y), lookCross)
			}
		}},
		{"thin solid: string", straight(lookString)},
		{"dash and dot: centre line", straight(lookCentre)},
	}
	if len(p.k.Outline) > 0 {
		rows = append(rows, keyRow{"thick solid: outline", straight(lookOutline)})
	}
	if len(p.k.Band) > 0 {
		rows = append(rows, keyRow{"hatched: posts fit here", func(s draw.Surface, x, y float64) {
			s.Path(draw.Hatch(draw.Box(x-keySwatch/2, y-1.5, keySwatch, 3), 1.2, 45), lookBand)
		}})
	}
	if len(p.k.Keepouts) > 0 {
		rows = append(rows, keyRow{"long dashes: keep clear", boxed(lookKeep)})
	}
	if len(p.k.Bodies) > 0 {
		words := "short dashes: body, behind"
		if p.side == BackSide {
			words = "solid box: tuner body"
		}
		rows = append(rows, keyRow{words, boxed(p.bodyLook())})
	}
	if len(p.k.Buttons) > 0 {
		rows = append(rows, keyRow{"dotted: button", boxed(lookButton)})
	}
	return rows
}

// drawKey writes the key in columns within the width; y is the middle of its
// first line, up the page.
func (p *plate) drawKey(x, y, width float64) {
	cols := max(1, int(width/keyWidth))
	label := draw.Type{Points: 8}
	for i, row := range p.key() {
		at := p.onPage(x+float64(i%cols)*keyWidth, y-float64(i/cols)*keyLine)
		row.swatch(p.s, at.X+keySwatch/2, at.Y)
		p.s.Text(at.X+keySwatch+2, at.Y+1, draw.Cut(p.s, row.words, label, keyWidth-keySwatch-3), label)
	}
}
