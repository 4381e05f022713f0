package page

import (
	"context"
	"fmt"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/chromedp/chromedp"
)

// scales are the sizes of type, in px, by the size of the screen: a phone, a tablet, a
// desk, and a tablet at 200 %, which is as wide as a phone.
var scales = []struct {
	name  string
	w, h  int64
	sizes []float64
}{
	{"phone", 360, 740, []float64{15, 17, 20, 26, 34, 96}},
	{"tablet", 820, 1180, []float64{15, 19, 23, 30, 42, 196}},
	{"desk", 1280, 800, []float64{15, 19, 23, 30, 42, 104}},
	{"zoomed", 410, 590, []float64{15, 17, 20, 26, 34, 96}},
}

// measure finds type that is of no size of the scale, controls under 48 px either way,
// and controls or words of a picture that overlap. What is fixed at an edge may cover
// what scrolls below it.
const measure = `(scale => {
  const bad = [], shown = e => { const r = e.getBoundingClientRect(), s = getComputedStyle(e); return r.width > 1 && r.height > 1 && s.visibility !== "hidden" && !e.closest("details:not([open]) > :not(summary)"); };
  const name = e => (e.getAttribute("aria-label") || e.textContent || e.name || e.tagName).trim().replace(/\s+/g, " ").slice(0, 40);
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || e.closest("noscript, script, option, svg, .no h1, pre") || !shown(e)) continue;
    const size = parseFloat(getComputedStyle(e).fontSize);
    if (!scale.some(x => Math.abs(x - size) < 0.6)) bad.push("type of " + size + " px: " + name(e));
  }
  const controls = [];
  for (const e of document.querySelectorAll("a, button, input:not([type=hidden]), select, textarea, summary")) {
    const box = e.type === "radio" || e.type === "checkbox" ? e.closest("label") : e;
    if (!shown(box)) continue;
    const r = box.getBoundingClientRect();
    if (r.width < 47.5 || r.height < 47.5) bad.push("target " + Math.round(r.width) + "x" + Math.round(r.height) + ": " + name(box));
    let layer = "page";
    for (let p = box; p; p = p.parentElement) if (/fixed|sticky/.test(getComputedStyle(p).position)) layer = p;
    if (!e.closest(".slot")) controls.push({ e: box, r, layer });
  }
  const cross = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
  controls.forEach((a, i) => controls.slice(i + 1).forEach(b => {
    if (a.layer === b.layer && !a.e.contains(b.e) && !b.e.contains(a.e) && cross(a.r, b.r)) bad.push(name(a.e) + " and " + name(b.e) + " overlap");
    if (a.layer !== b.layer && a.layer !== "page" && b.layer !== "page" && cross(a.r, b.r)) bad.push(name(a.e) + " covers " + name(b.e));
  }));
  const buttons = controls.filter(c => c.e.matches("button, a.button, a.small") && !c.e.closest(".line, .count, .tabs"));
  buttons.forEach((a, i) => buttons.slice(i + 1).forEach(b => {
    const dx = Math.max(a.r.left, b.r.left) - Math.min(a.r.right, b.r.right), dy = Math.max(a.r.top, b.r.top) - Math.min(a.r.bottom, b.r.bottom);
    if (a.layer === b.layer && Math.max(dx, dy) < 5.5) bad.push(name(a.e) + " and " + name(b.e) + " have " + Math.max(dx, dy).toFixed(0) + " px between them");
  }));
  for (const svg of document.querySelectorAll("svg")) {
    const words = [...svg.querySelectorAll("text")].filter(shown).map(e => ({ e, r: e.getBoundingClientRect() })), all = svg.getBoundingClientRect();
    words.forEach((a, i) => {
      if (a.r.right > all.right + 1.5 || a.r.left < all.left - 1.5) bad.push("a word is cut off: " + name(a.e));
      words.slice(i + 1).forEach(b => { if (Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left) > 1 && Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top) > 0.35 * a.r.height) bad.push("words overlap: " + name(a.e) + " and " + name(b.e)); });
    });
  }
  return JSON.stringify([...new Set(bad)]);
})`

