package reports

import (
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"path/filepath"
	"strings"
	"sync"

	"bookmatch/jobs"
	"bookmatch/reports/plain"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/rasterizer"
	"github.com/tdewolff/canvas/renderers/svg"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Picture is a drawing of a result: a strip, a life bar, a curve. Sizes are mm.
type Picture interface {
	Drawing
	picture(*sheetOfPaper)
}

// IsPicture says that a file of that name holds a picture.
func IsPicture(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".png", ".svg":
		return true
	}
	return false
}

// WritePicture draws p as PNG (at 200 dots per inch) or SVG, after the file
// name's ending. Letters are drawn as outlines: the file needs no font.
func WritePicture(w io.Writer, path string, p Picture) error {
	s := &sheetOfPaper{c: canvas.New(10, 10)}
	s.ctx = canvas.NewContext(s.c)
	p.picture(s)
	if s.err != nil {
		return s.err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg":
		out := svg.New(w, s.c.W, s.c.H, &svg.Options{})
		s.c.RenderTo(out)
		return out.Close()
	case ".png":
		return png.Encode(w, rasterizer.Draw(s.c, canvas.DPI(200), canvas.DefaultColorSpace))
	}
	return &jobs.FieldError{Field: "file name", Value: filepath.Base(path), Want: "an ending of .png or .svg"}
}

// sheetOfPaper is a white sheet with ink; y grows upwards.
type sheetOfPaper struct {
	c   *canvas.Canvas
	ctx *canvas.Context
	err error
}

func (s *sheetOfPaper) size(w, h float64) {
	s.c.W, s.c.H = w, h
	s.box(0, 0, w, h, "FFFFFF", "")
}

func hex(code string) color.RGBA {
	var r, g, b uint8
	if _, err := fmt.Sscanf(code, "%02x%02x%02x", &r, &g, &b); err != nil {
		return color.RGBA{A: 255}
	}
	return color.RGBA{r, g, b, 255}
}

func (s *sheetOfPaper) box(x, y, w, h float64, fill, stroke string) {
	s.draw(canvas.Rectangle(w, h), x, y, fill, stroke, 0.25)
}

func (s *sheetOfPaper) line(x1, y1, x2, y2 float64, ink string, width float64) {
	p := &canvas.Path{}
	p.MoveTo(0, 0)
	p.LineTo(x2-x1, y2-y1)
	s.draw(p, x1, y1, "", ink, width)
}

func (s *sheetOfPaper) draw(p *canvas.Path, x, y float64, fill, stroke string, width float64) {
	s.ctx.SetFillColor(canvas.Transparent)
	if fill != "" {
		s.ctx.SetFillColor(hex(fill))
	}
	s.ctx.SetStrokeColor(canvas.Transparent)
	if stroke != "" {
		s.ctx.SetStrokeColor(hex(stroke))
		s.ctx.SetStrokeWidth(width)
	}
	s.ctx.DrawPath(x, y, p)
}

// face loads the faces once; they are part of the program.
var houseFaces = sync.OnceValues(func() (*canvas.FontFamily, error) {
	f := canvas.NewFontFamily("house")
	if err := f.LoadFont(goregular.TTF, 0, canvas.FontRegular); err != nil {
		return nil, err
	}
	return f, f.LoadFont(gobold.TTF, 0, canvas.FontBold)
})

// text writes at the base line; align -1 starts, 0 centres, 1 ends at x. It
// returns the width in mm.
func (s *sheetOfPaper) text(x, y float64, words string, points float64, align int, bold bool) float64 {
	family, err := houseFaces()
	if err != nil {
		s.err = err
		return 0
	}
	style := canvas.FontRegular
	if bold {
		style = canvas.FontBold
	}
	p, w, err := family.Face(points, hex(inkColor), style).ToPath(plain.Clean(words))
	if err != nil {
		s.err = err
		return 0
	}
	s.draw(p, x-w*float64(align+1)/2, y, inkColor, "", 0)
	return w
}

// stateInk are the fills of the steps; hatching tells them apart without colour.
var stateInk = map[StepState]string{StepDone: paints[Walnut], StepRunning: paints[Brass], StepCuring: paints[Sand],
	StepReady: paints[Moss], StepBlocked: "FFFFFF", StepToDo: "FFFFFF"}

func (p Strip) picture(s *sheetOfPaper) {
	const w, left, bar = 180.0, 8.0, 14.0
	rows := (len(p.Steps) + 2) / 3
	h := 37 + float64(rows)*5
	s.size(w, h)
	y := h - 9
	s.text(left, y, p.Title, 13, -1, true)
	s.text(w-left, y, ShareText(p.DoneShare())+" done", 10, 1, false)
	all := 0.0
	for _, st := range p.Steps {
		all += weight(st)
	}
	x, room := left, w-2*left
	for i, st := range p.Steps {
		part := weight(st) / all * room
		s.box(x, y-4-bar, part, bar, stateInk[st.State], ruleColor)
		s.hatch(x, y-4-bar, part, bar, st.State)
		if n := fmt.Sprint(i + 1); part > 4 {
			s.text(x+part/2, y-4-bar-4, n, 7, 0, false)
		}
		x += part
	}
	for i, st := range p.Steps {
		cx, cy := left+float64(i/max(1, rows))*room/3, y-4-bar-11-float64(i%max(1, rows))*5
		s.box(cx, cy-0.4, 3, 3, stateInk[st.State], ruleColor)
		s.hatch(cx, cy-0.4, 3, 3, st.State)
		s.text(cx+4.5, cy, plain.Shorten(fmt.Sprintf("%d %s, %s", i+1, plain.Clean(st.Name), stepWords[st.State]), 38), 8, -1, false)
	}
}

