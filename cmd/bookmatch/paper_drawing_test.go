package main

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// The headstock on a quote, printed at 300 dots per inch by poppler, has its posts
// where the plan has them at the scale that it states, within 0.2 mm on paper.
func TestQuoteDrawingIsThePlan(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftoppm is not installed, but CI asks for every check")
		}
		t.Skip("pdftoppm is not installed")
	}
	d := newDemoShop(t)
	d.paged("quote Q5")
	plan := d.res.(*workshop.QuoteResult).Plan
	sketch, err := layout.NewSketch(*plan)
	if err != nil {
		t.Fatal(err)
	}
	scale := reports.Headstock{Plan: *plan, Sketch: sketch, WidthMM: 50, HeightMM: 82}.Divisor()
	const dpi = 300
	out := filepath.Join(d.dir, "p")
	if said, err := exec.Command("pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", filepath.Join(d.dir, "p.pdf"), out).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, said)
	}
	f, err := os.Open(out + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	px := func(mm float64) int { return int(mm / 25.4 * dpi) }
	spots := whiteSpots(img, image.Rect(px(145), px(70), px(196), px(190)), px(1)*px(1))
	mm := func(p draw.Point) draw.Point { return draw.Point{X: p.X / dpi * 25.4, Y: p.Y / dpi * 25.4} }
	// Where the drawing is on the page does not matter: one of the spots is the first
	// post, and from there each of the others is at its place.
	best := 0
	for _, o := range spots {
		found := 0
		for _, a := range plan.Posts {
			first := plan.Posts[0]
			for _, s := range spots {
				if math.Hypot(mm(s).X-mm(o).X-(a.XMM-first.XMM)/scale, mm(s).Y-mm(o).Y+(a.YMM-first.YMM)/scale) <= 0.2 {
					found++
					break
				}
			}
		}
		best = max(best, found)
	}
	if best != len(plan.Posts) {
		t.Errorf("%d of %d posts are within 0.2 mm of their places, %d white spots", best, len(plan.Posts), len(spots))
	}
}

// whiteSpots gives the middles of white areas that do not reach the edge of a part of a
// picture and are larger than some dots.
func whiteSpots(img image.Image, part image.Rectangle, least int) (middles []draw.Point) {
	grey := image.NewGray(part)
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			grey.Set(x, y, img.At(x, y))
		}
	}
	// A spot that was looked at is painted black.
	white := func(p image.Point) bool { return p.In(part) && grey.GrayAt(p.X, p.Y).Y > 250 }
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			start := image.Pt(x, y)
			if !white(start) {
				continue
			}
			grey.SetGray(x, y, color.Gray{})
			stack, sum, n, open := []image.Point{start}, image.Point{}, 0, false
			for len(stack) > 0 {
				p := stack[len(stack)-1]
				stack, sum, n = stack[:len(stack)-1], sum.Add(p), n+1
				open = open || p.X == part.Min.X || p.Y == part.Min.Y || p.X == part.Max.X-1 || p.Y == part.Max.Y-1
				for _, q := range []image.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
					if q = p.Add(q); white(q) {
						grey.SetGray(q.X, q.Y, color.Gray{})
						stack = append(stack, q)
					}
				}
			}
			if !open && n > least {
				middles = append(middles, draw.Point{X: float64(sum.X) / float64(n), Y: float64(sum.Y) / float64(n)})
			}
		}
	}
	return middles
}
