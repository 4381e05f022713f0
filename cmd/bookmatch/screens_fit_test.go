package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/reports/plain"
)

// Every screen of the demo at 60, 80 and 120 columns: no line is wider than the
// terminal. From 80 on, tonight takes 8 lines, a verdict 6 and every other first screen
// 24, but for lists, routes, reports and settings, which take a line an item.
func TestScreensFit(t *testing.T) {
	t.Parallel()
	long := func(path, line string) bool {
		noun, verb, _ := strings.Cut(path, " ")
		return noun == "report" || verb == "list" || strings.HasPrefix(path, "route show") || path == "shop show" || path == "data history" || path == "layout begin" || path == "layout check" ||
			strings.Contains(line, "--") && !strings.HasPrefix(path, "tonight") && !strings.HasPrefix(path, "bit verdict") && path != "quote try" || path == "supply lot" || path == "bit show" || path == "quote review"
	}
	widths := []int{60, 80, 120}
	if os.Getenv("CI") == "" {
		widths = widths[:1] // all of them are for CI
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
				for _, l := range text {
					if w := plain.Width(l); w > columns && path != "layout begin" { // a file is shown as it is
						t.Errorf("%v at %d columns has a line of %d: %s", typed, columns, w, l)
					}
				}
				most := 24
				switch {
				case strings.Contains(line, "--why"):
					continue
				case path == "tonight":
					most = 8
				case path == "bit verdict" && strings.HasPrefix(line, "S"):
					most = 6
				case long(path, line):
					continue
				}
				if columns >= 80 && len(text) > most {
					t.Errorf("%s at %d columns takes %d lines, %d wanted:\n%s", fmt.Sprint(typed), columns, len(text), most, strings.Join(text, "\n"))
				}
			}
		}
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
