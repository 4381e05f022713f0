package paper

import (
	"bytes"
	"encoding/xml"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/reports/draw"
)

var made = time.Date(2026, 3, 4, 19, 0, 0, 0, time.UTC)

// tool runs a program on a file and gives what it printed. A missing program
// fails where all checks run, and skips elsewhere.
func tool(t *testing.T, data []byte, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is missing", name)
		}
		t.Skipf("%s is not installed", name)
	}
	file := filepath.Join(t.TempDir(), "in.pdf")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = file
		}
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, out)
	}
	return string(out)
}

func bytesOf(t testing.TB, s io.WriterTo) []byte {
	t.Helper()
	var b bytes.Buffer
	n, err := s.WriteTo(&b)
	if err != nil {
		t.Fatal(err)
	}
	if n != int64(b.Len()) {
		t.Errorf("%d bytes told, %d written", n, b.Len())
	}
	return b.Bytes()
}

// everything draws one of each on a surface.
func everything(s draw.Surface) {
	s.Page(148, 210)
	s.Path(draw.Box(10, 10, 50, 20), draw.Look{Fill: draw.Tint, Stroke: draw.Black, Width: 0.3})
	s.Path(draw.Ellipse(100, 30, 20, 10), draw.Look{Stroke: draw.Brown, Width: 0.5, Dash: []float64{2, 1}})
	s.Path(draw.Hatch(draw.Ellipse(100, 30, 20, 10), 2, 45), draw.Look{Stroke: draw.Rule, Width: 0.2})
	s.Text(10, 50, "Łukasz Žagar-Õunapuu 9/16″ 1.551,09 € − ⅜", draw.Type{Points: 12})
	s.Text(140, 60, "right, bold", draw.Type{Points: 16, Bold: true, Anchor: draw.End, Ink: draw.Brown})
	s.Text(20, 120, "turned", draw.Type{Points: 10, Turn: 90, Anchor: draw.Middle})
	s.Clip(draw.Ellipse(70, 100, 20, 20))
	s.Path(draw.Box(50, 80, 20, 40), draw.Look{Fill: draw.Brown})
	s.Text(60, 100, "clipped words that are long", draw.Type{Points: 12, Ink: draw.Grey})
	s.Unclip()
	s.Text(10, 140, "after the clip", draw.Type{Points: 12})
	s.Text(10, 150, "שלום 25 abc", draw.Type{Points: 12})
	s.Text(10, 160, "李 was here\x07", draw.Type{Points: 12})
	s.Text(10, 170, "", draw.Type{Points: 12})
}

func onPDF(info Info) *PDF {
	p := NewPDF(info)
	everything(p)
	p.Page(297, 210)
	p.Text(10, 50, "page two", draw.Type{Points: 12})
	return p
}

