package paper

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"bookmatch/reports/draw"
)

// SVG is a surface that writes one drawing as SVG. It uses attributes of
// presentation and classes, and never a style attribute, so that it can be in
// a page with a strict content policy. A class is the ink's name after "fill-" or
// "line-": a style sheet may give the inks other colours.
type SVG struct {
	typing
	// Outlines draws letters as shapes: the file needs no font.
	Outlines bool
	// Name is spoken in the place of the picture; it becomes the <title>.
	Name string
	// ID sets the ids of one fragment apart from those of others in one page.
	ID string

	w, h  float64
	clips int
	b     strings.Builder
}

// Page implements draw.Surface. An SVG has one page.
func (s *SVG) Page(w, h float64) {
	if s.w > 0 && s.err == nil {
		s.err = fmt.Errorf("an SVG has one page")
	}
	s.w, s.h = w, h
}

// mm writes a length with three decimals at most.
func mm(v float64) string {
	if math.Abs(v) < 0.0005 {
		return "0"
	}
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
}

// pathData writes a path with steps relative to the point before, counted in
// micrometres, so that rounding never adds up.
func pathData(p *draw.Path) string {
	var b strings.Builder
	um := func(v float64) int64 { return int64(math.Round(v * 1000)) }
	var atX, atY, startX, startY int64
	for _, s := range p.Steps {
		if s.Verb == draw.Close {
			b.WriteByte('z')
			atX, atY = startX, startY
			continue
		}
		n := 1
		if s.Verb == draw.CurveTo {
			n = 3
		}
		b.WriteByte(byte(s.Verb) | 0x20)
		for i, q := range s.P[:n] {
			short(&b, um(q.X)-atX, i == 0)
			short(&b, um(q.Y)-atY, false)
		}
		atX, atY = um(s.P[n-1].X), um(s.P[n-1].Y)
		if s.Verb == draw.MoveTo {
			startX, startY = atX, atY
		}
	}
	return b.String()
}

// short writes micrometres as mm with as few signs as the grammar of path data
// allows. A number that does not come first keeps apart from the one before.
func short(b *strings.Builder, um int64, first bool) {
	text := strconv.FormatFloat(float64(um)/1000, 'f', -1, 64)
	switch {
	case strings.HasPrefix(text, "0."):
		text = text[1:]
	case strings.HasPrefix(text, "-0."):
		text = "-" + text[2:]
	}
	if !first && text[0] != '-' {
		b.WriteByte(' ')
	}
	b.WriteString(text)
}

// class names the inks of a look that are of the house.
func class(fill, stroke draw.Ink) string {
	var names []string
	if n := fill.Name(); n != "" {
		names = append(names, "fill-"+n)
	}
	if n := stroke.Name(); n != "" {
		names = append(names, "line-"+n)
	}
	if names == nil {
		return ""
	}
	return ` class="` + strings.Join(names, " ") + `"`
}

// Path implements draw.Surface.
func (s *SVG) Path(p *draw.Path, look draw.Look) {
	if look.Width <= 0 {
		look.Stroke = draw.NoInk
	}
	if len(p.Steps) == 0 || look.Fill == draw.NoInk && look.Stroke == draw.NoInk {
		return
	}
	fill := "none"
	if look.Fill != draw.NoInk {
		fill = "#" + string(look.Fill)
	}
	fmt.Fprintf(&s.b, `<path%s fill="%s"`, class(look.Fill, look.Stroke), fill)
	if look.Stroke != draw.NoInk {
		fmt.Fprintf(&s.b, ` stroke="#%s" stroke-width="%s"`, look.Stroke, mm(look.Width))
		if len(look.Dash) > 0 {
			var d []string
			for _, v := range look.Dash {
				d = append(d, mm(v))
			}
			fmt.Fprintf(&s.b, ` stroke-dasharray="%s"`, strings.Join(d, " "))
		}
	}
	fmt.Fprintf(&s.b, " d=\"%s\"/>\n", pathData(p))
}

// Text implements draw.Surface.
func (s *SVG) Text(x, y float64, words string, ty draw.Type) {
	f, letters, ok := s.set(words, ty)
	if !ok {
		return
	}
	if s.Outlines {
		shapes := outlines(f, letters, x, y, ty)
		for i := range shapes.Steps { // a hundredth of a mm is finer than any print
			for k, q := range shapes.Steps[i].P {
				shapes.Steps[i].P[k] = draw.Point{X: math.Round(q.X*100) / 100, Y: math.Round(q.Y*100) / 100}
			}
		}
		s.Path(shapes, draw.Look{Fill: inkOf(ty)})
		return
	}
	fmt.Fprintf(&s.b, `<text%s x="%s" y="%s" font-size="%s" fill="#%s"`, class(inkOf(ty), draw.NoInk), mm(x), mm(y), mm(ty.Points*draw.MMPerPoint), inkOf(ty))
	if ty.Bold {
		s.b.WriteString(` font-weight="bold"`)
	}
	switch ty.Anchor {
	case draw.Middle:
		s.b.WriteString(` text-anchor="middle"`)
	case draw.End:
		s.b.WriteString(` text-anchor="end"`)
	}
	if ty.Turn != 0 {
		fmt.Fprintf(&s.b, ` transform="rotate(%s %s %s)"`, mm(-ty.Turn), mm(x), mm(y))
	}
	fmt.Fprintf(&s.b, ">%s</text>\n", escaped(letters))
}

// outlines is a line of type as one path.
func outlines(f *face, letters string, x, y float64, ty draw.Type) *draw.Path {
	size := ty.Points * draw.MMPerPoint
	sin, cos := math.Sincos(ty.Turn * math.Pi / 180)
	pen := start(f.width(letters)*size, ty)
	out := new(draw.Path)
	for _, r := range visual(letters) {
		g := f.outline(r)
		for _, st := range g.Steps {
			for i, q := range st.P {
				u, v := pen+q.X*size, q.Y*size
				st.P[i] = draw.Point{X: x + u*cos + v*sin, Y: y - u*sin + v*cos}
			}
			out.Steps = append(out.Steps, st)
		}
		pen += f.glyph(r).advance * size
	}
	return out
}

func escaped(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a builder takes everything
	return b.String()
}

// Clip implements draw.Surface.
func (s *SVG) Clip(p *draw.Path) {
	s.clips++
	id := fmt.Sprintf("clip%s%d", s.ID, s.clips)
	fmt.Fprintf(&s.b, "<clipPath id=\"%s\"><path d=\"%s\"/></clipPath><g clip-path=\"url(#%s)\">\n", id, pathData(p), id)
}

// Unclip implements draw.Surface.
func (s *SVG) Unclip() { s.b.WriteString("</g>\n") }

// WriteTo writes the drawing, its size in mm.
func (s *SVG) WriteTo(w io.Writer) (int64, error) {
	if s.err != nil {
		return 0, s.err
	}
	title := ""
	if s.Name != "" {
		title = "<title>" + escaped(s.Name) + "</title>\n"
	}
	n, err := fmt.Fprintf(w, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\" role=\"img\" font-family=\"'Liberation Sans', sans-serif\" stroke-linejoin=\"round\">\n%s%s</svg>\n",
		mm(s.w), mm(s.h), mm(s.w), mm(s.h), title, s.b.String())
	return int64(n), err
}
