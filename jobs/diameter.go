package jobs

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MMPerInch is exact by definition (international yard and pound, 1959).
const MMPerInch = 25.4

// The units in which a shop reads its lengths. Both are kept in millimetres.
const (
	Millimetres = "mm"
	Inches      = "in"
)

// Sizes of bit that a shop drills holes with.
const (
	MinDiameterMM = 0.3
	MaxDiameterMM = 120
)

// ParseDiameter reads a bit size: plain or marked millimetres ("10", "9.5mm",
// "9,5 mm") or inches that say so ("25/64in", "0.5in", `.5"`, `1 1/8"`,
// "1-1/8in"), or a twist drill by its number or letter. It gives millimetres and the
// text as a label.
//
// A bare "0.5" or "1/2" is refused: it may be half an inch. Errors are
// *FieldError.
func ParseDiameter(s string) (mm float64, text string, err error) {
	if mm, label, ok := DrillSize(s); ok {
		return mm, label, nil
	}
	return parseLength("diameter", s, MinDiameterMM, MaxDiameterMM)
}

// maxLengthDigits bounds the number itself, not its unit: the label of a size
// that was read, which may write the unit longer, must read again.
const maxLengthDigits = 20

func parseLength(field, s string, low, high float64) (mm float64, text string, err error) {
	bad := func(want string) (float64, string, error) { return 0, "", &FieldError{field, s, want} }
	t := strings.ToLower(strings.TrimSpace(s))
	body, unit := t, ""
	for _, u := range []string{"inches", "inch", "in", `"`, "″", "''", "mm"} {
		if strings.HasSuffix(t, u) {
			body, unit = strings.TrimSpace(strings.TrimSuffix(t, u)), "in"
			if u == "mm" {
				unit = "mm"
			}
			break
		}
	}
	value, fraction, ok := parseMixed(body)
	switch {
	case !ok, len(body) > maxLengthDigits:
		return bad("a size such as 10, 9.5mm, 25/64in or 0.5in")
	case fraction && unit == "":
		mm, _ := BareFraction(body)
		return bad(fmt.Sprintf("the unit with a fraction such as %sin, or %s", strings.Join(strings.Fields(body), "-"), mm))
	case fraction && unit == "mm":
		return bad("millimetres as a decimal, such as 9.5mm")
	case unit == "" && value < 1 && value > 0:
		return bad(fmt.Sprintf("the unit with so small a number: %sin or %smm", body, body))
	}
	mm = value
	if unit == "in" {
		mm = value * MMPerInch
	}
	if !(mm >= low && mm <= high) {
		return bad(fmt.Sprintf("a size from %s to %s mm", trimFloat(low), trimFloat(high)))
	}
	mm = math.Round(mm*1e6) / 1e6
	if unit == "in" {
		return mm, body + "in", nil
	}
	return mm, trimFloat(mm) + "mm", nil
}

// parseMixed reads "0.5", ".5", "9,5", "25/64", "1 1/8" and "1-1/8".
func parseMixed(s string) (v float64, fraction, ok bool) {
	whole, frac := "", s
	if i := strings.IndexAny(s, " -"); i > 0 && strings.Contains(s[i+1:], "/") {
		whole, frac = s[:i], strings.TrimSpace(s[i+1:])
	}
	if num, den, isFrac := strings.Cut(frac, "/"); isFrac {
		n, okN := digitsOf(num)
		d, okD := digitsOf(den)
		if !okN || !okD || d == 0 {
			return 0, true, false
		}
		v = n / d
		if whole != "" {
			w, okW := digitsOf(whole)
			if !okW || n >= d {
				return 0, true, false
			}
			v += w
		}
		return v, true, true
	}
	dec := strings.Replace(s, ",", ".", 1)
	if strings.Trim(dec, "0123456789.") != "" || strings.Count(dec, ".") > 1 || strings.Trim(dec, ".") == "" {
		return 0, false, false
	}
	v, err := strconv.ParseFloat(dec, 64)
	return v, false, err == nil
}

func digitsOf(s string) (float64, bool) {
	if s == "" || len(s) > 4 || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return float64(n), err == nil
}

// trimFloat prints a number without needless zeros.
func trimFloat(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// FormatMM prints millimetres to two decimals at most: 9.92, 10.
func FormatMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*100)/100, 'f', -1, 64)
}
