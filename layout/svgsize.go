package layout

import (
	"math"
	"strconv"
	"strings"
)

// sizeUnits are the absolute lengths of CSS Values and Units 3, 5.2, in mm: 1 in
// = 25.4 mm = 96 px = 72 pt = 6 pc. A bare number counts as px (SVG 2, 8.2).
var sizeUnits = []struct {
	name string
	mm   float64
}{
	{"mm", 1}, {"cm", 10}, {"in", MMPerInch}, {"pt", MMPerInch / 72}, {"pc", MMPerInch / 6},
	{"px", MMPerInch / 96}, {"q", 0.25}, {"", MMPerInch / 96},
}

// svgScale is mm per unit of the drawing, from the attributes of <svg>. With a
// viewBox the size is spread over it. Without one a unit is a pixel. A drawing
// with neither size nor viewBox is taken as drawn in mm. A viewBox alone has no
// scale and is refused.
func svgScale(at map[string]string) (float64, *SpecError) {
	const key = "outline.file"
	w, err := sizeMM("width", at["width"])
	if err != nil {
		return 0, err
	}
	h, err := sizeMM("height", at["height"])
	if err != nil {
		return 0, err
	}
	text, boxed := at["viewBox"]
	switch {
	case !boxed && w == 0 && h == 0 && at["width"] == "" && at["height"] == "":
		return 1, nil
	case w == 0 && h == 0:
		return 0, specErr(key, nil, "width and height of <svg> are missing, so its scale is not known; give them with a unit, such as width=\"210mm\"")
	case !boxed:
		return MMPerInch / 96, nil
	}
	box := numbers(text)
	if len(box) != 4 || !(box[2] > 0) || !(box[3] > 0) {
		return 0, specErr(key, text, "a viewBox is four numbers, the last two above 0")
	}
	sx, sy := w/box[2], h/box[3]
	switch {
	case h == 0:
		return checkScale(sx)
	case w == 0:
		return checkScale(sy)
	case math.Abs(sx-sy) > 0.001*sx:
		return 0, specErr(key, text, "width and height stretch the viewBox unevenly (%.4f and %.4f mm per unit)", sx, sy)
	}
	return checkScale(sx)
}

func checkScale(s float64) (float64, *SpecError) {
	if !(s > 1e-4 && s < 1e4) {
		return 0, specErr("outline.file", s, "mm per unit from width and viewBox is out of reason")
	}
	return s, nil
}

// sizeMM reads a size such as 210mm. Nothing, "auto" and a share of the window
// (100%) give 0: they say nothing of the real size.
func sizeMM(name, text string) (float64, *SpecError) {
	s := strings.ToLower(strings.TrimSpace(text))
	if s == "" || s == "auto" || strings.HasSuffix(s, "%") {
		return 0, nil
	}
	end := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyz")
	unit := s[len(end):]
	v, err := strconv.ParseFloat(strings.TrimSpace(end), 64)
	for _, u := range sizeUnits {
		if u.name == unit && err == nil && v > 0 && v < 1e6 {
			return v * u.mm, nil
		}
	}
	return 0, specErr("outline.file", text, "the %s of <svg> is a length above 0 in mm, cm, in, pt, pc or px", name)
}
