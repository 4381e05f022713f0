package paper

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/reporttest"
)

func templateDrawing(t testing.TB) Template {
	t.Helper()
	s, err := layout.ReadSpec([]byte(reporttest.Template), nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := layout.Solve(s, layout.Balanced)
	if err != nil {
		t.Fatal(err)
	}
	p.Neck, p.Version = "N12", 2
	return Template{Plan: p, Neck: "N12 (ada)", Title: "six-string neck, walnut", Made: time.Date(2026, 3, 4, 19, 0, 0, 0, time.UTC), State: "frozen"}
}

func drawn(t testing.TB, name string, d Template) []byte {
	t.Helper()
	var b bytes.Buffer
	if _, err := WriteTemplate(&b, name, d); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The printed page: bars of 100.0 mm both ways and every hole centre within
// 0.05 mm of the plan, on both papers, face and back, and with a printer's
// error made up for. The page sizes are ISO 216 A4 and 8.5 x 11 in; the PDF
// unit is 1/72 in (ISO 32000-1, 8.3.2.3).
func TestTemplatePrintsTrue(t *testing.T) {
	for _, c := range []struct {
		name          string
		change        func(*Template)
		page          int
		w, h          float64
		across, along float64 // what the bars must be as drawn
	}{
		{"A4 face", func(*Template) {}, 1, 210, 297, 100, 100},
		{"A4 back", func(*Template) {}, 2, 210, 297, 100, 100},
		{"Letter face", func(d *Template) { d.Paper = reports.Letter }, 1, 215.9, 279.4, 100, 100},
		{"made up for the printer", func(d *Template) { d.BarAcrossMM, d.BarAlongMM = 99.6, 100.3 }, 1, 210, 297, 100 / 0.996, 100 / 1.003},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := templateDrawing(t)
			c.change(&d)
			r := rasterPage{raster(t, drawn(t, "t.pdf", d), c.page), c.h}
			if b := r.img.Bounds(); math.Abs(float64(b.Dx())*pixelMM-c.w) > 2*pixelMM || math.Abs(float64(b.Dy())*pixelMM-c.h) > 2*pixelMM {
				t.Fatalf("page of %d x %d dots, want %g x %g mm", b.Dx(), b.Dy(), c.w, c.h)
			}
			k, err := layout.NewSketch(d.Plan)
			if err != nil {
				t.Fatal(err)
			}
			side := FaceSide
			if c.page == 2 {
				side = BackSide
			}
			f := d.fit(k, side, true)
			lo, hi, _ := r.extent(draw.Black, f.x0-3, pageMargin+titleHeight+5, f.x0+101.6, pageMargin+titleHeight+5.3)
			nearMM(t, "bar across", hi[0]-lo[0], c.across, 0.05)
			lo, hi, _ = r.extent(draw.Black, pageMargin+3.4, f.y0-3, pageMargin+3.8, f.y0+101.6)
			nearMM(t, "bar along", hi[1]-lo[1], c.along, 0.05)
			var shift [2]float64
			for i, post := range d.Plan.Posts {
				// Where it should be, reckoned here from the plan alone.
				px, py := post.XMM, post.YMM
				if side == BackSide {
					px = -px
				}
				px, py = px*c.across/100, py*c.along/100
				wx, wy := px+f.tiles[0].dx, py+f.tiles[0].dy
				lo, hi, n := r.extent(draw.Brown, wx-7, wy-7, wx+7, wy+7)
				if n < 100 {
					t.Fatalf("string %d: no hole at %.1f, %.1f", post.String, wx, wy)
				}
				x, y := (lo[0]+hi[0])/2, (lo[1]+hi[1])/2
				nearMM(t, fmt.Sprint("x of string ", post.String), x, wx, 0.05)
				nearMM(t, fmt.Sprint("y of string ", post.String), y, wy, 0.05)
				nearMM(t, "hole's width", hi[0]-lo[0], 10*c.across/100+0.2, 0.05)
				if i == 0 {
					shift = [2]float64{x - px, y - py}
				}
				// And from post to post, whatever the page's own placing.
				nearMM(t, "from the first post, x", x-shift[0], px, 0.05)
				nearMM(t, "from the first post, y", y-shift[1], py, 0.05)
				if ink := r.ink(x, y); ink != rgba(draw.White) {
					t.Errorf("string %d: the cross is not open at its centre (%v)", post.String, ink)
				}
			}
		})
	}
}

