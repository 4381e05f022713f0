package main

import (
	"encoding/json"
	"regexp"
	"testing"

	"bookmatch/jobs/workshop"
)

// The second year of the demo types each word that a desk has in a year: a sale, a
// repair, a note, a tick on the shopping list, and a quote in inches.
func TestDemoSecondYear(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	d.say("data", "history", "--last", "0")
	want := map[string]*regexp.Regexp{
		"sale":     regexp.MustCompile(`^neck finish .*"price":"?\d`),
		"repair":   regexp.MustCompile(`^spent .*"operation":"repair".*"rework":"wood"`),
		"payer":    regexp.MustCompile(`^spent .*"payer":"shop"`),
		"note":     regexp.MustCompile(`^neck note .*fifth fret`),
		"ticked":   regexp.MustCompile(`^shopping order `),
		"inches":   regexp.MustCompile(`^quote draft .*"spec":\[[^]]*\d+/\d+ in\b`),
		"amended":  regexp.MustCompile(`^entry amend .*first evening`),
		"bit set":  regexp.MustCompile(`^bit set `),
		"its sale": regexp.MustCompile(`^quote accept `),
	}
	for _, c := range d.res.(*workshop.HistoryResult).Changes {
		raw, err := json.Marshal(c.Ask)
		if err != nil {
			t.Fatal(err)
		}
		if c.At.Before(storyBegin.AddDate(1, 0, 0)) {
			continue
		}
		for what, form := range want {
			if form.MatchString(c.Verb + " " + string(raw)) {
				delete(want, what)
			}
		}
	}
	for what := range want {
		t.Errorf("the demo types no %s", what)
	}
}
