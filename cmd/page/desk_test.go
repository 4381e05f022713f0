package page

import (
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
)

// A shop in inches taps in inches.
func TestPageInInches(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	before := d.get("/bits").body
	b.ask(workshop.ShopSet, &workshop.ShopSetAsk{Key: "units", Value: "in"})
	after := d.get("/bits").body
	if !strings.Contains(before, "10mm") || strings.Contains(after, "10mm") || !strings.Contains(after, "0.394 in (25/64)") {
		t.Errorf("the bits in mm\n%.400s\nand in inches\n%.400s", before, after)
	}
}

// Papers and workbooks come to the desk as files of their own kind; without the word
// they need, their form comes.
func TestPapersComeToTheDesk(t *testing.T) {
	b := newBench(t)
	b.solve("ada", "balanced")
	d := b.pair(Desk, "desk")
	for path, want := range map[string]string{"/do/paper/drill?neck=ada": "%PDF-", "/do/evening/show?as=pdf": "%PDF-", "/do/evening/show?as=xlsx": "PK", "/do/paper/drill": "<!doctype html>", "/do/evening/show?form=1": "<!doctype html>", "/do/evening/show": "<!doctype html>"} {
		r := d.get(path)
		if r.StatusCode != http.StatusOK || !strings.HasPrefix(r.body, want) {
			t.Errorf("%s: %d %.20q, want %q", path, r.StatusCode, r.body, want)
		}
	}
	if r := d.get("/do/paper/drill?neck=nobody"); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(r.body, "nobody") {
		t.Errorf("a paper of nobody: %d", r.StatusCode)
	}
	if r := b.pair(Bench, "tablet").get("/do/paper/drill?neck=ada"); r.StatusCode != http.StatusForbidden {
		t.Errorf("a paper on a bench device: %d", r.StatusCode)
	}
	for _, c := range deskCommands() {
		if c.Draw = func(*words.Env, workshop.Ask, workshop.Result) error { return nil }; onDesk(c) != (c.Then != nil && !c.Bench) {
			t.Errorf("%s has a form although it writes a file", c.Path)
		}
	}
}

// From a few answers to a plan in the browser's way: the form of the spec leads to
// the form that solves it, with the spec in it.
func TestSpecBegunInABrowser(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	begin := d.get("/do/layout/begin?neck=bo").body
	if strings.Contains(begin, `name="out"`) || strings.Contains(begin, `name="outline"`) || !strings.Contains(begin, `value="bo"`) {
		t.Errorf("the form of a spec:\n%.2000s", begin)
	}
	short := d.get("/do/layout/begin?neck=bo&posts=3%2B3")
	if short.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(short.body, "ot said: width of the nut") {
		t.Errorf("a spec without its widths: %d", short.StatusCode)
	}
	solve := d.get("/do/layout/begin?neck=bo&posts=3%2B3&nut-width=42mm&hole=10mm&width=0%3D43mm%0A30%3D76mm%0A160%3D60mm")
	if solve.StatusCode != http.StatusOK || !strings.Contains(solve.body, `<option selected>balanced</option>`) {
		t.Fatalf("started: %d\n%.1500s", solve.StatusCode, solve.body)
	}
	form := formOf(t, solve.body, "/do/layout/solve")
	text := regexp.MustCompile(`(?s)<textarea name="spec"[^>]*>(.*?)</textarea>`).FindStringSubmatch(solve.body)
	if text == nil {
		t.Fatal("no spec in the form that solves it")
	}
	form.Set("neck", "bo")
	form.Set("spec", html.UnescapeString(text[1]))
	form.Set("mode", "even-pitch")
	if r := d.post("/do/layout/solve", form); r.StatusCode != http.StatusOK || !strings.Contains(r.body, "Plan ") {
		t.Fatalf("solved: %d\n%.1500s", r.StatusCode, r.body)
	}
	if r := d.get("/layout/bo"); r.StatusCode != http.StatusOK {
		t.Errorf("its layout: %d", r.StatusCode)
	}
}

// Forms offer what a field takes, and the names of the shop.
func TestFormsOfferNames(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	add := d.get("/do/bit/add").body
	for _, want := range []string{"<option>forstner</option>", "<option>carbide</option>"} {
		if !strings.Contains(add, want) {
			t.Errorf("the form of a bit without %s", want)
		}
	}
	if strings.Contains(add, `<option value="S10-1">`) {
		t.Error("a new bit is offered the name of an old one")
	}
	if paper := d.get("/do/paper/drill").body; !strings.Contains(paper, `<datalist id="near-neck"><option value="ada">`) {
		t.Error("the form of a drilling sheet names no neck")
	}
	if setup := d.get("/do/shop/setup").body; !strings.Contains(setup, "<option>letter</option>") || strings.Count(setup, "<textarea") != 1 {
		t.Errorf("the set-up has %d fields of several lines, want the evenings alone", strings.Count(setup, "<textarea"))
	}
}
