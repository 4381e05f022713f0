package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/google/go-cmp/cmp"
)

// keepsItsJSON says whether a value is the same after a way through JSON: into a
// new value of its type, and out again byte for byte.
func keepsItsJSON(t *testing.T, what string, value, fresh any) {
	t.Helper()
	first, err := json.Marshal(value)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	if err := json.Unmarshal(first, fresh); err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	second, err := json.Marshal(fresh)
	if err != nil || !bytes.Equal(first, second) {
		t.Errorf("%s (-first +second, %v):\n%s", what, err, cmp.Diff(lines(first), lines(second)))
	}
}

// lines is JSON, indented and broken into lines.
func lines(raw []byte) []string {
	var b bytes.Buffer
	if json.Indent(&b, raw, "", " ") != nil {
		return []string{string(raw)}
	}
	return strings.Split(b.String(), "\n")
}

// TestEveryAnswerKeepsItsJSON: what every verb asks and answers is the same after
// a way through JSON, so a page and a file hold all of it. Answers of the demo's
// shop, and of a small shop where every verb that writes is done.
func TestEveryAnswerKeepsItsJSON(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	d := newDemoShop(t)
	for _, c := range readers(t) {
		for _, line := range reading()[c.Path] {
			d.say(append(strings.Fields(c.Path), d.line(line)...)...)
			v := c.Verb
			if c.Bare != nil && line == "" {
				v = c.Bare.Verb
			}
			seen[v.Name] = true
			keepsItsJSON(t, c.Path+" "+line+": the result", d.res, v.NewResult())
			keepsItsJSON(t, c.Path+" "+line+": the ask", d.ask, v.NewAsk())
		}
	}
	for _, line := range []string{"paper care avocet", "paper labels S10-3 --labels 3x8 --label-size 63.5x33.9"} { // papers with a verb of their own
		d.say(append(strings.Fields(line), "--out", filepath.Join(d.dir, "p.pdf"), "--force")...)
		v := workshop.NeckCare
		if strings.Contains(line, "labels") {
			v = workshop.BitLabels
		}
		seen[v.Name] = true
		keepsItsJSON(t, line+": the result", d.res, v.NewResult())
		keepsItsJSON(t, line+": the ask", d.ask, v.NewAsk())
	}
	s := newSmallShop(t)
	for _, line := range append(writing(), "data backup", "data restore") {
		s.now = s.now.Add(2 * time.Minute)
		v, ask := s.bound(line)
		at := s.now
		workshop.AskedOf(ask).At = &at
		if v.Name == "evening enter" || strings.HasPrefix(v.Name, "data ") || strings.HasPrefix(line, "shop setup") {
			workshop.AskedOf(ask).At = nil
		}
		keepsItsJSON(t, line+": the ask", ask, v.NewAsk())
		res, err := workshop.At(s.file, func() time.Time { return s.now }).Do(v, ask)
		if err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		seen[v.Name] = true
		keepsItsJSON(t, line+": the result", res, v.NewResult())
	}
	for _, v := range workshop.Verbs() {
		keepsItsJSON(t, v.Name+": an empty ask", v.NewAsk(), v.NewAsk())
		keepsItsJSON(t, v.Name+": an empty result", v.NewResult(), v.NewResult())
		if !seen[v.Name] && v.Name != "data import" {
			t.Errorf("%s was not asked", v.Name)
		}
	}
}
