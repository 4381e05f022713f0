package jobs

import (
	"errors"
	"math"
	"strings"
)

// Depths of hole that can be: from a prick to through a thick head.
const (
	minDepthMM = 0.5
	maxDepthMM = 300
)

// ParseDepth reads the depth of a hole in the words of a bit's size: plain or
// marked millimetres ("15", "9,5 mm") or inches that say so ("5/8in"). It gives
// millimetres; errors are *FieldError.
func ParseDepth(s string) (float64, error) {
	mm, _, err := parseLength("depth", s, minDepthMM, maxDepthMM)
	return mm, err
}

// IsBare says that a length was typed without its unit.
func IsBare(s string) bool {
	t := strings.TrimSpace(s)
	return t != "" && strings.Trim(t, "0123456789.,") == ""
}

// BareFraction gives what a fraction without a unit is in millimetres, should it be
// millimetres. ok is false for anything else.
func BareFraction(s string) (mm string, ok bool) {
	v, fraction, read := parseMixed(strings.TrimSpace(s))
	if !read || !fraction || v == 0 {
		return "", false
	}
	return trimFloat(math.Round(v*1000)/1000) + "mm", true
}

// ParseMeasured reads a length that was measured and may be below zero: one that says
// its unit in the words of a bit's size, else a number in the unit given.
func ParseMeasured(field, s, unit string) (float64, error) {
	t := strings.TrimSpace(s)
	size := strings.TrimLeft(t, "+-")
	if size != "" && strings.Trim(size[len(size)-1:], "0123456789.") == "" {
		size += unit
	}
	mm, _, err := parseLength(field, size, 0, 5000)
	var bad *FieldError
	if errors.As(err, &bad) || len(t) > len(strings.TrimLeft(t, "+-"))+1 {
		return 0, &FieldError{field, s, "a length such as 26.0mm or 1 1/32in"}
	}
	if strings.HasPrefix(t, "-") {
		mm = -mm
	}
	return mm, nil
}

// ParseLength reads any length in the words of a bit's size, from a hundredth of
// a millimetre to two metres. A plain number is millimetres, however small: the
// thickness of a veneer is 0.6. It gives millimetres. Errors are *FieldError.
func ParseLength(field, s string) (float64, error) {
	plain := s
	if IsBare(s) {
		plain = strings.TrimSpace(s) + "mm"
	}
	mm, _, err := parseLength(field, plain, 0.01, 2000)
	var bad *FieldError
	if errors.As(err, &bad) {
		bad.Value = s
	}
	return mm, err
}
