// Package plain makes text and JSON safe to print, and measures and breaks
// lines. It draws nothing and knows no table, so that a command which answers in
// a line starts without what draws tables and pages.
package plain

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"
	"github.com/clipperhouse/uax29/v2/graphemes"
)

// mark means a character that must not reach a terminal or a file.
const mark = '\uFFFD'

// maxMarks is the number of combining marks kept on one letter; real
// alphabets stay below it.
const maxMarks = 4

// Clean makes text safe to print: line ends, tabs and odd spaces become one
// space; control characters, escape sequences, marks that turn the writing
// direction, unseen characters and broken UTF-8 become U+FFFD, so that a
// reader sees that something was there. Joiners and variation selectors, which
// emoji and several scripts need, stay. Everything printed passes through it.
func Clean(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] >= 0x7f {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	marks := 0
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n <= 1:
			b.WriteRune(mark)
		case r == '\r' && strings.HasPrefix(s[i:], "\r\n"):
			n = 2
			b.WriteByte(' ')
		case r == '\n', r == '\r', r == '\t', r == '\u2028', r == '\u2029', r == '\u0085', unicode.Is(unicode.Zs, r):
			b.WriteByte(' ')
		case hidden(r):
			b.WriteRune(mark)
		case unicode.Is(unicode.Mn, r) && r != '\uFE0E' && r != '\uFE0F':
			if marks++; marks <= maxMarks {
				b.WriteRune(r)
			}
			i += n
			continue
		default:
			b.WriteRune(r)
		}
		marks = 0
		i += n
	}
	return b.String()
}

// hidden says that r would move the cursor, turn the line or hide.
func hidden(r rune) bool {
	switch {
	case r < 0x20, r >= 0x7f && r < 0xa0:
		return true
	case r == '\u200c', r == '\u200d': // joiners
		return false
	case r >= '\u200b' && r <= '\u200f', r == '\u061c', r == '\ufeff', r == '\u00ad':
		return true
	case r >= '\u202a' && r <= '\u202e', r >= '\u2060' && r <= '\u206f':
		return true
	case r >= '\ufff0' && r <= '\ufffb', r >= 0xe0000 && r <= 0xe0fff, r == '\ufffe', r == '\uffff':
		return true
	case unicode.Is(unicode.Co, r), unicode.Is(unicode.Cs, r):
		return true
	}
	return false
}

// Width is the number of terminal cells that clean text takes, without regard
// to the locale: the same table everywhere. Tables measure alike; a test holds
// the two together.
func Width(s string) int {
	cells := 0
	for _, r := range s {
		cells += displaywidth.Rune(r)
	}
	return cells
}

// Shorten cuts s to at most width cells, ending in "…" where it cut.
func Shorten(s string, width int) string {
	if Width(s) <= width {
		return s
	}
	if width < 1 {
		return ""
	}
	head, _ := splitAt(s, width-1)
	if Width(head) >= width {
		return "…"
	}
	return strings.TrimRight(head, " ") + "…"
}

// splitAt gives the longest start of s that fits into width cells, in whole
// characters as a reader sees them (Unicode Standard Annex 29); at least one.
func splitAt(s string, width int) (head, rest string) {
	end := 0
	for g := graphemes.FromString(s); g.Next(); {
		next := end + len(g.Value())
		if end > 0 && Width(s[:next]) > width {
			break
		}
		end = next
	}
	// A name such as thickness-head parts at its hyphen, ada+bo at its plus.
	if at := strings.LastIndexAny(s[:end], "-+") + 1; end < len(s) && at > 1 && at*3 >= end {
		end = at
	}
	return s[:end], s[end:]
}

// Wrap breaks s at spaces into lines of at most width cells; a word longer
// than a line is broken where it must be. There is always one line.
func Wrap(s string, width int) []string { return wrap(s, width, false) }

// Lines is Wrap for running text: a word longer than a line stays whole, so that a
// path or a code can be copied.
func Lines(s string, width int) []string { return wrap(s, width, true) }

func wrap(s string, width int, whole bool) []string {
	if width < 1 {
		width = 1
	}
	var lines []string
	line := ""
	for _, word := range together(strings.Fields(s)) {
		switch {
		case line == "":
			line = word
		case Width(line)+1+Width(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
		for !whole && Width(line) > width {
			head, rest := splitAt(line, width)
			if rest == "" {
				break // one character wider than the line
			}
			lines = append(lines, head)
			line = rest
		}
	}
	return append(lines, line)
}

// together joins a number with the unit behind it, and a currency with its amount: a
// line does not end between the two.
func together(words []string) []string {
	out := words[:0:0]
	for _, w := range words {
		if n := len(out) - 1; n >= 0 && (isDigit(out[n][len(out[n])-1]) && units[strings.TrimRight(w, ".,:;)")] || isCurrency(out[n]) && isDigit(w[0])) {
			out[n] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

var units = map[string]bool{"%": true, "mm": true, "cm": true, "cm2": true, "m": true, "min": true, "h": true, "ml": true, "g": true, "kg": true, "in": true}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// isCurrency says that a word is three capitals, such as EUR (ISO 4217).
func isCurrency(w string) bool {
	w = strings.TrimLeft(w, "(")
	return len(w) == 3 && strings.ToUpper(w) == w && strings.ToLower(w) != w
}
