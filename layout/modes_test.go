package layout

import (
	"errors"
	"strings"
	"testing"
)

// Every mode has its words and its place function, and what a mode asks for is
// in its row.
func TestModesAreRowsOfOneTable(t *testing.T) {
	spec := mustRead(t, mustSpec)
	for _, m := range modes() {
		if m.place == nil || m.kept == "" {
			t.Errorf("%s: the row is not full", m.name)
		}
		_, err := Solve(spec, m.name)
		if got := err != nil; got != m.needsOutline {
			t.Errorf("%s without an outline: err = %v, the table says it needs one: %v", m.name, err, m.needsOutline)
		}
	}
	for _, name := range []string{"", "Balanced", "evenedge", "straight-row "} {
		_, err := Solve(spec, name)
		var bad *SpecError
		if !errors.As(err, &bad) || bad.Key != "mode" || !strings.Contains(err.Error(), EvenPitch) {
			t.Errorf("mode %q: err = %v, want a *SpecError that lists the modes", name, err)
		}
	}
}
