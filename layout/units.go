package layout

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MMPerInch is exact (international inch, 1959).
const MMPerInch = 25.4

// ParseLengthMM reads a length with its unit: "12.7 mm", "12,7mm", "1.2 cm",
// "0.5 in", `13/32"`, "1 1/2 in". The unit is required, because a bare 0.5 may
// mean either; the result is millimetres. Thousands marks are refused.
func ParseLengthMM(s string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	bad := func(why string) (float64, error) {
		return 0, specErr("length", s, "%s", why)
	}
	if len(t) > 40 {
		return bad("a length such as 12.7 mm or 1/2 in")
	}
	factor := 0.0
	for _, u := range lengthUnits {
		if rest, ok := strings.CutSuffix(t, u.name); ok {
			t, factor = strings.TrimSpace(rest), u.mm
			break
		}
	}
	if factor == 0 {
		return bad("a unit is needed: mm, cm or in")
	}
	value, ok := parseMixed(t)
	if !ok {
		return bad("a number before the unit, such as 12.7 or 13/32")
	}
	mm := value * factor
	if math.Abs(mm) > maxCoordMM {
		return bad(fmt.Sprintf("at most %g mm", maxCoordMM))
	}
	return mm, nil
}

// lengthUnits is tried in this order, longer names first.
var lengthUnits = [...]struct {
	name string
	mm   float64
}{
	{"inches", MMPerInch}, {"inch", MMPerInch}, {"mm", 1}, {"cm", 10}, {"in", MMPerInch}, {`"`, MMPerInch},
}

// parseMixed reads 12.7, 12,7, 13/32 and 1 1/2.
func parseMixed(t string) (float64, bool) {
	whole := 0.0
	if head, rest, ok := strings.Cut(t, " "); ok {
		w, err := strconv.ParseUint(head, 10, 16)
		if err != nil || !strings.Contains(rest, "/") {
			return 0, false
		}
		whole, t = float64(w), strings.TrimSpace(rest)
	}
	if num, den, ok := strings.Cut(t, "/"); ok {
		a, err1 := strconv.ParseUint(num, 10, 16)
		b, err2 := strconv.ParseUint(den, 10, 16)
		if err1 != nil || err2 != nil || b == 0 {
			return 0, false
		}
		return whole + float64(a)/float64(b), true
	}
	if strings.Count(t, ",") == 1 && !strings.Contains(t, ".") {
		frac := t[strings.Index(t, ",")+1:]
		if len(frac) == 3 {
			return 0, false // 1,250 has two readings
		}
		t = strings.Replace(t, ",", ".", 1)
	}
	if t == "" || strings.Trim(t, "+-0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(t, 64)
	return v, err == nil
}

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
