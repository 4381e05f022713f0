package layout

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
)

// svgShape takes the outline out of an SVG file: the path, polygon or polyline
// with the given id, else the largest. svgScale says how large a unit is.
// Transforms of the shape and its groups are applied. Text, pictures and <use>
// are not looked at.
func svgShape(text, id string) (shape, int, *SpecError) {
	const key = "outline.file"
	dec := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(text, byteOrderMark)))
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
			} else if t.Name.Local == "svg" {
				return shape{}, 0, specErr(key, nil, "one <svg> within another has a scale of its own; draw the outline in the outer one")
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
