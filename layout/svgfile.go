package layout

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
)

// mmPerPx: the SVG user unit is the CSS pixel, 1/96 inch, unless a viewBox says
// otherwise.
const mmPerPx = MMPerInch / 96

// svgShape takes the outline out of an SVG file: the path, polygon or polyline
// with the given id, else the largest. One unit is 1 mm, unless the file says
// its real size (width or height in mm, cm, in, pt or pc). Transforms of the
// shape and its groups are applied; text, pictures and <use> are not looked at.
func svgShape(text, id string) (shape, int, *SpecError) {
	const key = "outline.file"
	dec := xml.NewDecoder(strings.NewReader(text))
	dec.Strict = false
	dec.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	stack := []affine{{xx: 1, yy: 1}}
	scale, seenRoot := 1.0, false
	best, bestArea, count := shape{}, -1.0, 0
	for tokens := 0; ; tokens++ {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil || tokens > 200000 {
			return shape{}, 0, specErr(key, nil, "the drawing is not a readable SVG file")
		}
		switch t := tok.(type) {
		case xml.EndElement:
			if len(stack) > 1 {
				stack = stack[:len(stack)-1]
			}
		case xml.StartElement:
			if len(stack) > 200 {
				return shape{}, 0, specErr(key, nil, "the drawing nests groups too deeply")
			}
			at := attrs(t)
			if !seenRoot {
				if t.Name.Local != "svg" {
					return shape{}, 0, specErr(key, t.Name.Local, "an SVG file begins with <svg>")
				}
				seenRoot = true
				var serr *SpecError
				if scale, serr = svgScale(at); serr != nil {
					return shape{}, 0, serr
				}
			}
			m, serr := parseTransform(at["transform"])
			if serr != nil {
				return shape{}, 0, serr
			}
			m = m.then(stack[len(stack)-1])
			stack = append(stack, m)
			data := shapeData(t.Name.Local, at)
			if data == "" || id != "" && at["id"] != id {
				continue
			}
			shapes, serr := parsePath(key, data, maxUnits)
			if serr != nil {
				return shape{}, 0, serr
			}
			m = m.then(affine{xx: scale, yy: scale})
			for _, sh := range shapes {
				for i, g := range sh.segs {
					sh.segs[i] = g.mapped(m)
				}
				count++
				if _, area := largest([]shape{sh}); area > bestArea {
					best, bestArea = sh, area
				}
			}
		}
	}
	if count == 0 {
		if id != "" {
			return shape{}, 0, specErr("outline.id", id, "no path, polygon or polyline in the drawing has this id")
		}
		return shape{}, 0, specErr(key, nil, "the drawing holds no path, polygon or polyline")
	}
	for _, s := range best.segs {
		for k := range 3 {
			p := s.at(float64(k) / 2)
			if !(math.Abs(p.X) <= maxCoordMM && math.Abs(p.Y) <= maxCoordMM) {
				return shape{}, 0, specErr(key, nil, "the drawing is larger than %g mm; check its units", maxCoordMM)
			}
		}
	}
	return best, count - 1, nil
}

func attrs(t xml.StartElement) map[string]string {
	m := make(map[string]string, len(t.Attr))
	for _, a := range t.Attr {
		m[a.Name.Local] = a.Value
	}
	return m
}

// shapeData is the element as path data, or "".
func shapeData(name string, at map[string]string) string {
	switch name {
	case "path":
		return at["d"]
	case "polygon", "polyline":
		if strings.TrimSpace(at["points"]) == "" {
			return ""
		}
		end := ""
		if name == "polygon" {
			end = " Z"
		}
		return "M " + at["points"] + end
	}
	return ""
}

// svgScale is mm per unit of the drawing.
func svgScale(at map[string]string) (float64, *SpecError) {
	const key = "outline.file"
	w, wReal := realSizeMM(at["width"])
	h, hReal := realSizeMM(at["height"])
	if !wReal && !hReal {
		return 1, nil
	}
	box := numbers(at["viewBox"])
	if len(box) != 4 || !(box[2] > 0) || !(box[3] > 0) {
		return mmPerPx, nil
	}
	switch {
	case !hReal:
		return checkScale(w / box[2])
	case !wReal:
		return checkScale(h / box[3])
	}
	if sx, sy := w/box[2], h/box[3]; math.Abs(sx-sy) > 0.001*sx {
		return 0, specErr(key, at["viewBox"], "width and height stretch the viewBox unevenly (%.4f and %.4f mm per unit)", sx, sy)
	}
	return checkScale(w / box[2])
}

func checkScale(s float64) (float64, *SpecError) {
	if !(s > 1e-4 && s < 1e4) {
		return 0, specErr("outline.file", s, "mm per unit from width and viewBox is out of reason")
	}
	return s, nil
}

// realSizeMM reads "210mm"; a bare number, px and % say nothing of real size.
func realSizeMM(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	for _, u := range []struct {
		name string
		mm   float64
	}{{"mm", 1}, {"cm", 10}, {"in", MMPerInch}, {"pt", MMPerInch / 72}, {"pc", MMPerInch / 6}} {
		if rest, ok := strings.CutSuffix(s, u.name); ok {
			v, err := strconv.ParseFloat(strings.TrimSpace(rest), 64)
			return v * u.mm, err == nil && v > 0 && v < 1e6
		}
	}
	return 0, false
}

// numbers reads a list such as a viewBox; anything else gives nil.
func numbers(s string) []float64 {
	fields := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' || r == '\n' || r == '\r' })
	if len(fields) > 6 {
		return nil
	}
	var out []float64
	for _, f := range fields {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 {
			return nil
		}
		out = append(out, v)
	}
	return out
}

// parseTransform reads an SVG transform list: the rightmost acts first.
func parseTransform(s string) (affine, *SpecError) {
	m := affine{xx: 1, yy: 1}
	s = strings.TrimSpace(s)
	for n := 0; s != ""; n++ {
		name, rest, ok := strings.Cut(s, "(")
		args, tail, ok2 := strings.Cut(rest, ")")
		v := numbers(args)
		step, known := transformStep(strings.TrimSpace(name), v)
		if !ok || !ok2 || !known || n > 20 {
			return affine{}, specErr("outline.file", s, "a transform this program cannot read; draw the outline without it")
		}
		m = step.then(m)
		s = strings.TrimLeft(tail, " ,\t\r\n")
	}
	return m, nil
}

func transformStep(name string, v []float64) (affine, bool) {
	n := len(v)
	switch {
	case name == "matrix" && n == 6:
		return affine{v[0], v[2], v[4], v[1], v[3], v[5]}, true
	case name == "translate" && n == 1:
		return affine{xx: 1, yy: 1, tx: v[0]}, true
	case name == "translate" && n == 2:
		return affine{xx: 1, yy: 1, tx: v[0], ty: v[1]}, true
	case name == "scale" && n == 1:
		return affine{xx: v[0], yy: v[0]}, true
	case name == "scale" && n == 2:
		return affine{xx: v[0], yy: v[1]}, true
	case name == "rotate" && (n == 1 || n == 3):
		sin, cos := math.Sincos(radians(v[0]))
		r := affine{xx: cos, xy: -sin, yx: sin, yy: cos}
		if n == 3 {
			to := affine{xx: 1, yy: 1, tx: -v[1], ty: -v[2]}
			r = to.then(r).then(affine{xx: 1, yy: 1, tx: v[1], ty: v[2]})
		}
		return r, true
	}
	return affine{}, false
}
