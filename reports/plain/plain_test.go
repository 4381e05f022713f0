package plain

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"plain", "flush-sand ada", "flush-sand ada"},
		{"accents and scripts stay", "Brückner, 日本, עברית, décor", "Brückner, 日本, עברית, décor"},
		{"emoji with joiner stays", "👩‍🔧 ✅", "👩‍🔧 ✅"},
		{"escape sequence", "a\x1b[31mred\x1b[0m", "a\uFFFD[31mred\uFFFD[0m"},
		{"title change", "\x1b]0;owned\x07", "\uFFFD]0;owned\uFFFD"},
		{"C1 control", "a\u009b31m", "a\uFFFD31m"},
		{"line ends and tabs", "a\r\nb\tc\u2028d", "a b c d"},
		{"back space and delete", "pass\b\b\x7f", "pass\uFFFD\uFFFD\uFFFD"},
		{"turned writing", "N12\u202egnp.exe", "N12\uFFFDgnp.exe"},
		{"isolates", "\u2066a\u2069", "\uFFFDa\uFFFD"},
		{"unseen", "a\u200bb\ufeffc\u00add", "a\uFFFDb\uFFFDc\uFFFDd"},
		{"broken UTF-8", "a\xff\xc3(", "a\uFFFD\uFFFD("},
		{"heaped marks", "a" + strings.Repeat("\u0301", 40), "a" + strings.Repeat("\u0301", maxMarks)},
		{"odd spaces", "a\u00a0b\u3000c", "a b c"},
	} {
		if got := Clean(c.in); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func FuzzClean(f *testing.F) {
	for _, s := range []string{"", "a\x1b[31m", "\u202e", "日本", "a\xff", "👩‍🔧", "=1+1", "\r\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Clean(s)
		if !utf8.ValidString(got) {
			t.Errorf("%q is not UTF-8", got)
		}
		for _, r := range got {
			if r < 0x20 || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e {
				t.Errorf("%q lets %U through", got, r)
			}
		}
		if again := Clean(got); again != got {
			t.Errorf("cleaned twice: %q, once: %q", again, got)
		}
		for w := 1; w < 20; w += 6 {
			if n := Width(Shorten(got, w)); n > w {
				t.Errorf("%q shortened to %d is %d wide", got, w, n)
			}
		}
		if joined := strings.ReplaceAll(strings.Join(Wrap(got, 9), ""), " ", ""); joined != strings.ReplaceAll(got, " ", "") {
			t.Errorf("wrapping lost text: %q from %q", joined, got)
		}
	})
}

// Widths of Unicode Standard Annex 11: wide and full-width letters take two
// cells, combining marks none. A joined emoji counts by its parts, as a terminal
// draws it that does not join: never too narrow.
func TestWidth(t *testing.T) {
	for s, want := range map[string]int{"abc": 3, "é": 1, "e\u0301": 1, "日本": 4, "ＡＢ": 4, "👩‍🔧": 4, "─": 1, "": 0} {
		if got := Width(s); got != want {
			t.Errorf("%q is %d wide, want %d", s, got, want)
		}
	}
}

// A name with hyphens parts behind one of them, not inside a word.
func TestWrapAtHyphen(t *testing.T) {
	for _, c := range []struct {
		in    string
		width int
		want  []string
	}{
		{"thickness-head", 12, []string{"thickness-", "head"}},
		{"thickness-core", 12, []string{"thickness-", "core"}},
		{"a-longwordwithouthyphens", 12, []string{"a-longwordwi", "thouthyphens"}},
		{"dee+zed+yen", 10, []string{"dee+zed+", "yen"}},
		{"thickness-head", 18, []string{"thickness-head"}},
		{"a risk of 3 % (1 to 12 %).", 12, []string{"a risk of", "3 % (1 to", "12 %)."}},
		{"it costs EUR 14.00.", 14, []string{"it costs", "EUR 14.00."}},
		{"cut 112 mm, then 3 in a row", 7, []string{"cut", "112 mm,", "then", "3 in a", "row"}},
	} {
		if d := cmp.Diff(c.want, Wrap(c.in, c.width)); d != "" {
			t.Errorf("%s in %d (-want +got)\n%s", c.in, c.width, d)
		}
	}
}

// Running text keeps a long word whole.
func TestLinesKeepWords(t *testing.T) {
	want := []string{"is in", "/home/a/shop.db.replaced-2026", "now"}
	if d := cmp.Diff(want, Lines("is in /home/a/shop.db.replaced-2026 now", 12)); d != "" {
		t.Error(d)
	}
}

// The library that draws tables measures the same.
func FuzzWidthAsTablesMeasure(f *testing.F) {
	for _, s := range []string{"abc", "é", "e\u0301", "日本", "👩‍🔧", "─", "½", "ＡＢ", "\u200d", "עברית"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		clean := Clean(s)
		if got, want := Width(clean), twwidth.WidthWithOptions(clean, twwidth.Options{ForceNarrowBorders: true}); got != want {
			t.Errorf("%q is %d wide, tables take it for %d", clean, got, want)
		}
	})
}
