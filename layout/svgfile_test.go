package layout

import (
	"strings"
	"testing"
)

const svgHead = `<path id="head" d="M -20 0 L -20 100 L 20 100 L 20 0 Z"/>`

// Lengths by CSS Values and Units 3, 5.2: 1 in = 25.4 mm =
// 96 px = 72 pt = 6 pc; a bare number is px (SVG 2, 8.2). The head is 100 units
// long.
func TestSVGFileSizes(t *testing.T) {
	for size, tip := range map[string]float64{
		``: 100,
		// Without a viewBox a unit is a pixel, whatever the size is written in.
		`width="400px" height="300px"`: 26.458333333, `width="400"`: 26.458333333, `width="2in" height="2in"`: 26.458333333,
		`width="100mm"`: 26.458333333, `height="10cm"`: 26.458333333, `width="100pt" height="100pt"`: 26.458333333,
		// With one the size is spread over it.
		`width="400px" height="800px" viewBox="-50 0 200 400"`:  52.916666667,
		`width="96" height="96" viewBox="0 0 100 100"`:          25.4,
		`width="2in" height="2in" viewBox="0 0 100 100"`:        50.8,
		`width="100mm" height="200mm" viewBox="-50 0 200 400"`:  50,
		`width="10cm" height="20cm" viewBox="-50,0,200,400"`:    50,
		`width="144pt" height="144pt" viewBox="0 0 100 100"`:    50.8,
		`width="12PC" height=" 12 pc " viewBox="0 0 100 100"`:   50.8,
		`width="100mm" viewBox="0 0 100 100"`:                   100,
		`height="100mm" width="100%" viewBox="0 0 100 100"`:     100,
		`width="100mm" height="100.05mm" viewBox="0 0 100 100"`: 100,
	} {
		within(t, size, outlineOf(t, OutlineSpec{SVG: "<svg " + size + ">" + svgHead + "</svg>"}).TipMM(), tip, 1e-6)
	}
	for size, want := range map[string]string{
		`viewBox="0 0 100 100"`:                               "width and height of <svg> are missing",
		`width="100%" height="100%" viewBox="0 0 100 100"`:    "width and height of <svg> are missing",
		`width="100%" height="100%"`:                          "width and height of <svg> are missing",
		`width="10em" viewBox="0 0 10 10"`:                    "the width of <svg> is a length",
		`height="-10mm" viewBox="0 0 10 10"`:                  "the height of <svg> is a length",
		`width="mm" viewBox="0 0 10 10"`:                      "the width of <svg> is a length",
		`width="10mm" height="30mm" viewBox="0 0 10 10"`:      "unevenly",
		`width="10mm" height="10mm" viewBox="0 0 10"`:         "four numbers",
		`width="10mm" height="10mm" viewBox="0 0 10 0"`:       "four numbers",
		`width="10mm" height="10mm" viewBox="0 0 1e6 1e6"`:    "out of reason",
		`width="900mm" height="900mm" viewBox="0 0 100 100"`:  "check the drawing's units",
		`width="NaN" height="Infmm" viewBox="0 0 100 100"`:    "the width of <svg> is a length",
		`width="1e400mm" height="1mm" viewBox="0 0 100 100"`:  "the width of <svg> is a length",
		`width="10 0mm" height="10mm" viewBox="0 0 100 100"`:  "the width of <svg> is a length",
		`width="10furlong" height="1mm" viewBox="0 0 10 100"`: "the width of <svg> is a length",
	} {
		_, err := Spec{Outline: OutlineSpec{SVG: "<svg " + size + ">" + svgHead + "</svg>"}}.BuildOutline()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: err = %v, want %q", size, err, want)
		}
	}
}