// Equal drawings are equal bytes, whenever and wherever they are made, and the
// file is sound.
func TestTemplateIsDeterministic(t *testing.T) {
	zone := time.Local
	defer func() { time.Local = zone }()
	for _, name := range []string{"a.pdf", "a.svg"} {
		time.Local = time.UTC
		a := drawn(t, name, templateDrawing(t))
		time.Local = time.FixedZone("far", 9*3600)
		d := templateDrawing(t)
		d.Made = d.Made.In(time.Local)
		b := drawn(t, name, d)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: the same drawing gives other bytes in another zone", name)
		}
		if name == "a.pdf" {
			tool(t, a, "qpdf", "--check", "FILE")
			if !bytes.Contains(a, []byte("/CreationDate (D:20260304190000")) {
				t.Error("the file does not carry the plan's date")
			}
		}
	}
	d := templateDrawing(t)
	d.Made = time.Time{}
	if bytes.Contains(drawn(t, "a.pdf", d), []byte("Date")) {
		t.Error("a drawing without a date has one")
	}
}

// SVG user units: width in mm and a viewBox of as many units.
func TestTemplateSVGUnits(t *testing.T) {
	svg := string(drawn(t, "a.svg", templateDrawing(t)))
	if !strings.Contains(svg[:300], `width="210mm"`) || !strings.Contains(svg[:300], `height="297mm"`) || !strings.Contains(svg[:300], `viewBox="0 0 210 297"`) {
		t.Errorf("head of the SVG: %.300s", svg)
	}
	if strings.Contains(svg, "<text") {
		t.Error("the SVG asks for a font")
	}
	back := templateDrawing(t)
	back.Side = BackSide
	if svg == string(drawn(t, "a.svg", back)) {
		t.Error("face and back are the same")
	}
}

