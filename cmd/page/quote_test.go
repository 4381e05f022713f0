package page

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/chromedp/chromedp"
)

// A quote shows its curve with the hour at which the price is used up, and the price as it
// is kept next to the moved one. On a phone the price stays in view.
func TestQuoteKeepsItsPriceInView(t *testing.T) {
	b := newBench(t)
	b.ask(workshop.ShopSet, &workshop.ShopSetAsk{Key: "labour", Value: "34.00"})
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	d := b.pair(Desk, "desk")
	kept := d.get("/quote/Q1").body
	if !strings.Contains(kept, "Kept at EUR") || !strings.Contains(kept, "price used up") {
		t.Errorf("no kept price or no curve:\n%.2000s", kept)
	}
	price := func(body, before string) string {
		_, after, _ := strings.Cut(body, before)
		word, _, _ := strings.Cut(after, "<")
		return word
	}
	moved := d.get("/quote/Q1?margin=40").body
	if was, is := price(moved, "Kept at "), price(moved, `class="price">`); was == is || was != price(kept, `class="price">`) {
		t.Errorf("kept at %q, moved to %q", was, is)
	}
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	var top, bottom, wide float64
	run(t, ctx, chromedp.EmulateViewport(360, 740), chromedp.Navigate(base+"/quote/Q1"), chromedp.WaitReady(".price", chromedp.ByQuery),
		chromedp.Evaluate(`scrollTo(0, document.body.scrollHeight); 0`, nil),
		chromedp.Evaluate(`document.querySelector(".price").getBoundingClientRect().top`, &top), chromedp.Evaluate(`document.querySelector(".price").getBoundingClientRect().bottom`, &bottom), chromedp.Evaluate(`document.documentElement.scrollWidth`, &wide))
	if wide > 360 {
		t.Errorf("the screen scrolls sideways, to %.0f px", wide)
	}
	if top < 0 || bottom > 120 {
		t.Errorf("at the foot of the screen the price is at %.0f to %.0f px", top, bottom)
	}
}

// A bench device gets no amount of a quote and the way to pair as desk. A desk sees
// what the same wishes give in the terminal.
func TestQuoteOnThePage(t *testing.T) {
	b := newBench(t)
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	n := b.journal()
	if r := b.pair(Bench, "tablet").get("/quote/Q1"); r.StatusCode != http.StatusForbidden || !strings.Contains(r.body, "pair --as desk") || regexp.MustCompile(`\d\.\d\d`).MatchString(r.body) {
		t.Errorf("a quote on a bench device: %d %s", r.StatusCode, r.body)
	}
	ask := &workshop.QuoteTryAsk{Quote: "Q1"}
	if err := words.Bind(words.Command{Path: "quote try", Verb: workshop.QuoteTry}, ask, words.Given{Words: []string{"Q1"}, Flags: map[string][]string{"margin": {"25"}}}); err != nil {
		t.Fatal(err)
	}
	want := b.ask(workshop.QuoteTry, ask).(*workshop.QuoteResult)
	body := b.pair(Desk, "desk").get("/quote/Q1?margin=25").body
	for _, x := range []string{reports.Price(want.Currency, want.Price.Gross), reports.Fixed(want.Currency, want.Price.Net), reports.Fixed(want.Currency, want.Price.Tax), reports.Fixed(want.Currency, want.Price.Deposit)} {
		if !strings.Contains(body, x) {
			t.Errorf("the quote on the page has no %s", x)
		}
	}
	if b.journal() != n {
		t.Error("a try changed the shop")
	}
}

// A draft is kept as its sliders were moved; one that was changed elsewhere meanwhile is
// not saved over, and its price now is said.
func TestQuoteIsKeptAsItWasMoved(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	margin := func() string {
		return b.ask(workshop.QuoteShow, &workshop.QuoteShowAsk{Quote: "Q1"}).(*workshop.QuoteResult).Price.MarginPercent.String()
	}
	post := func(token url.Values, percent, seen string) answer {
		token.Set("margin", percent)
		token.Set("seen", seen)
		token.Set("q-inlay", "4")
		return d.post("/quote/Q1", token)
	}
	screen := d.get("/quote/Q1?margin=31").body
	seen := regexp.MustCompile(`name="seen" value="(\d+)"`).FindStringSubmatch(screen)
	if seen == nil {
		t.Fatal("the sliders do not say what was seen")
	}
	if r := post(formOf(t, screen, "/quote/Q1"), "31", seen[1]); r.StatusCode != http.StatusSeeOther || margin() != "31" {
		t.Errorf("kept: %d, margin %s", r.StatusCode, margin())
	}
	if r := post(formOf(t, d.get("/quote/Q1").body, "/quote/Q1"), "20", seen[1]); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT SAVED") || !strings.Contains(r.body, "with tax now") || margin() != "31" {
		t.Errorf("over another change: %d, margin %s\n%.1500s", r.StatusCode, margin(), r.body)
	}
}
