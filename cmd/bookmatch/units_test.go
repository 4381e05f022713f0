package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A shop in inches reads no millimetres but those of a file's keys and of the bars
// that a template is checked by; its records and its JSON are what they were.
func TestScreensInInches(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	asked := []string{"layout show finch", "layout check finch", "bit list", "bit show S10-4", "bit verdict", "bit verdict --neck finch", "neck show finch", "quote show Q5", "piece list", "tonight", "shopping", "now", "evening show EVENING"}
	before := map[string]string{}
	for _, c := range asked {
		before[c] = d.say(append(d.line(c), "--json")...)
	}
	d.say("shop", "set", "units", "in")
	mm := regexp.MustCompile(`\bmm\b|\d ?mm\b`)
	passing := regexp.MustCompile(`(?m)^\s*"(units|change)": .*\n`)
	inches := 0
	for _, c := range asked {
		for _, deep := range [][]string{nil, {"--why"}} {
			if deep != nil && (c == "now" || c == "shopping" || strings.HasPrefix(c, "piece") || strings.HasPrefix(c, "layout check")) {
				continue
			}
			text := d.say(append(d.line(c), deep...)...)
			for _, l := range strings.Split(text, "\n") {
				if mm.MatchString(l) && !strings.Contains(l, "_mm") && !strings.Contains(l, "100.0 mm") && !strings.Contains(l, "in mm") {
					t.Errorf("%s %v: %s", c, deep, l)
				}
			}
			inches += strings.Count(text, " in ") + strings.Count(text, "(in)")
		}
		if got := d.say(append(d.line(c), "--json")...); passing.ReplaceAllString(got, "") != passing.ReplaceAllString(before[c], "") {
			t.Errorf("%s --json is another", c)
		}
	}
	if inches < 20 {
		t.Errorf("only %d lengths in inches", inches)
	}
	sheet := filepath.Join(d.dir, "bits.csv")
	d.say("bit", "list", "--out", sheet)
	if raw, err := os.ReadFile(sheet); err != nil || strings.Contains(string(raw), "0.394") {
		t.Errorf("a list for other programs is in inches (%v)", err)
	}
}