// furnishedBench is a bench on which every screen has something on it.
func furnishedBench(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	toBuy(b)
	b.ask(workshop.Spent, &workshop.SpentAsk{Minutes: 12, Operation: "glue-face", Text: "ada", Finished: true, Started: workshop.Started{Anyway: "test"}})
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	b.solve("ada", "balanced")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"bo"}, Started: workshop.Started{Anyway: "test"}})
	b.now = b.now.Add(18 * time.Minute)
	return b
}

var screenPaths = []string{"/now", "/start?all=1", "/cures", "/necks", "/n/N1", "/n/N2", "/bits", "/b/S10-1", "/b/S10-1?away=1", "/more", "/note", "/shopping", "/week?evening=2026-12-08", "/do", "/do/bit/add", "/do/evening/show", "/quotes", "/quote/Q1", "/layout", "/layout/ada?string=2", "/layout/ada?string=2&y2=67.1", "/layout/ada?ask=freeze", "/devices", "/n/nobody"}

// Every text is of a size of the scale, every control at least 48 px both ways, and no
// two controls and no two words of a picture overlap.
func TestSizesInABrowser(t *testing.T) {
	t.Parallel()
	b := furnishedBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	for _, s := range scales {
		run(t, ctx, chromedp.EmulateViewport(s.w, s.h))
		for _, path := range screenPaths {
			var found string
			run(t, ctx, chromedp.Navigate(base+path), chromedp.WaitReady("main"), chromedp.Evaluate(`document.querySelectorAll("details").forEach(d => d.open = true)`, nil),
				chromedp.Evaluate(fmt.Sprintf("%s(%s)", measure, jsonOf(s.sizes)), &found))
			for _, bad := range list(t, found) {
				t.Errorf("%s, %s: %s", path, s.name, bad)
			}
		}
	}
}

func jsonOf(v []float64) string {
	out := "["
	for i, x := range v {
		if i > 0 {
			out += ","
		}
		out += fmt.Sprint(x)
	}
	return out + "]"
}

// box gives the place of an element.
func box(t *testing.T, ctx context.Context, selector string) (x, y, w, h float64) {
	t.Helper()
	var at []float64
	run(t, ctx, chromedp.Evaluate(fmt.Sprintf(`(r => [r.x, r.y, r.width, r.height])(document.querySelector(%q).getBoundingClientRect())`, selector), &at))
	return at[0], at[1], at[2], at[3]
}

// The buttons of the bench have the sizes that a knuckle hits: DONE, the lines of what
// can start, and the room between neighbours. Take back is far from DONE.
func TestBenchButtonsAreLarge(t *testing.T) {
	t.Parallel()
	b := furnishedBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	for i, want := range []struct{ doneW, doneH, lineH, least float64 }{{156, 80, 100, 68}, {376, 96, 180, 68}, {156, 70, 100, 68}} {
		s := scales[i]
		run(t, ctx, chromedp.EmulateViewport(s.w, s.h), chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"))
		x, y, w, h := box(t, ctx, ".acts .main")
		if w < want.doneW-0.5 || h < want.doneH-0.5 {
			t.Errorf("%s: DONE is %.0fx%.0f, want %.0fx%.0f", s.name, w, h, want.doneW, want.doneH)
		}
		if y+h > float64(s.h) {
			t.Errorf("%s: DONE ends at %.0f", s.name, y+h)
		}
		x2, _, _, h2 := box(t, ctx, `.acts [formaction="/off"]`)
		if gap := x2 - x - w; gap < 7.5 || gap > 10.5 || h2 < want.least {
			t.Errorf("%s: %.0f px from DONE to off, which is %.0f px high", s.name, gap, h2)
		}
		tx, ty, _, th := box(t, ctx, "header form button")
		if y-ty-th < float64(s.h)/3 || tx < float64(s.w)/2 {
			t.Errorf("%s: take back is at %.0f, %.0f and DONE at %.0f, %.0f", s.name, tx, ty, x, y)
		}
		run(t, ctx, chromedp.Navigate(base+"/start"), chromedp.WaitReady("form.line button"))
		if _, _, w, h := box(t, ctx, "form.line button"); h < want.lineH-0.5 || w < float64(s.w)-0.5 {
			t.Errorf("%s: a line of what can start is %.0fx%.0f", s.name, w, h)
		}
	}
}
