package jobs

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

// ParseLength reads any length in the words of a bit's size, from a hundredth of
// a millimetre to two metres. It gives millimetres. Errors are *FieldError.
func ParseLength(field, s string) (float64, error) {
	mm, _, err := parseLength(field, s, 0.01, 2000)
	return mm, err
}
