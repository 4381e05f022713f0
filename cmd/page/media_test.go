package page

import (
	"context"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/chromedp/cdproto/emulation"
	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// pictureContrast finds words and marks of pictures that are hard to see on their ground:
// words under 4.5, marks that carry something under 3 (WCAG 2.2, success criteria 1.4.3
// and 1.4.11).
const pictureContrast = `(() => {
  const bad = [], lum = c => { const v = c.map(x => { x /= 255; return x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4; }); return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]; };
  const rgb = s => { const m = (s.match(/[\d.]+/g) || []).map(Number); return m.length > 3 && m[3] === 0 ? null : m.slice(0, 3); };
  const ratio = (a, z) => (Math.max(lum(a), lum(z)) + 0.05) / (Math.min(lum(a), lum(z)) + 0.05);
  for (const e of document.querySelectorAll("svg text, svg .line-black, svg .line-grey, svg .fill-brown")) {
    let back = null;
    for (let p = e.closest("svg"); p && !back; p = p.parentElement) back = rgb(getComputedStyle(p).backgroundColor);
    const s = getComputedStyle(e), word = e.tagName === "text", c = rgb(word || e.matches(".fill-brown") ? s.fill : s.stroke);
    if (c && ratio(c, back || [255, 255, 255]) < (word ? 4.5 : 3)) bad.push((word ? e.textContent : e.getAttribute("class")) + " " + ratio(c, back || [255, 255, 255]).toFixed(1));
  }
  return JSON.stringify([...new Set(bad)]);
})()`

// prefer sets what a device prefers, such as forced-colors=active.
func prefer(t *testing.T, ctx context.Context, what ...string) {
	t.Helper()
	var features []*emulation.MediaFeature
	for _, w := range what {
		name, value, _ := strings.Cut(w, "=")
		features = append(features, &emulation.MediaFeature{Name: name, Value: value})
	}
	run(t, ctx, emulation.SetEmulatedMedia().WithFeatures(features))
}

func evaluated[T any](t *testing.T, ctx context.Context, js string) (out T) {
	t.Helper()
	run(t, ctx, chromedp.Evaluate(js, &out))
	return out
}

// With the colours of the device every picture stays legible on its ground, light and
// dark, whatever theme the device has of its own. A rim that is picked keeps its frame,
// and each button its edge.
func TestForcedColours(t *testing.T) {
	t.Parallel()
	b := furnishedBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	for _, scheme := range []string{"light", "dark"} {
		for _, theme := range []string{"", "day", "night"} {
			prefer(t, ctx, "prefers-color-scheme="+scheme, "forced-colors=active")
			for _, path := range []string{"/now", "/cures", "/n/N1", "/bits", "/week", "/quote/Q1"} {
				run(t, ctx, chromedp.Navigate(base+path), chromedp.WaitReady("main"), chromedp.Evaluate(`document.documentElement.dataset.theme = "`+theme+`"; 0`, nil))
				if !evaluated[bool](t, ctx, `matchMedia("(forced-colors: active)").matches`) {
					t.Fatal("the browser forces no colours")
				}
				for _, bad := range list(t, evaluated[string](t, ctx, pictureContrast)) {
					t.Errorf("%s, %s, theme %q: %s", path, scheme, theme, bad)
				}
			}
		}
	}
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".rims"), chromedp.Evaluate(`document.querySelector("[name=grade][value='1']").checked = true; 0`, nil))
	for what, js := range map[string]string{
		"the rim that is picked has a wider frame": `(x => x("label:has(input:checked)") > x("label:not(:has(input:checked))"))(q => parseFloat(getComputedStyle(document.querySelector(".rims " + q)).borderTopWidth))`,
		"DONE has an edge or a ground of its own":  `(s => s.borderTopColor !== s.backgroundColor || s.backgroundColor !== getComputedStyle(document.documentElement).backgroundColor)(getComputedStyle(document.querySelector(".acts .main")))`,
		"off has an edge":                          `(s => parseFloat(s.borderTopWidth) >= 2 && s.borderTopColor !== s.backgroundColor)(getComputedStyle(document.querySelector(".acts [formaction='/off']")))`,
		// The browser puts a plate behind words. It would hide the words of DONE, and those
		// above the minutes.
		"the words of DONE and the minutes have no plate": `[".acts .main", ".minutes"].every(q => getComputedStyle(document.querySelector(q)).forcedColorAdjust === "none")`,
		"the tab of this screen is marked":                `(x => x("[aria-current]") !== x("a:not([aria-current])"))(q => getComputedStyle(document.querySelector(".tabs " + q)).borderTopColor)`,
	} {
		if !evaluated[bool](t, ctx, js) {
			t.Errorf("not so: %s", what)
		}
	}
	run(t, ctx, chromedp.Navigate(base+"/start"), chromedp.WaitReady(".line button"))
	if !evaluated[bool](t, ctx, `(() => { const f = document.querySelector(".line"), edge = () => getComputedStyle(f.querySelector("button")).borderLeftColor, ready = edge(); f.classList.add("waits"); return ready !== edge() && ready !== getComputedStyle(document.documentElement).backgroundColor; })()`) {
		t.Error("what can start has no edge of its own")
	}
}

