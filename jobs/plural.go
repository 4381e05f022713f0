package jobs

// Plural gives "holes" for six of the unit "hole"; lengths and areas stay.
func Plural(q float64, unit string) string {
	if q == 1 || unit == "" || unit == "cm" || unit == "cm2" {
		return unit
	}
	return unit + "s"
}
