package paper

import (
	"math"
	"testing"

	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// The quote's headstock, measured at 600 dots per inch: every hole is where the
// plan has it, divided by the stated scale, within 0.1 mm.
func TestHeadstockIsToScale(t *testing.T) {
	d := templateDrawing(t)
	k, err := layout.NewSketch(d.Plan)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		w, h  float64
		scale string
	}{{60, 90, "1:2"}, {200, 250, "1:1"}, {45, 60, "1:3"}} {
		head := reports.Headstock{Plan: d.Plan, Sketch: k, WidthMM: c.w, HeightMM: c.h, Numbers: reports.StringNumbers(d.Plan)}
		if head.Scale() != c.scale {
			t.Errorf("%g x %g mm: scale %s, want %s", c.w, c.h, head.Scale(), c.scale)
		}
		if w, h := head.Size(); w > c.w || h > c.h {
			t.Errorf("%g x %g mm of room, %g x %g taken", c.w, c.h, w, h)
		}
		p := NewPDF(Info{})
		p.Page(210, 297)
		head.Draw(draw.Moved(p, 5, 20))
		r := rasterPage{raster(t, bytesOf(t, p), 1), 297}
		var first [2]float64
		for i, post := range d.Plan.Posts {
			at := head.Place(layout.Point{X: post.XMM, Y: post.YMM})
			near := 5/head.Divisor() + 0.8
			lo, hi, n := r.extent(draw.Brown, at.X+5-near, 297-20-at.Y-near, at.X+5+near, 297-20-at.Y+near)
			if n == 0 {
				t.Fatalf("no hole at %v", at)
			}
			x, y := (lo[0]+hi[0])/2, (lo[1]+hi[1])/2
			if i == 0 {
				first = [2]float64{x, y}
				continue
			}
			q := d.Plan.Posts[0]
			nearMM(t, "x from the first post", x-first[0], (post.XMM-q.XMM)/head.Divisor(), 0.1)
			nearMM(t, "y from the first post", y-first[1], (post.YMM-q.YMM)/head.Divisor(), 0.1)
			nearMM(t, "hole", hi[0]-lo[0], 10/head.Divisor()+0.3, 0.1)
		}
		if math.IsNaN(first[0]) {
			t.Error("no first post")
		}
	}
}
