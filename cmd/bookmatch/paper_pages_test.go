package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/paper"
	"bookmatch/reports/reporttest"
)

// thirteen are the papers as they are typed for the demo; each is one page.
var thirteen = []string{"quote Q5", "change Q2", "invoice Q2", "card finch", "drill finch", "wall", "evening", "shopping", "labels", "care avocet", "year 2026", "bits", "cost avocet"}

// paged gives a paper of the shop as it would be written.
func (d *demoShop) paged(line string) reports.Report {
	d.t.Helper()
	d.say(append(append([]string{"paper"}, strings.Fields(line)...), "--out", filepath.Join(d.dir, "p.pdf"), "--force")...)
	return d.shown
}

// Each paper of the demo is one page on A4 and on Letter (bit life: one a class), with
// nothing in the margins or below 9 points, and looks as it did: testdata/papers holds
// small pictures of them, which UPDATE_GOLDEN=1 writes anew.
func TestThirteenPapers(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	sizes := []string{"a4", "letter"}
	if os.Getenv("CI") == "" {
		sizes = sizes[:1] // the other is for CI
	}
	for _, size := range sizes {
		d.say("shop", "set", "paper", size)
		for _, line := range append([]string{"quote Q4"}, thirteen...) { // one that is signed
			r := d.paged(line)
			measure := paper.NewPDF(paper.Info{})
			pages := reporttest.CheckLeaves(t, size+" "+line, r, measure, false)
			if want := map[string]int{"bits": 2}[line]; len(pages) != max(want, 1) {
				t.Errorf("%s on %s: %d pages", line, size, len(pages))
			}
			if size != "a4" || line == "quote Q4" {
				continue
			}
			l := r.Leaves(measure)[0]
			s := paper.NewPNG(36)
			s.Page(l.Width, l.Height)
			l.Draw(s)
			var b bytes.Buffer
			if _, err := s.WriteTo(&b); err != nil {
				t.Fatal(err)
			}
			samePicture(t, filepath.Join("..", "..", "testdata", "papers", strings.Fields(line)[0]+".png"), b.Bytes())
		}
	}
}

// The drilling sheet of a plan that is out of date forbids its use.
func TestOldPlanIsForbidden(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	d.paged("drill finch")
	plan := *d.res.(*workshop.PlanResult)
	plan.OutOfDate = "the face veneer is 0.9 mm now, it was 0.6 mm"
	words := strings.Join(reporttest.CheckLeaves(t, "old plan", reports.DrillSheet(&plan), paper.NewPDF(paper.Info{}), false), "\n")
	if !strings.Contains(words, "DO NOT USE") || !strings.Contains(words, "out of date: the face veneer") {
		t.Errorf("the sheet says %s", words)
	}
}

// samePicture compares a picture with the one that is kept: on the whole, and in each
// field of it, so that a lost line is seen.
func samePicture(t *testing.T, file string, drawn []byte) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(file, drawn, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	was, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	is, err := png.Decode(bytes.NewReader(drawn))
	if err != nil {
		t.Fatal(err)
	}
	if was.Bounds() != is.Bounds() {
		t.Errorf("%s: %v, was %v", file, is.Bounds(), was.Bounds())
		return
	}
	grey := func(m image.Image, x, y int) float64 {
		r, g, b, _ := m.At(x, y).RGBA()
		return (0.299*float64(r) + 0.587*float64(g) + 0.114*float64(b)) / 257
	}
	const field, most = 16, 12.0 // pixels; mean difference in levels of 255
	for y0 := 0; y0 < is.Bounds().Dy(); y0 += field {
		for x0 := 0; x0 < is.Bounds().Dx(); x0 += field {
			sum, n := 0.0, 0.0
			for y := y0; y < min(y0+field, is.Bounds().Dy()); y++ {
				for x := x0; x < min(x0+field, is.Bounds().Dx()); x++ {
					sum += math.Abs(grey(is, x, y) - grey(was, x, y))
					n++
				}
			}
			if sum/n > most {
				t.Errorf("%s differs from what is drawn at %d, %d by %.0f levels", file, x0, y0, sum/n)
				return
			}
		}
	}
}

