package jobs

import (
	"math"
	"strconv"
	"strings"
)

// Twist drills by number, 1 to 80, in ten-thousandths of an inch, and by letter, A to
// Z, in thousandths (ASME B94.11M).
var (
	numberDrills = [...]int{
		2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, 1910, 1890, 1850, 1820, 1800, 1770,
		1730, 1695, 1660, 1610, 1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, 1200, 1160,
		1130, 1110, 1100, 1065, 1040, 1015, 995, 980, 960, 935, 890, 860, 820, 810, 785, 760,
		730, 700, 670, 635, 595, 550, 520, 465, 430, 420, 410, 400, 390, 380, 370, 360,
		350, 330, 320, 310, 292, 280, 260, 250, 240, 225, 210, 200, 180, 160, 145, 135,
	}
	letterDrills = [...]int{
		234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295,
		302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413,
	}
)

// DrillSize reads a numbered or lettered twist drill: "#7", "no 7", "F", "letter F". A
// number alone is a length. It gives millimetres and the text as a label.
func DrillSize(s string) (mm float64, label string, ok bool) {
	t := strings.ToUpper(strings.TrimSpace(s))
	for _, word := range []string{"#", "NUMBER ", "NO. ", "NO ", "NO.", "NO"} {
		number, found := strings.CutPrefix(t, word)
		if n, err := strconv.Atoi(strings.TrimSpace(number)); found && err == nil && n >= 1 && n <= len(numberDrills) {
			return drillMM(float64(numberDrills[n-1]) / 1e4), "#" + strconv.Itoa(n), true
		}
	}
	if t = strings.TrimPrefix(t, "LETTER "); len(t) == 1 && t[0] >= 'A' && t[0] <= 'Z' {
		return drillMM(float64(letterDrills[t[0]-'A']) / 1e3), t, true
	}
	return 0, "", false
}

func drillMM(inches float64) float64 { return math.Round(inches*MMPerInch*1e6) / 1e6 }
