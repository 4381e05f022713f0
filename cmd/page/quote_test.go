package page

import (
	"strings"
	"testing"

	"bookmatch/jobs/workshop"

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
