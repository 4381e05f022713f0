package plain_test

import (
	"strconv"
	"strings"
	"testing"
	"unicode"

	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
)

// Cells of letters, figures, punctuation and symbols against the data of Python's
// wcwidth, which is made from Unicode's EastAsianWidth.txt. Marks and Hangul letters
// that join the one before are left out: programs differ on them. Its Unicode may be
// older than ours, so one letter in 300 may differ.
func TestWidthAgainstWcwidth(t *testing.T) {
	const first, end = 0x20, 0x30000
	out := reporttest.Python(t, "wcwidth", `
from wcwidth import wcwidth
print(",".join(str(wcwidth(chr(c))) for c in range(0x20, 0x30000) if not 0xd800 <= c < 0xe000))`)
	cells := strings.Split(strings.TrimSpace(out), ",")
	seen, wide, apart := 0, 0, 0
	for r := rune(first); r < end; r++ {
		if r >= 0xd800 && r < 0xe000 {
			continue
		}
		want, err := strconv.Atoi(cells[0])
		if err != nil {
			t.Fatal(err)
		}
		cells = cells[1:]
		joins := r >= 0x1160 && r < 0x1200 || r >= 0xd7b0 && r < 0xd800
		if want < 0 || joins || !unicode.IsGraphic(r) || unicode.IsMark(r) {
			continue
		}
		seen++
		if want == 2 {
			wide++
		}
		if got := plain.Width(string(r)); got != want {
			apart++
			t.Logf("%U %c: %d cells, wcwidth says %d", r, r, got, want)
		}
	}
	if seen < 100000 || wide < 50000 || apart*300 > seen {
		t.Errorf("%d of %d letters differ, %d are wide", apart, seen, wide)
	}
}
