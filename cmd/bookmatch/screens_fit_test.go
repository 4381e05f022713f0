package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// Every screen of the demo at 60, 80 and 120 columns: no line is wider than the
// terminal, tonight takes 8 lines and a verdict 6, and no more than three notes follow.
// From 80 columns on every other first screen takes 24, but for what has a line an item:
// lists, routes, reports, settings, a spec, the uses of a lot.
func TestScreensFit(t *testing.T) {
	t.Parallel()
	long := func(path, line string) bool {
		noun, verb, _ := strings.Cut(path, " ")
		items := map[string]bool{"route show": true, "shop show": true, "data history": true, "layout begin": true, "supply lot": true}
		return noun == "report" || verb == "list" || items[path] || strings.Contains(line, "--all")
	}
	widths := []int{60, 80, 120}
	if os.Getenv("CI") == "" {
		widths = widths[:2] // all of them are for CI
	}
	for _, columns := range widths {
		d := newDemoShop(t)
		d.columns = columns
		for path, lines := range reading() {
			for _, line := range lines {
				if strings.Contains(line, "--out") {
					continue
				}
				typed := append(strings.Fields(path), d.line(line)...)
				text := strings.Split(strings.TrimRight(d.say(typed...), "\n"), "\n")
				for i, l := range text {
					if w := plain.Width(l); w > columns && path != "layout begin" { // a file is shown as it is
						t.Errorf("%v at %d columns has a line of %d: %s", typed, columns, w, l)
					}
					if i > 0 && parted.MatchString(text[i-1]+"\n"+l) {
						t.Errorf("%v at %d columns parts a number from its unit: %s / %s", typed, columns, text[i-1], l)
					}
				}
				if strings.Contains(line, "--why") {
					continue
				}
				if model.MatchString(text[0]) {
					t.Errorf("%v begins with a word of the models: %s", typed, text[0])
				}
				if n := notes(d.shown); n > 3 && !strings.HasPrefix(path, "report ") {
					t.Errorf("%v at %d columns has %d notes", typed, columns, n)
				}
				most := 24
				switch {
				case path == "tonight":
					most = 8
				case path == "bit verdict" && strings.HasPrefix(line, "S"):
					most = 6
				case long(path, line) || columns < 80:
					continue
				}
				if len(text) > most {
					t.Errorf("%s at %d columns takes %d lines, %d wanted:\n%s", fmt.Sprint(typed), columns, len(text), most, strings.Join(text, "\n"))
				}
			}
		}
	}
}

// parted is a line of running text that ends in a number and goes on with its unit.
var parted = regexp.MustCompile(`[a-z] [\d.]+\n *(%|mm|ml|min|h)([ .,;:)]|$)`)

// model is what no first line has.
var model = regexp.MustCompile(`P50|P80|P90|Weibull|\bshape\b|log scale|median`)

func notes(r reports.Report) int {
	n := len(r.Notes)
	for _, s := range r.Sections {
		if n += len(s.Notes); s.Table != nil {
			n += len(s.Table.Notes)
		}
	}
	return n
}

// What a command says of a change fits the terminal too. A bench word says what happened
// in three lines of 80 columns, besides its notes and cautions; each caution takes two.
func TestEchoesFit(t *testing.T) {
	t.Parallel()
	bench := map[string]bool{}
	for _, c := range words.Bench() {
		bench[c.Path] = true
	}
	for _, columns := range []int{60, 80} {
		s := newSmallShop(t)
		for _, line := range writing() {
			s.now = s.now.Add(2 * time.Minute)
			var out, noise bytes.Buffer
			e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &noise, Columns: columns, Now: func() time.Time { return s.now }, Getenv: func(k string) string {
				return map[string]string{"NO_COLOR": "1"}[k]
			}}
			typed := split(strings.ReplaceAll(line, "DIR", s.dir))
			if code := run(t.Context(), append([]string{"--file", s.file}, typed...), e); code != 0 {
				t.Fatalf("%s: exit %d: %s", line, code, noise.String())
			}
			said, caution := 0, 0
			asked := strings.ReplaceAll(noise.String(), "(Enter for none): ", "(Enter for none):\n") // a terminal shows the Enter
			for l := range strings.Lines(out.String() + asked) {
				l = strings.TrimRight(l, "\n")
				// A line to type stays whole, so that it can be copied.
				if w := plain.Width(l); w > columns && !strings.HasPrefix(l, "  Type: ") {
					t.Errorf("%s at %d columns has a line of %d: %s", line, columns, w, l)
				}
				if !strings.HasPrefix(l, "!") {
					caution = 0
				} else if caution++; strings.HasSuffix(l, ".") && caution > 2 {
					t.Errorf("%s at %d columns has a caution of %d lines, to %s", line, columns, caution, l)
				} else if strings.HasSuffix(l, ".") {
					caution = 0
				}
			}
			for l := range strings.Lines(out.String()) {
				if !strings.HasPrefix(l, "!") {
					said++
				}
			}
			most := 24
			if bench[typed[0]] {
				most = 3
			}
			if columns >= 80 && said > most {
				t.Errorf("%s at %d columns says %d lines:\n%s", line, columns, said, out.String())
			}
		}
	}
}

// The minutes of the necks add up to those of the evening on every evening of the demo.
func TestEveningsAddUp(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	span := regexp.MustCompile(`(?:(\d+) h)?(?: ?(\d+) min)?`)
	minutes := func(text string) (n int) {
		for _, m := range span.FindAllStringSubmatch(text, -1) {
			h, _ := strconv.Atoi(m[1])
			min, _ := strconv.Atoi(m[2])
			n += 60*h + min
		}
		return n
	}
	seen := 0
	for day := demoNow.AddDate(-1, 0, 0); day.Before(demoNow); day = day.AddDate(0, 0, 1) {
		if w := day.Weekday(); w != time.Tuesday && w != time.Thursday {
			continue
		}
		head := strings.SplitN(d.say("evening", "show", day.Format(time.DateOnly)), "\n", 3)
		if strings.HasPrefix(head[0], "Nothing") {
			continue
		}
		if seen++; minutes(head[0]) != minutes(head[1]) {
			t.Errorf("%s but %s", head[0], head[1])
		}
	}
	if seen < 50 {
		t.Errorf("%d evenings only", seen)
	}
}

// What the help offers to save is saved: a drawing where a report has one, and no
// other command offers it.
func TestDrawingsAreOffered(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	for _, c := range verbs() {
		if !c.Out || c.Paper {
			continue
		}
		lines := reading()[c.Path]
		if len(lines) == 0 {
			t.Errorf("%s is read nowhere", c.Path)
			continue
		}
		line, _, _ := strings.Cut(lines[0], " --")
		out := filepath.Join(d.dir, strings.ReplaceAll(c.Path, " ", "-")+".svg")
		var noise bytes.Buffer
		e := &words.Env{In: strings.NewReader(""), Out: &noise, ErrOut: &noise, Now: func() time.Time { return demoNow }, Getenv: func(k string) string {
			return map[string]string{"BOOKMATCH_FILE": d.file, "NO_COLOR": "1"}[k]
		}}
		code := run(t.Context(), slices.Concat(strings.Fields(c.Path), d.line(line), []string{"--out", out}), e)
		if (code == 0) != c.Picture {
			t.Errorf("%s %s --out F.svg: exit %d, offered: %v\n%s", c.Path, line, code, c.Picture, noise.String())
		}
	}
}