func TestSVGFileShapes(t *testing.T) {
	for name, c := range map[string]struct {
		svg string
		o   OutlineSpec
		tip float64
	}{
		"byte-order mark": {"\ufeff<svg>" + svgHead + `</svg>`, OutlineSpec{}, 100},
		"CR line ends":    {"<?xml version=\"1.0\"?>\r<svg>\r" + svgHead + "\r</svg>\r", OutlineSpec{}, 100},
		"groups and transforms": {`<svg><g transform="translate(5,10)"><g transform="scale(2) rotate(0)">` + svgHead + `</g></g></svg>`,
			OutlineSpec{OriginMM: []float64{5, 10}}, 200},
		"tip up the page": {`<svg><polygon points="-20,0 -20,-90 20,-90 20,0"/></svg>`, OutlineSpec{Tip: "up"}, 90},
		"by id":           {`<svg><path id="other" d="M -50 0 L -50 500 L 50 500 L 50 0 Z"/>` + svgHead + `</svg>`, OutlineSpec{ID: "head"}, 100},
	} {
		c.o.SVG = c.svg
		within(t, name, outlineOf(t, c.o).TipMM(), c.tip, 1e-9)
	}
	for name, svg := range map[string]string{
		"not svg": "<html/>", "empty": "",
		"skewed": `<svg><g transform="skewX(3)">` + svgHead + `</g></svg>`, "no shape": "<svg><text>x</text></svg>",
		"turned over": `<svg><path d="M -20 0 L -20 -90 L 20 -90 L 20 0 Z"/></svg>`,
		"nested":      `<svg><svg viewBox="0 0 1 1">` + svgHead + `</svg></svg>`,
		"empty path":  `<svg><path d=" "/></svg>`,
	} {
		if _, err := (Spec{Outline: OutlineSpec{SVG: svg, File: "x.svg"}}).BuildOutline(); err == nil {
			t.Errorf("%s: no error", name)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: more than one line: %q", name, err)
		}
	}
}

// An outline that meets itself has no inside, and one that
// holds no ground is none. Each case is worked out by hand.
func TestOutlineThatCannotBe(t *testing.T) {
	for path, want := range map[string]string{
		"M -20 0 L 20 100 L -20 100 L 20 0 Z":                                "near x 0.0, y 50.0",
		"M -20 0 L 0 50 L 20 100 L -20 100 L 0 50 L 20 0 Z":                  "near x 0.0, y 50.0", // through a corner
		"M -20 0 L -20 100 L 20 100 L 20 0 L -20 60 Z":                       "crosses or touches itself",
		"M -20 0 C 60 160 -60 160 20 0 Z":                                    "crosses or touches itself", // a loop in one piece
		"M -20 0 L -20 100 L 20 100 L 20 60 L 20 80 L 30 80 L 30 0 L 20 0 Z": "crosses or touches itself", // back along its own line
		"M 0 0 L 0 100 Z":        "holds no ground",
		"M 0 0 L 0 100 L 0 50 Z": "holds no ground",
		"M -20 0 L -20 0 Z":      "draws nothing",
	} {
		_, err := Spec{Outline: OutlineSpec{Path: path}}.BuildOutline()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: err = %v, want %q", path, err, want)
		}
	}
	for name, path := range map[string]string{
		"plain":       wedge,
		"open":        "M -20 0 L -20 100 L 20 100 L 20 0",
		"tiny pieces": "M -20 0 L -20 100 l 0.001 0.001 l 0.001 0 L 20 100 L 20 0 Z",
		"a notch":     "M -20 0 L -20 100 L -0.2 100 L -0.2 60 L 0.2 60 L 0.2 100 L 20 100 L 20 0 Z",
	} {
		if _, err := (Spec{Outline: OutlineSpec{Path: path}}).BuildOutline(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A byte-order mark and bare carriage returns are read.
func TestTextFilesOfOtherPrograms(t *testing.T) {
	want, err := ReadSpec([]byte(mustSpec), nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"byte-order mark": "\ufeff" + mustSpec,
		"CR only":         strings.ReplaceAll(mustSpec, "\n", "\r"),
		"CR LF":           strings.ReplaceAll(mustSpec, "\n", "\r\n"),
	} {
		got, err := ReadSpec([]byte(text), nil)
		if err != nil || len(Changes(want, got)) > 0 {
			t.Errorf("%s: err = %v, changes %v", name, err, Changes(want, got))
		}
	}
	for _, end := range []string{"\n", "\r", "\r\n"} {
		marks, readings, err := ReadPoints("\ufeffhole,x_mm,y_mm,from,mm"+end+"1,-19.5,50.0,,"+end+"2,,,edge,13.5"+end, noUnits)
		if err != nil || len(marks) != 1 || len(readings) != 1 {
			t.Errorf("line end %q: %v, %v, %v", end, marks, readings, err)
		}
	}
}
