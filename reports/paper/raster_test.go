package paper

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"bookmatch/reports/draw"
)

// raster renders a page at 600 dots per inch without smoothing.
func raster(t *testing.T, data []byte, page int) *image.RGBA {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftoppm is missing: the drawing's scale cannot be proved")
		}
		t.Skip("pdftoppm is not installed")
	}
	dir := t.TempDir()
	in := filepath.Join(dir, "in.pdf")
	if err := os.WriteFile(in, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-r", "600", "-aa", "no", "-aaVector", "no", "-singlefile", "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), in, filepath.Join(dir, "out")).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err = os.ReadFile(filepath.Join(dir, "out.ppm"))
	if err != nil {
		t.Fatal(err)
	}
	return pixmap(t, data)
}

// pixmap reads a binary PPM of 8 bits.
func pixmap(t *testing.T, data []byte) *image.RGBA {
	var w, h, most int
	if n, err := fmt.Sscanf(string(data[:20]), "P6\n%d %d\n%d\n", &w, &h, &most); n != 3 || err != nil || most != 255 {
		t.Fatalf("not a pixmap: %.20q", data)
	}
	data = data[len(data)-3*w*h:]
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		copy(img.Pix[4*i:], data[3*i:3*i+3])
		img.Pix[4*i+3] = 255
	}
	return img
}

// page gives pixels by mm on the page, y up; a pixel is 25.4/600 = 0.042 mm.
type rasterPage struct {
	img *image.RGBA
	h   float64
}

const pixelMM = 25.4 / 600

func (r rasterPage) ink(x, y float64) color.RGBA {
	return r.img.RGBAAt(int(x/pixelMM), int((r.h-y)/pixelMM))
}

// extent is the box of an ink within a window of the page.
func (r rasterPage) extent(ink draw.Ink, x0, y0, x1, y1 float64) (lo, hi [2]float64, n int) {
	lo, hi = [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	want := rgba(ink)
	for px := int(x0 / pixelMM); px <= int(x1/pixelMM); px++ {
		for py := int((r.h - y1) / pixelMM); py <= int((r.h-y0)/pixelMM); py++ {
			x, y := (float64(px)+0.5)*pixelMM, r.h-(float64(py)+0.5)*pixelMM
			if r.ink(x, y) != want {
				continue
			}
			n++
			lo = [2]float64{math.Min(lo[0], x-pixelMM/2), math.Min(lo[1], y-pixelMM/2)}
			hi = [2]float64{math.Max(hi[0], x+pixelMM/2), math.Max(hi[1], y+pixelMM/2)}
		}
	}
	return lo, hi, n
}

func nearMM(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.3f mm, want %.3f within %g", what, got, want, tol)
	}
}
