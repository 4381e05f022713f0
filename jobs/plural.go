package jobs

import "strings"

// Plural gives "holes" for six of the unit "hole"; lengths and areas stay.
func Plural(q float64, unit string) string {
	if q == 1 || unit == "" || unit == "cm" || unit == "cm2" {
		return unit
	}
	if root, ok := strings.CutSuffix(unit, "life"); ok {
		return root + "lives"
	}
	return unit + "s"
}