// A device that asks for more contrast gets soft words in ink and hair lines as strong
// as those of controls, by day and by night.
func TestMoreContrast(t *testing.T) {
	t.Parallel()
	b := furnishedBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	for _, scheme := range []string{"light", "dark"} {
		for _, theme := range []string{"", "day", "night"} {
			prefer(t, ctx, "prefers-color-scheme="+scheme, "prefers-contrast=more")
			run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady("main"), chromedp.Evaluate(`document.documentElement.dataset.theme = "`+theme+`"; 0`, nil))
			if !evaluated[bool](t, ctx, `matchMedia("(prefers-contrast: more)").matches`) {
				t.Fatal("the browser asks for no contrast")
			}
			for what, js := range map[string]string{
				"soft words are in ink":            `getComputedStyle(document.querySelector(".soft")).color === getComputedStyle(document.documentElement).color`,
				"hair lines are those of controls": `getComputedStyle(document.querySelector("section")).borderBottomColor === getComputedStyle(document.querySelector(".rims label")).borderTopColor`,
			} {
				if !evaluated[bool](t, ctx, js) {
					t.Errorf("%s, theme %q, not so: %s", scheme, theme, what)
				}
			}
		}
	}
}

// On paper the foot, the forms and the buttons drop out, the ink is dark whatever the
// theme, and the shopping list takes A5 (148 x 210 mm, ISO 216).
func TestPrintedScreens(t *testing.T) {
	t.Parallel()
	b := furnishedBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	for _, path := range []string{"/shopping", "/now", "/week", "/n/N1", "/quote/Q1"} {
		run(t, ctx, emulation.SetEmulatedMedia().WithMedia("print"), chromedp.Navigate(base+path), chromedp.WaitReady("main"), chromedp.Evaluate(`document.documentElement.dataset.theme = "night"; 0`, nil))
		left := evaluated[string](t, ctx, `JSON.stringify([...document.querySelectorAll("header, nav, form, button, a.button, #kept")].filter(e => e.getBoundingClientRect().height > 0).map(e => e.outerHTML.slice(0, 60)))`)
		for _, x := range list(t, left) {
			t.Errorf("%s prints %s", path, x)
		}
		if ink := evaluated[string](t, ctx, `getComputedStyle(document.querySelector("main")).color`); ink != "rgb(0, 0, 0)" {
			t.Errorf("%s prints in %s", path, ink)
		}
		for _, bad := range list(t, evaluated[string](t, ctx, pictureContrast)) {
			t.Errorf("%s prints %s", path, bad)
		}
	}
	var pdf []byte
	run(t, ctx, emulation.SetEmulatedMedia(), chromedp.Navigate(base+"/shopping"), chromedp.WaitReady("main"), chromedp.ActionFunc(func(ctx context.Context) (err error) {
		pdf, _, err = cdp.PrintToPDF().WithPreferCSSPageSize(true).Do(ctx)
		return err
	}))
	path := filepath.Join(t.TempDir(), "list.pdf")
	if err := os.WriteFile(path, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	info, err := exec.Command("pdfinfo", path).Output()
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip("no pdfinfo on this machine")
	}
	if s := string(info); !strings.Contains(s, "Pages:           1\n") || !strings.Contains(s, "(A5)") && !strings.Contains(s, "419.") && !strings.Contains(s, "420") {
		t.Errorf("the list is printed on\n%s", s)
	}
}

