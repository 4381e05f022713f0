package paper

import (
	"strings"
	"unicode/utf8"

	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// wrap breaks text into lines of a width in mm, at blanks and after hyphens. A
// word that is longer than a line goes on in the next. There is always one line.
func wrap(s draw.Surface, text string, t draw.Type, width float64) []string {
	var out []string
	now := ""
	for _, word := range pieces(plain.Clean(text)) {
		if now == "" && strings.TrimSpace(word) == "" {
			continue
		}
		if s.Width(strings.TrimRight(now+word, " "), t) > width && now != "" {
			out = append(out, strings.TrimRight(now, " "))
			now = ""
		}
		now += word
		for s.Width(strings.TrimRight(now, " "), t) > width {
			n := fits(s, now, t, width)
			if n >= len(now) {
				break
			}
			out, now = append(out, now[:n]), now[n:]
		}
	}
	return append(out, strings.TrimRight(now, " "))
}

// fits is how many bytes of a word go into a width, one letter at least.
func fits(s draw.Surface, word string, t draw.Type, width float64) int {
	n := 0
	for n < len(word) {
		_, size := utf8.DecodeRuneInString(word[n:])
		if n > 0 && s.Width(word[:n+size], t) > width {
			break
		}
		n += size
	}
	return n
}

// pieces splits text where a line may end: behind a blank, and behind a hyphen
// with a letter on both sides. Each piece keeps its blank.
func pieces(text string) []string {
	var out []string
	from := 0
	for i := 0; i < len(text); i++ {
		if text[i] == ' ' || text[i] == '-' && i > from && letter(text, i-1) && letter(text, i+1) {
			out = append(out, text[from:i+1])
			from = i + 1
		}
	}
	if from < len(text) {
		out = append(out, text[from:])
	}
	return out
}

// letter says that a letter is at that byte. Figures are none: 2026-11-24 stays
// in one line.
func letter(text string, i int) bool {
	if i < 0 || i >= len(text) {
		return false
	}
	c := text[i]
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= utf8.RuneSelf
}
