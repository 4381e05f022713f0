package jobs

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// usualSets are the six strings that a packet named by its outer two holds, in
// thousandths of an inch. Common practice, no source.
var usualSets = map[string]string{"9-42": "9-11-16-24-32-42", "10-46": "10-13-17-26-36-46", "10-52": "10-13-17-30-42-52", "11-49": "11-14-18-28-38-49", "12-53": "12-16-24-32-42-53"}

// ParseGauges reads the gauges of n strings as builders write them: thousandths of an
// inch ("10-13-17-26-36-46", ".010 .013"), or millimetres that say so ("0.25-1.17mm"). A
// pair such as "10-46" is the usual set of six, and usual is true. It gives inches from
// the lowest string up.
func ParseGauges(field, s string, n int) (inches []float64, usual bool, err error) {
	text := strings.ToLower(strings.TrimSpace(s))
	if set := usualSets[text]; set != "" && n == 6 {
		text, usual = set, true
	}
	bad := &FieldError{field, s, fmt.Sprintf("the gauge of each of the %d strings such as 10-13-17-26-36-46", n)}
	text, mm := strings.CutSuffix(text, "mm")
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("- ,;", r) }) {
		v, err := strconv.ParseFloat(w, 64)
		switch {
		case err != nil:
			return nil, false, bad
		case mm:
			v /= MMPerInch
		case v >= 6 && v == math.Trunc(v):
			v /= 1000
		case v > 0.2:
			return nil, false, &FieldError{field, s, fmt.Sprintf("thousandths of an inch, or mm behind the last, such as %smm", strings.TrimSpace(text))}
		}
		if !(v >= 0.005 && v <= 0.2) {
			return nil, false, bad
		}
		inches = append(inches, math.Round(v*1e5)/1e5)
	}
	if len(inches) != n {
		return nil, false, bad
	}
	if inches[0] < inches[n-1] {
		slices.Reverse(inches)
	}
	return inches, usual, nil
}
