package main

import (
	"strings"
	"testing"

	"bookmatch/layout"
)

// The spec that the help shows can be typed as it stands, in every mode, and
// the help fits a terminal.
func TestSpecOfTheHelp(t *testing.T) {
	spec, err := layout.ReadSpec([]byte(specExample), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, mode := range layout.Modes() {
		p, err := layout.Solve(spec, mode)
		if err != nil {
			t.Errorf("%s: %v", mode, err)
		} else if len(p.Posts) != 6 {
			t.Errorf("%s: %d posts, want 6", mode, len(p.Posts))
		}
	}
	for _, l := range strings.Split(specHelp, "\n") {
		if len(l) > 74 {
			t.Errorf("%d characters: %q", len(l), l)
		}
	}
}
