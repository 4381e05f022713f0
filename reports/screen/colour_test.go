package screen

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"bookmatch/reports"
)

// Only a terminal is a screen. NO_COLOR: no-color.org; the rest is common
// practice, no source.
func TestFor(t *testing.T) {
	for _, c := range []struct {
		name     string
		terminal bool
		env      map[string]string
		want     Screen
	}{
		{"many colours", true, map[string]string{"TERM": "xterm-256color"}, Screen{Width: 100, Colour: true, Blocks: true}},
		{"colours said apart", true, map[string]string{"TERM": "ansi", "COLORTERM": "truecolor"}, Screen{Width: 100, Colour: true, Blocks: true}},
		{"sixteen colours", true, map[string]string{"TERM": "linux"}, Screen{Width: 100, Colour: true, Few: true, Blocks: true}},
		{"no colour wanted", true, map[string]string{"TERM": "xterm-256color", "NO_COLOR": "1"}, Screen{Width: 100, Blocks: true}},
		{"xterm", true, map[string]string{"TERM": "xterm"}, Screen{Width: 100, Colour: true, Few: true, Blocks: true}},
		{"TERM not set", true, nil, Screen{Width: 100, Few: true}},
		{"dumb", true, map[string]string{"TERM": "dumb"}, Screen{Width: 100, Few: true}},
		{"a pipe", false, map[string]string{"TERM": "xterm-256color"}, Screen{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := For(c.terminal, 100, func(k string) string { return c.env[k] }); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}

// The codes are those of ECMA-48, 8.3.117.
func TestPaint(t *testing.T) {
	for _, c := range []struct {
		name   string
		screen Screen
		tone   reports.Tone
		strong bool
		want   string
	}{
		{"good", Screen{Colour: true}, reports.Good, false, "\x1b[38;5;29mx\x1b[0m"},
		{"good and strong", Screen{Colour: true}, reports.Good, true, "\x1b[1;38;5;29mx\x1b[0m"},
		{"watch", Screen{Colour: true}, reports.Careful, false, "\x1b[1;38;5;130mx\x1b[0m"},
		{"bad", Screen{Colour: true}, reports.Bad, true, "\x1b[1;38;5;160mx\x1b[0m"},
		{"calm", Screen{Colour: true}, reports.Calm, false, "x"},
		{"strong", Screen{Colour: true}, reports.Calm, true, "\x1b[1mx\x1b[0m"},
		{"good, sixteen colours", Screen{Colour: true, Few: true}, reports.Good, false, "x"},
		{"watch, sixteen colours", Screen{Colour: true, Few: true}, reports.Careful, false, "\x1b[1mx\x1b[0m"},
		{"bad, no colour", Screen{Few: true}, reports.Bad, true, "x"},
	} {
		if got := c.screen.paint("x", c.tone, c.strong); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// Every colour that is written has a contrast of 4.5 on white and on black by the formula
// of WCAG 2.2 (relative luminance), or is bold; every tone comes with a word. The table of
// 256 gives a number its colour: a cube of six steps 0, 95, 135, 175, 215, 255 from 16 on,
// then greys 8 + 10 n from 232 on (common practice, from memory).
func TestContrast(t *testing.T) {
	s := Screen{Colour: true}
	written := s.dim("x")
	for _, tone := range []reports.Tone{reports.Good, reports.Careful, reports.Bad} {
		written += s.paint("x", tone, false) + s.paint("x", tone, true)
	}
	codes := regexp.MustCompile("\x1b\\[(1;)?38;5;(\\d+)m").FindAllStringSubmatch(written, -1)
	if len(codes) != 7 {
		t.Fatalf("%d colours in %q", len(codes), written)
	}
	for _, c := range codes {
		n, err := strconv.Atoi(c[2])
		if err != nil {
			t.Fatal(err)
		}
		l := luminance(n)
		if least := min(1.05/(l+0.05), (l+0.05)/0.05); least < 4.5 && (c[1] == "" || least < 3) {
			t.Errorf("colour %d has a contrast of %.3f", n, least)
		}
	}
}

// A report with a headline begins with it, in bold, and ends with what to type.
func TestHeadlineFirst(t *testing.T) {
	r := reports.Report{Name: "verdict", Title: "Verdict", Headline: []string{"S10-3 TEST FIRST: one hole in an offcut.", "It costs 1.00."},
		Cautions: []string{"Clamp the work."}, Notes: []string{"Assumed: hard maple."}, Next: []string{"bit test S10-3", "drill finch 6"}}
	r.Sections = append(r.Sections, reports.Section{Drawing: bar("[#### ]")})
	tab := reports.Table{Name: "lives", Title: "Lives", Columns: []reports.Column{{Key: "bit", Header: "bit"}}}
	tab.Add(reports.Text("S10-3"))
	r.Add(tab)
	want := `S10-3 TEST FIRST: one hole in an offcut.
It costs 1.00.
! Clamp the work.

[#### ]

Lives
bit
─────
S10-3

Assumed: hard maple.
Next: bit test S10-3   drill finch 6
`
	var b bytes.Buffer
	if err := (Screen{}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	b.Reset()
	if err := (Screen{Colour: true}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"\x1b[1mS10-3 TEST FIRST", "\x1b[38;5;243mAssumed", "\x1b[38;5;243mbit", "\x1b[38;5;243m─────\x1b[0m\n"} {
		if !strings.Contains(b.String(), s) {
			t.Errorf("no %q in %q", s, b.String())
		}
	}
}

// bar is a drawing that is its own plain form.
type bar string

func (b bar) Text(int) string { return string(b) }
