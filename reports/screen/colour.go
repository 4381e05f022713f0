package screen

import (
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// For gives the screen of an output. Only a terminal is one: everything else
// gets 80 columns of plain characters. NO_COLOR with any value turns colour off
// (no-color.org), and so does a TERM that is dumb or not set, which also asks for
// plain bars. width is what the terminal says, 0 when it does not.
func For(isTerminal bool, width int, getenv func(string) string) Screen {
	if !isTerminal {
		return Screen{}
	}
	term := getenv("TERM")
	dumb := term == "dumb" || term == ""
	return Screen{Width: width, Colour: !dumb && getenv("NO_COLOR") == "", Few: !many(term, getenv("COLORTERM")), Blocks: !dumb}
}

// many says that a terminal has 256 colours or more. Terminals say so in the
// name of their description or in COLORTERM; this is common practice, no source.
func many(term, colorterm string) bool {
	return colorterm != "" || strings.Contains(term, "256color") || strings.Contains(term, "direct")
}

// The codes of ECMA-48, 8.3.117 (select graphic rendition), with the colours of
// ISO/IEC 8613-6 (38;5;n) out of the usual table of 256. Their contrast on white
// and on black is 4.53 and 4.63 (good), 4.71 and 4.46 (watch), 5.4 and 3.9 (bad), 4.54
// and 4.62 (dim) by WCAG 2.2. What is below 4.5 is bold.
const (
	bold  = "1"
	light = "2"
	good  = "38;5;29"
	watch = "1;38;5;130"
	bad   = "1;38;5;160"
	dim   = "38;5;243"
)

func (s Screen) bold(words string) string { return s.code(words, bold) }

// dim draws back what is less than the answer.
func (s Screen) dim(words string) string {
	if s.Few {
		return s.code(words, light)
	}
	return s.code(words, dim)
}

// faint wraps the head of a column and draws it back.
func (s Screen) faint(words string, width int) string {
	lines := plain.Wrap(plain.Clean(words), width)
	for i, l := range lines {
		lines[i] = s.dim(l)
	}
	return strings.Join(lines, "\n")
}

// paint gives words the colour of a tone, in bold when strong.
func (s Screen) paint(words string, tone reports.Tone, strong bool) string {
	code := map[reports.Tone]string{reports.Good: good, reports.Careful: watch, reports.Bad: bad}[tone]
	if s.Few {
		code = ""
		strong = strong || tone == reports.Careful || tone == reports.Bad
	}
	if strong && !strings.HasPrefix(code, bold) {
		code = strings.TrimSuffix(bold+";"+code, ";")
	}
	return s.code(words, code)
}

func (s Screen) code(words, code string) string {
	if !s.Colour || words == "" || code == "" {
		return words
	}
	return "\x1b[" + code + "m" + words + "\x1b[0m"
}

// block wraps words to width and colours each line.
func (s Screen) block(words string, width int, tone reports.Tone, strong bool) string {
	lines := plain.Wrap(plain.Clean(words), width)
	for i, l := range lines {
		lines[i] = s.paint(l, tone, strong)
	}
	return strings.Join(lines, "\n")
}
