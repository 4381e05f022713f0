package jobs

import (
	"fmt"
	"slices"
)

// Warnf adds a warning to a list once.
func Warnf(list *[]string, format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if !slices.Contains(*list, s) {
		*list = append(*list, s)
	}
}
