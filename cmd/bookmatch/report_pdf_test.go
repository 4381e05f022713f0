package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/reports"
	papers "bookmatch/reports/paper"
	"bookmatch/reports/reporttest"
)

// Every report of the demo becomes a PDF on both papers: qpdf takes it, poppler
// finds the text of every cell, no word is in the margins, and no page but the
// last is nearly empty.
func TestDemoReportsOnPaper(t *testing.T) {
	t.Parallel()
	dir, say := papersOf(t)
	sizes := []string{"a4"}
	if os.Getenv("CI") != "" {
		sizes = append(sizes, "letter")
	}
	for _, paper := range sizes {
		say("shop", "set", "paper", paper)
		for i, typed := range []string{"report evening 2026-11-03", "report evening --blank", "report neck swift", "report neck avocet", "report neck", "report bits", "report supplies",
			"report quote Q5", "report quote Q4 --customer", "report quote Q2 --bill", "report year 2026", "layout show finch", "tonight --until 22:00", "shopping", "quote list"} {
			if os.Getenv("CI") == "" && i%3 != 0 {
				continue // all of them are for CI
			}
			r := reportOf(t, filepath.Join(dir, "demo.db"), typed)
			if string(r.Paper) != paper {
				t.Errorf("%s: paper %q", typed, r.Paper)
			}
			var b bytes.Buffer
			_, warnings, err := papers.WriteReport(&b, r)
			if err != nil || len(warnings) > 0 {
				t.Errorf("%s: %v %v", typed, err, warnings)
				continue
			}
			t.Run(paper+" "+typed, func(t *testing.T) {
				pages := reporttest.Pages(t, b.Bytes())
				reporttest.CheckPages(t, pages)
				reporttest.CheckWords(t, pages, r)
			})
		}
	}
}

// reportOf is the report that a command would save.
func reportOf(t *testing.T, file, typed string) reports.Report {
	t.Helper()
	var got reports.Report
	var noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &noise, ErrOut: &noise, Now: func() time.Time { return demoNow }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return file
		}
		return ""
	}}
	keep := func(_ *words.Env, _, _ string, _ bool, r reports.Report) error { got = r; return nil }
	p := words.Program{Groups: groups, Commands: verbs(), Print: printReport, Save: keep, Sheet: sheet}
	if code := p.Run(context.Background(), append(strings.Fields(typed), "--out", "x.pdf"), e); code != words.ExitDone && code != words.ExitFound {
		t.Fatalf("%s: exit %d: %s", typed, code, noise.String())
	}
	return got
}
