package paper

import (
	"fmt"
	"image"
	"image/color"
	imagedraw "image/draw"
	"image/png"
	"io"
	"math"

	"bookmatch/reports/draw"

	"golang.org/x/image/vector"
)

// maxPixels bounds a picture: A3 at 600 dots per inch has 70 million.
const maxPixels = 80e6

// PNG is a surface of pixels.
type PNG struct {
	typing
	dpi   float64
	img   *image.RGBA
	clips []*image.Alpha // each holds the ones below it too
}

// NewPNG begins a picture with that many dots per inch.
func NewPNG(dpi float64) *PNG { return &PNG{dpi: dpi} }

// Page implements draw.Surface. A PNG has one page.
func (p *PNG) Page(w, h float64) {
	pw, ph := math.Round(w*p.scale()), math.Round(h*p.scale())
	switch {
	case p.img != nil:
		p.fail("a PNG has one page")
		return
	case !(pw >= 1 && ph >= 1 && pw*ph <= maxPixels):
		p.fail(fmt.Sprintf("a PNG of %g x %g mm at %g dots per inch is out of reason", w, h, p.dpi))
		pw, ph = 1, 1
	}
	p.img = image.NewRGBA(image.Rect(0, 0, int(pw), int(ph)))
	imagedraw.Draw(p.img, p.img.Bounds(), image.White, image.Point{}, imagedraw.Src)
}

func (p *PNG) fail(text string) {
	if p.err == nil {
		p.err = fmt.Errorf("%s", text)
	}
}

func (p *PNG) scale() float64 { return p.dpi / 25.4 } // pixels per mm

func rgba(i draw.Ink) color.RGBA {
	r, g, b := rgb(i)
	return color.RGBA{uint8(r), uint8(g), uint8(b), 255}
}

// Path implements draw.Surface.
func (p *PNG) Path(path *draw.Path, look draw.Look) {
	if look.Fill != draw.NoInk {
		p.fill(path, look.Fill)
	}
	if look.Stroke != draw.NoInk && look.Width > 0 {
		for _, part := range stroked(path, look.Width, look.Dash, 0.2/p.scale()) {
			p.fill(part, look.Stroke)
		}
	}
}

// Text implements draw.Surface.
func (p *PNG) Text(x, y float64, words string, ty draw.Type) {
	if f, letters, ok := p.set(words, ty); ok {
		p.fill(outlines(f, letters, x, y, ty), inkOf(ty))
	}
}

// fill inks the inside by the non-zero rule.
func (p *PNG) fill(path *draw.Path, ink draw.Ink) {
	mask, at := p.mask(path)
	if mask == nil {
		return
	}
	if n := len(p.clips); n > 0 {
		clip := p.clips[n-1]
		for y := range mask.Rect.Dy() {
			for x := range mask.Rect.Dx() {
				a := &mask.Pix[y*mask.Stride+x]
				*a = uint8(int(*a) * int(clip.AlphaAt(at.X+x, at.Y+y).A) / 255)
			}
		}
	}
	imagedraw.DrawMask(p.img, mask.Rect.Add(at), image.NewUniform(rgba(ink)), image.Point{}, mask, image.Point{}, imagedraw.Over)
}

// mask is the path as coverage over its own box, whose corner is at.
func (p *PNG) mask(path *draw.Path) (m *image.Alpha, at image.Point) {
	if p.img == nil || len(path.Steps) == 0 {
		return nil, at
	}
	lo, hi := path.Bounds()
	k := p.scale()
	box := image.Rect(int(math.Floor(lo.X*k)), int(math.Floor(lo.Y*k)), int(math.Ceil(hi.X*k))+1, int(math.Ceil(hi.Y*k))+1).Intersect(p.img.Bounds())
	if box.Empty() {
		return nil, at
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	pt := func(q draw.Point) (x, y float32) {
		return float32(q.X*k - float64(box.Min.X)), float32(q.Y*k - float64(box.Min.Y))
	}
	open := false
	for _, s := range path.Steps {
		ax, ay := pt(s.P[0])
		switch s.Verb {
		case draw.MoveTo:
			if open {
				r.ClosePath()
			}
			r.MoveTo(ax, ay)
			open = true
		case draw.LineTo:
			r.LineTo(ax, ay)
		case draw.CurveTo:
			bx, by := pt(s.P[1])
			cx, cy := pt(s.P[2])
			r.CubeTo(ax, ay, bx, by, cx, cy)
		case draw.Close:
			r.ClosePath()
		}
	}
	if open {
		r.ClosePath()
	}
	m = image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
	r.Draw(m, m.Rect, image.Opaque, image.Point{})
	return m, box.Min
}

// Clip implements draw.Surface.
func (p *PNG) Clip(path *draw.Path) {
	clip := image.NewAlpha(p.img.Bounds())
	if mask, at := p.mask(path); mask != nil {
		imagedraw.Draw(clip, mask.Rect.Add(at), mask, image.Point{}, imagedraw.Src)
	}
	if n := len(p.clips); n > 0 {
		for i, a := range p.clips[n-1].Pix {
			clip.Pix[i] = uint8(int(clip.Pix[i]) * int(a) / 255)
		}
	}
	p.clips = append(p.clips, clip)
}

// Unclip implements draw.Surface.
func (p *PNG) Unclip() {
	if n := len(p.clips); n > 0 {
		p.clips = p.clips[:n-1]
	}
}

// WriteTo writes the picture.
func (p *PNG) WriteTo(w io.Writer) (int64, error) {
	switch {
	case p.err != nil:
		return 0, p.err
	case p.img == nil:
		return 0, fmt.Errorf("the picture has no page")
	}
	c := counter{w: w}
	err := png.Encode(&c, p.img)
	return c.n, err
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.w.Write(b)
	c.n += int64(n)
	return n, err
}