// longHead needs tiles on either paper.
func longHead(t testing.TB) Template {
	t.Helper()
	s, err := layout.ReadSpec([]byte(`strings = 12
[nut]
outer_span_mm = 60
[posts]
diameter_mm = 5
first_mm = 40
pitch_mm = 30
bass = 12
[outline]
stations = [[0, 44], [60, 60], [200, 60], [380, 40], [420, 20]]
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := layout.Solve(s, layout.EvenPitch)
	if err != nil {
		t.Fatal(err)
	}
	return Template{Plan: p, Neck: "L1"}
}

// Tiles only when needed; no join on a post; every post whole on some page.
func TestTemplateTiles(t *testing.T) {
	for _, paper := range []reports.Paper{reports.A4, reports.Letter} {
		d := longHead(t)
		d.Paper = paper
		k, err := layout.NewSketch(d.Plan)
		if err != nil {
			t.Fatal(err)
		}
		f := d.fit(k, FaceSide, true)
		if len(f.tiles) < 2 {
			t.Fatalf("%s: a head of 420 mm on %d page", paper, len(f.tiles))
		}
		whole := map[int]bool{}
		r := k.FlangeMM / 2
		for _, tl := range f.tiles {
			for _, post := range d.Plan.Posts {
				q := f.lay(layout.Point{X: post.XMM, Y: post.YMM})
				x, y := q.X+tl.dx, q.Y+tl.dy
				for _, j := range tl.joinY {
					if math.Abs(y-j) < r+2 {
						t.Errorf("%s: a join falls %.1f mm from the post of string %d", paper, math.Abs(y-j), post.String)
					}
				}
				if x-r > f.x0 && x+r < f.x1 && y-r > f.y0 && y+r < f.y1 {
					whole[post.String] = true
				}
			}
		}
		if len(whole) != 12 {
			t.Errorf("%s: only %d posts are whole on a page", paper, len(whole))
		}
		// The join is the same place of the plan on both pages.
		for i := 1; i < len(f.tiles); i++ {
			a, b := f.tiles[i-1], f.tiles[i]
			nearMM(t, "join on both pages", a.joinY[1]-a.dy, b.joinY[0]-b.dy, 1e-9)
		}
		drawn(t, "long.pdf", d)
	}
	d := templateDrawing(t)
	k, _ := layout.NewSketch(d.Plan)
	if f := d.fit(k, FaceSide, true); len(f.tiles) != 1 || f.turned {
		t.Errorf("a small head is tiled or turned: %+v", f.tiles)
	}
}

// Page 1 of a tiled template has the table of posts and says
// how the pages come together; joins are cut and taped; the key speaks of how
// lines look, never of colours. Words are read by poppler.
func TestTemplateWords(t *testing.T) {
	long := drawn(t, "long.pdf", longHead(t))
	first := tool(t, long, "pdftotext", "-layout", "-l", "1", "FILE", "-")
	for _, want := range []string{"Post centres from the datum", "How the pages come together", "364.5", "page 1 of 4", "page 4"} {
		if !strings.Contains(first, want) {
			t.Errorf("page 1 has no %q:\n%s", want, first)
		}
	}
	second := tool(t, long, "pdftotext", "-layout", "-f", "2", "-l", "2", "FILE", "-")
	third := tool(t, long, "pdftotext", "-layout", "-f", "3", "-l", "3", "FILE", "-")
	if !strings.Contains(second, "join A: lay the cut edge of page 3 on this line") || strings.Contains(second, "cut along") {
		t.Errorf("page 2 does not say where page 3 is taped, or is cut:\n%s", second)
	}
	if !strings.Contains(third, "cut along this line: join A") || !strings.Contains(third, "join B: lay") {
		t.Errorf("page 3 does not say where it is cut and taped:\n%s", third)
	}
	text := tool(t, drawn(t, "a.pdf", templateDrawing(t)), "pdftotext", "-layout", "FILE", "-")
	for _, want := range []string{"N12 (ada): six-string neck, walnut", "FACE (seen from the front, bass left)", "BACK (mirrored", "datum: fretboard end", "rod pocket",
		"solid circle: hole", "dashed circle: flange", "hatched: posts fit here", "long dashes: keep clear", "short dashes: body, behind", "solid box: tuner body", "dotted: button"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	for _, colour := range []string{"red", "brown", "green", "blue", "colour"} {
		for _, word := range strings.Fields(strings.ToLower(text)) {
			if strings.Trim(word, ",.:") == colour {
				t.Errorf("the page explains a line by a colour: %s", colour)
			}
		}
	}
	d := templateDrawing(t)
	d.Neck = "李"
	if w, err := WriteTemplate(&bytes.Buffer{}, "a.pdf", d); err != nil || len(w) != 1 {
		t.Errorf("warnings %v, err %v; want one that names the letter", w, err)
	}
}

// No page of a tiled template is a sliver: stretches are as equal as the posts
// allow.
func TestTemplateTilesAreEven(t *testing.T) {
	const room = 224.0
	for long := room + 1; long < 5*room; long += 7.3 {
		for _, busy := range [][][2]float64{nil, {{long/2 - 15, long/2 + 15}}, {{30, 60}, {long - 60, long - 30}}} {
			c := cuts(0, long, room, busy)
			n := len(c) - 1
			if c[0] != 0 || c[n] != long || long > reach(n, room) {
				t.Fatalf("%g mm: cuts %v", long, c)
			}
			for i := 1; i <= n; i++ {
				got := c[i] - c[i-1]
				most := room
				if i > 1 {
					most -= tileOverlap
				}
				if i < n {
					most -= tileOverlap
				}
				if got > most+1e-9 || got < long/float64(n)-40 {
					t.Errorf("%g mm in %d: stretch %d is %.1f mm, at most %g and near %.1f wanted", long, n, i, got, most, long/float64(n))
				}
				if i < n && !free(c[i], busy) {
					t.Errorf("%g mm: the join at %g falls on a post", long, c[i])
				}
			}
		}
	}
}

func TestTemplateRefusals(t *testing.T) {
	for name, change := range map[string]func(*Template){
		"a bar of 90": func(d *Template) { d.BarAlongMM = 90 }, "side": func(d *Template) { d.Side = "top" }, "paper": func(d *Template) { d.Paper = "a3" },
		"no posts": func(d *Template) { d.Plan.Posts = nil },
	} {
		d := templateDrawing(t)
		change(&d)
		if _, err := WriteTemplate(&bytes.Buffer{}, "a.pdf", d); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := WriteTemplate(&bytes.Buffer{}, "a.docx", templateDrawing(t)); err == nil {
		t.Error("a .docx is drawn")
	}
}
