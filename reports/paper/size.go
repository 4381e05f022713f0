package paper

import "bookmatch/reports"

// Sizes of paper in mm, upright: ISO 216 for the A series, 8.5 x 11 in for
// Letter.
var sizes = []struct {
	name reports.Paper
	w, h float64
}{
	{reports.A4, 210, 297}, {reports.Letter, 8.5 * 25.4, 11 * 25.4}, {A3, 297, 420}, {A5, 148, 210},
}

// Papers besides those of a workbook.
const (
	A3 reports.Paper = "a3"
	A5 reports.Paper = "a5"
)

// Size is the width and height of a paper in mm, upright. ok is false for a
// paper it does not know.
func Size(p reports.Paper) (w, h float64, ok bool) {
	for _, s := range sizes {
		if s.name == p {
			return s.w, s.h, true
		}
	}
	return 0, 0, false
}