// hatch strokes what is curing or blocked.
func (s *sheetOfPaper) hatch(x, y, w, h float64, st StepState) {
	step := map[StepState]float64{StepCuring: 1.6, StepBlocked: 2.4}[st]
	if step == 0 {
		return
	}
	for d := step; d < w+h; d += step {
		x1, y1 := x+math.Min(d, w), y+math.Max(0, d-w)
		x2, y2 := x+math.Max(0, d-h), y+math.Min(d, h)
		s.line(x1, y1, x2, y2, ruleColor, 0.15)
	}
}

func (l LifeBar) picture(s *sheetOfPaper) {
	const w, h, left, bar = 180.0, 44.0, 8.0, 10.0
	s.size(w, h)
	s.text(left, h-9, l.Title, 13, -1, true)
	room, y := w-2*left, h-27.0
	at := func(v float64) float64 { return left + math.Min(1, math.Max(0, v/l.end()))*room }
	s.box(left, y, room, bar, "FFFFFF", ruleColor)
	s.box(left, y, at(l.Used)-left, bar, paints[Walnut], "")
	if l.Next > 0 {
		s.box(at(l.Used), y, at(l.Used+l.Next)-at(l.Used), bar, paints[Brass], "")
		s.hatch(at(l.Used), y, at(l.Used+l.Next)-at(l.Used), bar, StepCuring)
	}
	if l.Retire > 0 {
		s.line(at(l.Retire), y-2, at(l.Retire), y+bar+2, badColor, 0.6)
	}
	s.scale(left, y, room, 0, l.end(), l.Unit)
	x := left + s.text(left, 4, "cut "+figure(l.Used)+" "+l.Unit, 9, -1, false) + 8
	if l.Next > 0 {
		x += s.text(x, 4, "next job "+figure(l.Next)+" "+l.Unit+" (hatched)", 9, -1, false) + 8
	}
	if l.Retire > 0 {
		s.text(x, 4, "retire at "+figure(l.Retire)+" "+l.Unit+" (line)", 9, -1, false)
	}
}

// scale draws ticks at round figures below a box.
func (s *sheetOfPaper) scale(x, y, room, from, to float64, unit string) {
	for _, v := range ticks(from, to) {
		at := x + (v-from)/(to-from)*room
		s.line(at, y, at, y-1.2, inkColor, 0.2)
		s.text(at, y-4.6, figure(v), 7.5, 0, false)
	}
	if unit != "" {
		s.text(x+room, y-8.6, unit, 7.5, 1, false)
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
	for i := math.Ceil(from/step-1e-9) + 0; i*step <= to+step*1e-9; i++ {
		out = append(out, i*step)
	}
	return out
}

func (c Curve) picture(s *sheetOfPaper) {
	const w, h, left, base, room, tall = 180.0, 96.0, 22.0, 20.0, 148.0, 58.0
	s.size(w, h)
	s.text(8, h-9, c.Title, 13, -1, true)
	s.text(8, h-15, c.YTitle, 8, -1, false)
	if len(c.Points) < 2 {
		s.text(left, h/2, "too few figures to draw", 10, -1, false)
		return
	}
	x0, x1, y1 := c.bounds()
	px := func(x float64) float64 { return left + (x-x0)/(x1-x0)*room }
	py := func(y float64) float64 { return base + y/y1*tall }
	for _, v := range ticks(0, y1) {
		s.line(left, py(v), left+room, py(v), hairColor, 0.2)
		label := figure(v)
		if c.Percent {
			label = fmt.Sprintf("%.0f %%", 100*v)
		}
		s.text(left-2, py(v)-1, label, 7.5, 1, false)
	}
	for i, l := range c.Levels {
		s.line(px(l.X), base, px(l.X), base+tall, badColor, 0.3)
		s.text(px(l.X)+1, base+2+4*float64(i%3), l.Name+" "+figure(l.X), 8, -1, false)
	}
	line := &canvas.Path{}
	for i, p := range c.Points {
		if i == 0 {
			line.MoveTo(px(p.X), py(p.Y))
		} else {
			line.LineTo(px(p.X), py(p.Y))
		}
	}
	s.draw(line, 0, 0, "", paints[Walnut], 0.7)
	s.line(left, base, left+room, base, inkColor, 0.3)
	s.scale(left, base, room, x0, x1, c.XTitle)
}
