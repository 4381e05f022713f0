package layout

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Texts of a plan are in millimetres. Each length in them is marked with its exact value
// until the text is kept, so that the same text in inches comes from the value and not
// from what was rounded for the page.

// InInches gives a length to a thousandth of an inch, 25.4 mm exactly, half a
// thousandth away from zero.
func InInches(mm float64) string {
	thousandths := math.Round(math.Round(mm/MMPerInch*1e9) / 1e6)
	return strconv.FormatFloat(thousandths/1000, 'f', 3, 64)
}

// SixtyFourths gives the fraction that a rule or a drill index names, where it is
// within a tenth of a millimetre: " (25/64)". Nothing below a sixteenth has one.
func SixtyFourths(mm float64) string {
	n := int(math.Round(math.Abs(mm) / MMPerInch * 64))
	if n < 4 || math.Abs(math.Abs(mm)-float64(n)*MMPerInch/64) > 0.1 {
		return ""
	}
	den := 64
	for n%2 == 0 && den > 1 {
		n, den = n/2, den/2
	}
	whole, part := n/den, n%den
	switch {
	case part == 0:
		return ""
	case whole == 0:
		return fmt.Sprintf(" (%d/%d)", part, den)
	}
	return fmt.Sprintf(" (%d %d/%d)", whole, part, den)
}

var marked = regexp.MustCompile("\x01([^\x02]*)\x02([^\x03]*)\x03( mm\\b)?")

// exact marks a length with its value.
func exact(text string, mm float64) string {
	return "\x01" + text + "\x02" + strconv.FormatFloat(mm, 'g', -1, 64) + "\x03"
}

func tenth(mm float64) string    { return exact(fmt.Sprintf("%.1f", mm), mm) }
func tenthsOf(mm float64) string { return exact(tenths(mm), mm) }
func length(mm float64) string   { return exact(trimMM(mm), mm) }

// plainText gives a marked text as it is read in millimetres.
func plainText(text string) string { return marked.ReplaceAllString(text, "$1$3") }

// inchText gives it with the marked lengths in inches.
func inchText(text string) string {
	last := 0 // where the one before ended
	var out strings.Builder
	for _, m := range marked.FindAllStringSubmatchIndex(text, -1) {
		mm, _ := strconv.ParseFloat(text[m[4]:m[5]], 64)
		between := text[last:m[0]]
		out.WriteString(between + InInches(mm))
		if m[6] >= 0 {
			out.WriteString(" in")
			if between != " to " && between != ", " {
				out.WriteString(SixtyFourths(mm))
			}
		}
		last = m[1]
	}
	return out.String() + text[last:]
}

// Inches is a text of a plan in inches, by its text in millimetres.
type Inches map[string]string

// keep gives texts as they are kept, and remembers them in inches.
func (x Inches) keep(texts ...string) []string {
	out := []string{}
	for _, t := range texts {
		mm := plainText(t)
		if x[mm] = inchText(t); x[mm] == mm {
			delete(x, mm)
		}
		out = append(out, mm)
	}
	return out
}
