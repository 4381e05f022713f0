package layout

import (
	"math"
	"strconv"
	"strings"
)

// MMPerInch is exact (international inch, 1959).
const MMPerInch = 25.4

// trimMM prints a length with at most three decimals and no trailing zeros.
func trimMM(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	if math.Abs(v) >= 1e9 || math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func radians(deg float64) float64 { return deg * math.Pi / 180 }
func degrees(rad float64) float64 { return rad * 180 / math.Pi }
