package layout

import (
	"strings"
	"testing"
)

func TestDrawnFromBack(t *testing.T) {
	right := strings.NewReplacer("bass = 4", "bass = 6", "treble = 2", "treble = 0", "mirror = true", "", "min_mm = 12.0", "min_mm = 8.0").Replace(mustSpec) + `
[outline]
path = "M -21.5 0 L -38.9 22 L 8.7 185 L 31 185 L 35 60 L 21.5 0 Z"
`
	wrong := strings.NewReplacer("bass = 6", "bass = 0", "treble = 0", "treble = 6").Replace(right)
	read := func(text string) Spec {
		s, err := ReadSpec([]byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, mode := range []string{"even-pitch", "balanced"} {
		if s := read(right); !fitsOutline(s, mode) || DrawnFromBack(s, mode) {
			t.Errorf("%s: a head drawn from the front does not fit, or is doubted", mode)
		}
		if s := read(wrong); fitsOutline(s, mode) || !DrawnFromBack(s, mode) {
			t.Errorf("%s: a head drawn from the back is not noticed", mode)
		}
	}
	a, b := read(right), read(wrong)
	if got := a.turned().turned(); got.Posts != a.Posts || a.turned().Posts.Treble != b.Posts.Treble {
		t.Errorf("turned twice: %+v", got.Posts)
	}
}
