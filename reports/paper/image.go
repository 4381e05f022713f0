package paper

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	imagedraw "image/draw"
	_ "image/jpeg" // a logo may be one
	"image/png"
	"io"
	"math"
	"os"

	"bookmatch/reports/draw"

	"codeberg.org/go-pdf/fpdf"
	xdraw "golang.org/x/image/draw"
)

const (
	maxImageBytes  = 8 << 20
	maxImagePixels = 40e6
	keptPixels     = 900 // the longer side of what is kept: 25 mm at 900 dots an inch
)

// ReadImage reads a PNG or JPEG file, smaller where it is larger than paper shows.
func ReadImage(file string) (*image.NRGBA, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxImageBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxImageBytes {
		return nil, fmt.Errorf("it is larger than %d MB", maxImageBytes>>20)
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("it is no PNG or JPEG: %w", err)
	}
	if c.Width < 1 || c.Height < 1 || float64(c.Width)*float64(c.Height) > maxImagePixels {
		return nil, fmt.Errorf("%d x %d points are out of reason", c.Width, c.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	k := math.Min(1, keptPixels/math.Max(float64(c.Width), float64(c.Height)))
	out := image.NewNRGBA(image.Rect(0, 0, max(1, int(math.Round(float64(c.Width)*k))), max(1, int(math.Round(float64(c.Height)*k)))))
	if k < 1 {
		xdraw.CatmullRom.Scale(out, out.Rect, img, img.Bounds(), imagedraw.Src, nil)
	} else {
		imagedraw.Draw(out, out.Rect, img, img.Bounds().Min, imagedraw.Src)
	}
	return out, nil
}

// image reads the file and gives the size that fits, in mm. A file that cannot be
// read is left out with a warning.
func (t *typing) image(file string, width, height float64) (img *image.NRGBA, w, h float64, ok bool) {
	img, err := ReadImage(file)
	if err != nil {
		t.unread = append(t.unread, fmt.Sprintf("the picture %s is left out: %v", file, err))
		return nil, 0, 0, false
	}
	size := img.Rect.Size()
	k := math.Min(width/float64(size.X), height/float64(size.Y))
	return img, float64(size.X) * k, float64(size.Y) * k, true
}

func pngOf(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	err := png.Encode(&b, img)
	return b.Bytes(), err
}

// Image implements draw.Surface.
func (p *PDF) Image(x, y, width, height float64, file string) bool {
	img, w, h, ok := p.image(file, width, height)
	if !ok {
		return false
	}
	data, err := pngOf(img)
	if err != nil {
		p.err = err
		return false
	}
	o := fpdf.ImageOptions{ImageType: "PNG"}
	p.doc.RegisterImageOptionsReader(file, o, bytes.NewReader(data))
	p.doc.ImageOptions(file, x, y, w, h, false, o, 0, "")
	return true
}

// Image implements draw.Surface.
func (p *PNG) Image(x, y, width, height float64, file string) bool {
	img, w, h, ok := p.image(file, width, height)
	if !ok || p.img == nil {
		return false
	}
	k := p.scale()
	at := image.Rect(int(math.Round(x*k)), int(math.Round(y*k)), int(math.Round((x+w)*k)), int(math.Round((y+h)*k)))
	o := &xdraw.Options{}
	if n := len(p.clips); n > 0 {
		o.DstMask = p.clips[n-1]
	}
	xdraw.CatmullRom.Scale(p.img, at, img, img.Rect, imagedraw.Over, o)
	return true
}

// Image implements draw.Surface. The file is part of the drawing.
func (s *SVG) Image(x, y, width, height float64, file string) bool {
	img, w, h, ok := s.image(file, width, height)
	if !ok {
		return false
	}
	data, err := pngOf(img)
	if err != nil {
		s.err = err
		return false
	}
	fmt.Fprintf(&s.b, "<image x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" href=\"data:image/png;base64,%s\"/>\n", mm(x), mm(y), mm(w), mm(h), base64.StdEncoding.EncodeToString(data))
	return true
}

var _ = []draw.Surface{(*PDF)(nil), (*PNG)(nil), (*SVG)(nil)}