// autumn is 25 October 2026 in Berlin, where 02:00 to 03:00 comes twice (the rule of the
// IANA time zone database: the clock goes back at 01:00 UTC).
func autumn(hour, minute int) time.Time {
	return time.Date(2026, 10, 25, hour, minute, 0, 0, time.UTC)
}

func berlin(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// Work across the hour that comes twice: its minutes run on, its ends are in the hour
// they are in, and the week draws both.
func TestHourThatComesTwice(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	b.now = autumn(0, 10)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = autumn(1, 20)
	now := html.UnescapeString(d.get("/now").body)
	for _, want := range []string{"<b>70</b> min", `data-from="2026-10-25T02:10:00+02:00"`, `data-clock="2026-10-25T02:20:00+01:00"`} {
		if !strings.Contains(now, want) {
			t.Errorf("now has no %s", want)
		}
	}
	b.now = autumn(1, 30)
	if r := d.post("/done", formOf(t, now, "/done")); r.StatusCode != 303 {
		t.Fatalf("done: %d %s", r.StatusCode, r.body)
	}
	week := d.get("/week?evening=2026-10-24").body
	for _, want := range []string{"<b>02:10 to 02:30</b> choose-veneer ada", "80 min", "1 entry"} {
		if !strings.Contains(week, want) {
			t.Errorf("the week has no %s", want)
		}
	}
	var hours []string
	for _, h := range ruleOf(nil, autumn(-1, 0).In(berlin(t)), autumn(2, 30).In(berlin(t)), b.now).Hours {
		hours = append(hours, h.Text)
	}
	if got := strings.Join(hours, " "); got != "02:00 02:00 03:00" {
		t.Errorf("the hours of its rule are %s", got)
	}
	// The form as it is leaves both ends alone, though 02:30 has come twice.
	form := formOf(t, week, "/entry/1")
	for name, v := range map[string]string{"from": "02:10", "to": "02:30", "count": "1", "note": "a knot", "why": amendReasons[0]} {
		form.Set(name, v)
	}
	if r := d.post("/entry/1", form); r.StatusCode != 303 {
		t.Fatalf("amended: %d %s", r.StatusCode, r.body)
	}
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{All: true}).(*workshop.EntryListResult)
	if e := list.Entries[0]; !e.From.Equal(autumn(0, 10)) || !e.To.Equal(autumn(1, 30)) || e.Note != "a knot" {
		t.Errorf("the entry is %s to %s, %q", e.From, e.To, e.Note)
	}
}

// A page that was open when the clock went back names a kept tap by the hour it was in.
func TestKeptTapInTheSecondHour(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	b.now = autumn(0, 50)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"), chromedp.Evaluate(quick, nil), chromedp.Evaluate(`window.mark = document.querySelector("main"); 0`, nil))
	later(t, ctx, b, 20)
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "bo", Text: "a dent"})
	eventually(t, ctx, "a swap", `document.querySelector("main") !== window.mark`)
	b.down.Store(true)
	run(t, ctx, chromedp.Click(".acts .main"), chromedp.WaitVisible("#kept p"))
	if text := bandText(t, ctx); !strings.Contains(text, "02:10") {
		t.Errorf("the band says %q, want 02:10", text)
	}
	b.down.Store(false)
	eventually(t, ctx, "sent", `document.getElementById("kept").hidden`)
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{All: true}).(*workshop.EntryListResult)
	if e := list.Entries[0]; e.To == nil || e.To.Sub(autumn(1, 10)).Abs() > 10*time.Second {
		t.Errorf("it ends at %v, want 02:10 of the second hour", e.To)
	}
}
