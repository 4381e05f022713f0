package draw

import (
	"strings"
	"unicode/utf8"
)

// Moved is a surface whose origin is at (x, y) of s. A page that begins on it is
// left out: it draws within a page of s.
func Moved(s Surface, x, y float64) Surface { return moved{s, x, y} }

type moved struct {
	s    Surface
	x, y float64
}

func (m moved) Page(_, _ float64) {}

func (m moved) path(p *Path) *Path {
	out := &Path{Steps: make([]Step, len(p.Steps))}
	for i, s := range p.Steps {
		for k := range s.P {
			s.P[k].X, s.P[k].Y = s.P[k].X+m.x, s.P[k].Y+m.y
		}
		out.Steps[i] = s
	}
	return out
}

func (m moved) Path(p *Path, look Look) { m.s.Path(m.path(p), look) }

func (m moved) Text(x, y float64, words string, t Type) { m.s.Text(x+m.x, y+m.y, words, t) }

func (m moved) Image(x, y, width, height float64, file string) bool {
	return m.s.Image(x+m.x, y+m.y, width, height, file)
}

func (m moved) Width(words string, t Type) float64 { return m.s.Width(words, t) }

func (m moved) Clip(p *Path) { m.s.Clip(m.path(p)) }

func (m moved) Unclip() { m.s.Unclip() }

// Cut shortens words to a width in mm, with "…" in the place of what is cut.
func Cut(s Surface, words string, t Type, width float64) string {
	if s.Width(words, t) <= width {
		return words
	}
	for words != "" {
		_, n := utf8.DecodeLastRuneInString(words)
		words = strings.TrimRight(words[:len(words)-n], " ")
		if s.Width(words+"…", t) <= width {
			return words + "…"
		}
	}
	return ""
}

// Lines breaks words into lines of a width in mm, at blanks and after hyphens. A
// word that is longer than a line is cut.
func Lines(s Surface, words string, t Type, width float64) []string {
	var out []string
	line := ""
	for _, word := range pieces(words) {
		if s.Width(strings.TrimRight(line+word, " "), t) <= width {
			line += word
			continue
		}
		if line != "" {
			out = append(out, strings.TrimRight(line, " "))
		}
		line = word
		if s.Width(strings.TrimRight(word, " "), t) > width {
			line = Cut(s, word, t, width)
		}
	}
	if line != "" {
		out = append(out, strings.TrimRight(line, " "))
	}
	return out
}

// pieces splits words where a line may end; each piece keeps its blank.
func pieces(words string) []string {
	var out []string
	from := 0
	for i, r := range words {
		if r == ' ' || r == '-' && i > from {
			out = append(out, words[from:i+1])
			from = i + 1
		}
	}
	return append(out, words[from:])
}