// The papers of an empty shop and of one whose every text is hostile or endless: they
// are written, whatever is in them.
func TestPapersOfExtremes(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	type shop struct {
		file  string
		typed [][]string
	}
	hostile := filepath.Join(dir, "hostile.db")
	hostileShop(t, hostile)
	long := strings.TrimSpace(strings.Repeat("a very long word-with-hyphens ", 10))
	setup := []string{"shop", "setup", "--currency", "EUR", "--zone", "Europe/Berlin", "--labour", "30", "--tax", "19", "--name", "Corner bench"}
	shops := map[string]shop{
		"empty": {filepath.Join(dir, "empty.db"), [][]string{setup}},
		"long": {filepath.Join(dir, "long.db"), [][]string{setup, {"shop", "set", "address", long}, {"shop", "set", "contact", long}, {"shop", "set", "bank", long}, {"shop", "set", "care-1", long},
			{"neck", "add", "N1", "--nickname", "a-nickname-of-24-letters", "--title", strings.Repeat("eighty letters of a title ", 4)[:80], "--for", long[:80], "--wood", "hard-maple", "--quantity", "inlay=4", "--quantity", "coats=22"},
			{"quote", "draft", "Q1", "--title", long[:80], "--for", long[:80], "--quantity", "holes=6", "--quantity", "inlay=2", "--margin", "25", "--spec", long, "--spec", long, "--exclude", long, "--exclude", long, "--part", "tuners, " + long[:60] + "=84.00"},
			{"quote", "send", "Q1"}, {"quote", "accept", "Q1", "--deposit-on", "2026-11-24", "--neck", "N2", "--nickname", "ada"},
			{"quote", "change", "Q1", "--ask", long, "--quantity", "inlay=3"}}},
		"hostile": {hostile, [][]string{{"shop", "set", "address", evil}, {"shop", "set", "care-1", evil}, {"quote", "draft", "Q1", "--title", evil, "--for", evil, "--quantity", "holes=6", "--margin", "25", "--spec", evil}, {"quote", "send", "Q1"}, {"quote", "accept", "Q1", "--deposit-on", "2026-11-24", "--neck", "N7", "--nickname", "bo"}}},
	}
	lines := []string{"quote Q1", "change Q1", "invoice Q1", "card N1", "drill N1", "wall", "evening", "evening --blank", "shopping", "labels", "labels --labels 3x8 --label-size 63.5x33.9 --start 3", "care N1", "year", "year 2025", "bits", "cost N1"}
	for name, x := range shops {
		for _, size := range []string{"a4", "letter"} {
			if size == "letter" && os.Getenv("CI") == "" {
				continue
			}
			d := &demoShop{t: t, dir: t.TempDir(), file: x.file}
			for _, typed := range append(x.typed, []string{"shop", "set", "paper", size}) {
				if size == "a4" || typed[0] == "shop" && typed[1] == "set" && typed[2] == "paper" {
					d.say(typed...)
				}
			}
			wrote := 0
			for _, line := range lines {
				e, _, errOut := testEnv(map[string]string{"BOOKMATCH_NOW": "2026-11-24T20:00:00Z"})
				code := run(context.Background(), append([]string{"--file", x.file, "paper"}, append(strings.Fields(line), "--out", filepath.Join(d.dir, "p.pdf"), "--force")...), e)
				if code != 0 { // what is not there has no paper
					if !strings.Contains(errOut.String(), "Type: ") || code > 3 {
						t.Errorf("%s shop, %s: exit %d: %s", name, line, code, errOut)
					}
					continue
				}
				wrote++
				pages := reporttest.CheckLeaves(t, fmt.Sprintf("%s shop on %s, %s", name, size, line), d.paged(line), paper.NewPDF(paper.Info{}), strings.Contains(line, "--labels"))
				for _, p := range pages {
					if bad := unclean(p); bad != "" {
						t.Errorf("%s shop, %s writes %s", name, line, bad)
					}
				}
			}
			if least := map[string]int{"empty": 8, "long": 14, "hostile": 11}[name]; wrote < least {
				t.Errorf("%s shop: only %d papers", name, wrote)
			}
		}
	}
}
