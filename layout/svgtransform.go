package layout

import (
	"math"
	"strconv"
	"strings"
)

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
