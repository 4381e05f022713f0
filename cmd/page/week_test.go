package page

import (
	"net/http"
	"net/url"
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

// An entry of the week is amended where it is seen: what the form leaves alone
// stays, twice sent is one change, and what was amended meanwhile is not lost.
func TestEntriesOfTheWeek(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(25 * time.Minute)
	b.ask(workshop.Done, &workshop.DoneAsk{})
	path := "/week?evening=2026-12-08"
	shut := d.get("/week").body
	if strings.Contains(shut, `action="/entry/1"`) || !strings.Contains(shut, `href="`+path+`"`) {
		t.Fatalf("the week shows a log that nobody opened:\n%s", shut)
	}
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"bo"}})
	if body := d.get(path).body; !strings.Contains(body, "<b>since 20:05</b> choose-veneer bo") {
		t.Errorf("the log has no running entry:\n%s", body)
	}
	b.ask(workshop.Oops, &workshop.OopsAsk{})
	form := formOf(t, d.get(path).body, "/entry/1")
	set := func(form url.Values, to, note string) url.Values {
		form.Set("from", "19:40")
		form.Set("to", to)
		form.Set("count", "1")
		form.Set("note", note)
		form.Set("why", amendReasons[0])
		return form
	}
	before := b.journal()
	for range 2 {
		if r := d.post("/entry/1", set(form, "20:00", "dark stripe")); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != path {
			t.Fatalf("amended: %d %s", r.StatusCode, r.body)
		}
	}
	h := b.ask(workshop.DataHistory, &workshop.DataHistoryAsk{}).(*workshop.HistoryResult)
	if h.Changes[0].Seq != before+1 || h.Changes[0].By != "bench tablet" {
		t.Errorf("two sendings made %d changes by %q", h.Changes[0].Seq-before, h.Changes[0].By)
	}
	if asked := string(h.Changes[0].Ask); strings.Contains(asked, "from") || strings.Contains(asked, "count") {
		t.Errorf("what was left alone was asked for: %s", asked)
	}
	body := d.get(path).body
	if !strings.Contains(body, "19:40 to 20:00") || !strings.Contains(body, "20 min, dark stripe") {
		t.Errorf("the log after it:\n%s", body)
	}
	outOfDate := set(formOf(t, body, "/entry/1"), "20:02", "dark stripe")
	b.ask(workshop.EntryAmend, &workshop.EntryAmendAsk{ID: 1, To: "19:58", Reason: workshop.Reason{Why: "in the terminal"}})
	if r := d.post("/entry/1", outOfDate); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT CHANGED") {
		t.Errorf("amended over what nobody saw: %d %s", r.StatusCode, r.body)
	}
	for bad, want := range map[string]int{"/week?evening=yesterday": 404, "/week?evening=2026-2-3": 404, "/week?evening=2025-12-08": 200} {
		if r := d.get(bad); r.StatusCode != want {
			t.Errorf("%s: %d, want %d", bad, r.StatusCode, want)
		}
	}
}
