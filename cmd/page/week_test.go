package page

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/paper"

	"github.com/google/go-cmp/cmp"
)

// daysOf gives the flags of each day of a week.
func daysOf(body string) map[string][]string {
	out := map[string][]string{}
	for _, row := range regexp.MustCompile(`(?s)<a class="row.*?</a>`).FindAllString(body, -1) {
		day := regexp.MustCompile(`<b>([^<]*)</b>`).FindStringSubmatch(row)[1]
		for _, f := range regexp.MustCompile(`class="flag">([^<]*)<`).FindAllStringSubmatch(row, -1) {
			out[day] = append(out[day], f[1])
		}
	}
	return out
}

// The week says what cures and until when on each day that a cure takes, which necks
// are due, and which deliveries are expected.
func TestWeekHasCuresAndDeliveries(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	due := "2026-12-11"
	b.ask(workshop.NeckSet, &workshop.NeckSetAsk{Neck: "bo", Due: &due})
	cure := 38 * 60.0
	b.ask(workshop.OperationSet, &workshop.OperationSetAsk{Operation: "glue-face", OperationFields: workshop.OperationFields{CureMin: &cure}})
	b.ask(workshop.On, &workshop.OnAsk{Operation: "glue-face", Necks: []string{"ada"}, Started: workshop.Started{Anyway: "test"}})
	b.now = b.now.Add(20 * time.Minute)
	b.ask(workshop.Done, &workshop.DoneAsk{})
	comes := jobs.Day("2026-12-12")
	b.ask(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "wood-glue", Unit: "ml"})
	b.ask(workshop.ShoppingOrder, &workshop.ShoppingOrderAsk{What: "wood-glue", Quantity: new("500"), Arrives: &comes})
	b.ask(workshop.PartAdd, &workshop.PartAddAsk{Neck: "bo", Name: "tuners", PartFacts: workshop.PartFacts{Ordered: new("2026-12-01"), Arrives: new("2026-12-10"), Price: new(money.MustParse("48.00"))}})
	body := d.get("/week").body
	want := map[string][]string{
		"Tue 8 Dec":  {"glue-face ada cures until Thu 10:00"},
		"Wed 9 Dec":  {"glue-face ada cures until Thu 10:00"},
		"Thu 10 Dec": {"glue-face ada cured 10:00", "delivery: tuners for bo"},
		"Fri 11 Dec": {"bo is due"},
		"Sat 12 Dec": {"delivery: wood-glue"},
	}
	if diff := cmp.Diff(want, daysOf(body)); diff != "" {
		t.Errorf("the flags (-want +got):\n%s", diff)
	}
	if strings.Contains(body, "EUR") || strings.Contains(body, "Thistlewood") {
		t.Error("the week shows a bench device money or a customer")
	}
}

// A cure is a thin line below the rule of its evening, with a mark where it ends.
func TestCureCrossesItsEvening(t *testing.T) {
	r := reports.EveningRule{Minutes: 360, Now: -1}
	strokes := func() int {
		svg, _, err := paper.Fragment(r, "an evening", "e")
		if err != nil {
			t.Fatal(err)
		}
		return strings.Count(svg, "line-black")
	}
	bare := strokes()
	r.Cures = []reports.EveningSpan{{From: 180, To: 900}, {From: -60, To: 120}}
	if got := strokes() - bare; got != 3 {
		t.Errorf("two cures of which one ends draw %d lines, want 3", got)
	}
}

// The words of an evening's plan leave each other room as large as a phone shows them,
// and the last one ends with the rule.
func TestWordsOfAnEveningHaveRoom(t *testing.T) {
	svg, _, err := paper.Fragment(reports.EveningRule{Minutes: 150, Now: -1, Planned: []reports.EveningSpan{
		{From: 20, To: 40, Word: "thickness-head"}, {From: 60, To: 120, Word: "profile-sand"}, {From: 130, To: 150, Word: "glue-back"}}}, "an evening", "e")
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for _, m := range regexp.MustCompile(`<text[^>]*>([^<]*)</text>`).FindAllStringSubmatch(svg, -1) {
		words = append(words, m[1])
	}
	if diff := cmp.Diff([]string{"thickness-head", "glue-back"}, words); diff != "" {
		t.Errorf("the words (-want +got):\n%s", diff)
	}
	if !regexp.MustCompile(`text-anchor="end"[^>]*>glue-back`).MatchString(svg) {
		t.Errorf("the last word does not end with the rule:\n%s", svg)
	}
}