// The file as independent readers see it: poppler finds the words, two embedded
// subsets, the pages and the date; qpdf finds no fault.
func TestPDFAsOthersReadIt(t *testing.T) {
	info := Info{Title: "Plan 7X7GH", Author: "Łatka & Żak", Made: made}
	p := onPDF(info)
	data := bytesOf(t, p)
	text := tool(t, data, "pdftotext", "-layout", "FILE", "-")
	for _, want := range []string{"Łukasz Žagar-Õunapuu 9/16″ 1.551,09 € − ⅜", "right, bold", "after the clip", "page two", "U+674E was here", "abc"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	about := tool(t, data, "pdfinfo", "-f", "1", "-l", "2", "FILE")
	for _, want := range []string{"Title:           Plan 7X7GH", "Author:          Łatka & Żak", "Pages:           2", "419.53 x 595.28", "841.89 x 595.28"} {
		if !strings.Contains(about, want) {
			t.Errorf("no %q in\n%s", want, about)
		}
	}
	fonts := tool(t, data, "pdffonts", "FILE")
	if n := strings.Count(fonts, "yes no  yes"); n != 2 { // embedded, with their letters; a subset without the tag
		t.Errorf("%d faces embedded with their letters, want 2:\n%s", n, fonts)
	}
	tool(t, data, "qpdf", "--check", "FILE")
	if len(data) > 60_000 {
		t.Errorf("%d bytes for two pages", len(data))
	}
	if got := p.Warnings(); len(got) != 1 || !strings.Contains(got[0].Text, "no letter for 李") || !strings.Contains(got[0].Text, "U+674E") {
		t.Errorf("warnings %v", got)
	}
	for _, key := range []string{"/Lang (en)", "/CreationDate (D:20260304190000", "/ModDate (D:20260304190000"} {
		if !bytes.Contains(data, []byte(key)) {
			t.Errorf("no %s in the file", key)
		}
	}
}

func TestPDFIsTheSameEveryTime(t *testing.T) {
	for _, when := range []time.Time{made, {}} {
		a := bytesOf(t, onPDF(Info{Title: "a", Made: when}))
		for range 10 {
			if b := bytesOf(t, onPDF(Info{Title: "a", Made: when.In(time.FixedZone("far", 9*3600))})); !bytes.Equal(a, b) && !when.IsZero() {
				t.Fatal("the same pages give other bytes")
			}
		}
		if got := bytes.Contains(a, []byte("Date")); got == when.IsZero() {
			t.Errorf("made %v: a date in the file: %v", when, got)
		}
		tool(t, a, "qpdf", "--check", "FILE")
	}
}

// A right edge is where it should be: poppler's box of the words against x, in
// points.
func TestPDFRightEdges(t *testing.T) {
	p := NewPDF(Info{})
	p.Page(210, 297)
	for i, words := range []string{"1,281.89", "269.20", "1,551.09"} {
		p.Text(150, 50+10*float64(i), words, draw.Type{Points: 10, Anchor: draw.End})
	}
	out := tool(t, bytesOf(t, p), "pdftotext", "-bbox", "FILE", "-")
	n := 0
	for _, part := range strings.Split(out, `xMax="`)[1:] {
		value, rest, _ := strings.Cut(part, `"`)
		if !strings.Contains(rest, "</word>") {
			continue
		}
		n++
		var right float64
		if err := xml.Unmarshal([]byte("<v>"+value+"</v>"), &right); err != nil {
			t.Fatal(err)
		}
		if math.Abs(right-150/draw.MMPerPoint) > 0.03 {
			t.Errorf("a right edge at %.3f pt, want %.3f", right, 150/draw.MMPerPoint)
		}
	}
	if n != 3 {
		t.Errorf("%d words", n)
	}
}

// Widths of Liberation Sans, in 1/2048 em, from the font's own table: digits 1139,
// hyphen 682, and no kerning (the readme of the surfaces says so).
func TestWidthOfWords(t *testing.T) {
	s := &SVG{}
	for words, units := range map[string]float64{"0123456789": 11390, "-": 682, "": 0, "11": 2278} {
		if got, want := s.Width(words, draw.Type{Points: 2048 / draw.MMPerPoint}), units; math.Abs(got-want) > 0.01 {
			t.Errorf("%q is %.2f wide, want %.2f", words, got, want)
		}
	}
}

// The order of letters as seen, after the examples of Unicode Standard Annex 9.
func TestRightToLeft(t *testing.T) {
	for in, want := range map[string]string{
		"abc":              "abc",
		"שלום":             "םולש",
		"abc שלום def":     "abc םולש def",
		"שלום abc":         "abc םולש",
		"abc שלום 25 עולם": "abc םלוע 25 םולש",
		"abc שלום 25":      "abc 25 םולש",
		"12 abc":           "12 abc",
	} {
		if got := visual(in); got != want {
			t.Errorf("%q is seen as %q, want %q", in, got, want)
		}
	}
}

// The SVG is well-formed, has no style and no script, and the same every time.
func TestSVGFragment(t *testing.T) {
	for _, outlines := range []bool{false, true} {
		a, b := &SVG{Outlines: outlines, Name: "all & <more>", ID: "x"}, &SVG{Outlines: outlines, Name: "all & <more>", ID: "x"}
		everything(a)
		everything(b)
		data := bytesOf(t, a)
		if !bytes.Equal(data, bytesOf(t, b)) {
			t.Error("the same drawing gives other bytes")
		}
		d := xml.NewDecoder(bytes.NewReader(data))
		for {
			tok, err := d.Token()
			if err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				for _, at := range e.Attr {
					if at.Name.Local == "style" || strings.HasPrefix(at.Name.Local, "on") {
						t.Errorf("<%s> has the attribute %s", e.Name.Local, at.Name.Local)
					}
				}
			}
		}
		text := string(data)
		if strings.Contains(text, "<text") == outlines {
			t.Errorf("outlines %v, but <text> is there: %v", outlines, !outlines)
		}
		for _, want := range []string{`width="148mm" height="210mm" viewBox="0 0 148 210"`, "<title>all &amp; &lt;more&gt;</title>", `class="fill-brown"`, `id="clipx1"`, `stroke-dasharray="2 1"`} {
			if !strings.Contains(text, want) {
				t.Errorf("no %s in the SVG", want)
			}
		}
	}
}

// The PNG has its size and its inks where they belong.
func TestPNG(t *testing.T) {
	p := NewPNG(100)
	everything(p)
	img, err := png.Decode(bytes.NewReader(bytesOf(t, p)))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 583 || b.Dy() != 827 {
		t.Errorf("%v pixels, want 583 x 827", b)
	}
	at := func(x, y float64) color.Color { return img.At(int(x/25.4*100), int(y/25.4*100)) }
	for _, c := range []struct {
		x, y float64
		want draw.Ink
	}{{35, 20, draw.Tint}, {5, 5, draw.White}, {60, 95, draw.Brown}, {52, 82, draw.White}, {80, 95, draw.White}} {
		if got := at(c.x, c.y); got != color.Color(rgba(c.want)) {
			t.Errorf("at %g, %g: %v, want %v", c.x, c.y, got, rgba(c.want))
		}
	}
	for _, bad := range []*PNG{NewPNG(1e6), NewPNG(0), NewPNG(math.NaN())} {
		bad.Page(100, 100)
		if _, err := bad.WriteTo(io.Discard); err == nil {
			t.Error("a picture out of reason is written")
		}
	}
}
