package page

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser opens a headless browser on a page of its own. Without one the test is
// skipped, in CI it fails.
func browser(t *testing.T, b *bench) (context.Context, string) {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("there is no browser to look at the page with")
		}
		t.Skip("no browser on this machine")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	b.server.Hosts = []string{l.Addr().String()}
	page := b.server.Handler()
	s := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if b.down.Load() {
			panic(http.ErrAbortHandler) // the connection ends without an answer
		}
		if r.Method == http.MethodPost && b.busy.Load() > 0 {
			b.busy.Add(-1)
			http.Error(w, "busy", http.StatusServiceUnavailable)
			return
		}
		if r.Method == http.MethodPost && b.slow.Load() {
			time.Sleep(time.Second)
		}
		page.ServeHTTP(w, r)
	}))
	s.Listener = l
	s.Start()
	t.Cleanup(s.Close)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox)
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {}))
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 6*time.Minute)
	t.Cleanup(cancel)
	run(t, ctx, chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := cdp.AddScriptToEvaluateOnNewDocument(`window.broken = []; document.addEventListener("securitypolicyviolation", e => window.broken.push(e.violatedDirective + " " + e.blockedURI)); addEventListener("error", e => window.broken.push("script: " + e.message));`).Do(ctx)
		return err
	}))
	return ctx, "http://" + l.Addr().String()
}

func run(t *testing.T, ctx context.Context, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

// enter pairs the browser.
func enter(t *testing.T, ctx context.Context, b *bench, base string, kind Kind) {
	t.Helper()
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	code, err := k.NewCode(kind, b.now)
	if err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Navigate(base+"/pair/"+code), chromedp.SetValue(`input[name=name]`, "browser"), chromedp.Click("button.main"), chromedp.WaitVisible(".tabs"))
}

// audit looks at a screen as a person with a large finger or weak eyes would. The
// sizes are those of WCAG 2.2, success criteria 1.4.3 (contrast), 1.4.10
// (reflow) and 2.5.8 (targets), with targets of 48 px where it asks for 24.
const audit = `(() => {
  const bad = [], shown = e => { const r = e.getBoundingClientRect(), s = getComputedStyle(e); return r.width > 0 && r.height > 0 && s.visibility !== "hidden" && s.opacity !== "0" && !e.closest(".hidden, details:not([open]) > :not(summary)"); };
  if (document.querySelectorAll("h1").length !== 1) bad.push(document.querySelectorAll("h1").length + " headings of the first order");
  if (document.documentElement.scrollWidth > innerWidth + 1) bad.push("scrolls sideways by " + (document.documentElement.scrollWidth - innerWidth));
  for (const e of document.querySelectorAll("a, button, input:not([type=hidden]), select, textarea, summary")) {
    const label = e.closest("label");
    if (!shown(e) && !(label && e.type === "radio" && shown(label))) continue;
    const name = (e.getAttribute("aria-label") || e.textContent || e.value || (label || e.labels && e.labels[0] || {}).textContent || "").trim();
    if (!name && !(e.labels && e.labels.length)) bad.push("no name: " + e.outerHTML.slice(0, 90));
    const r = (label && (e.type === "radio" || e.type === "checkbox") ? label : e).getBoundingClientRect();
    if (r.height < 48 || r.width < 47.5) bad.push("target " + Math.round(r.width) + "x" + Math.round(r.height) + ": " + (name || e.outerHTML).slice(0, 60));
  }
  const lum = c => { const v = c.map(x => { x /= 255; return x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4; }); return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]; };
  const rgb = s => { const m = (s.match(/[\d.]+/g) || []).map(Number); return m.length > 3 && m[3] === 0 ? null : m.slice(0, 3); };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !e || e.closest("noscript, script, style, option, svg") || !shown(e)) continue;
    const s = getComputedStyle(e);
    let back = null;
    for (let p = e; p && !back; p = p.parentElement) back = rgb(getComputedStyle(p).backgroundColor);
    const a = lum(rgb(s.color)), z = lum(back || [255, 255, 255]), ratio = (Math.max(a, z) + 0.05) / (Math.min(a, z) + 0.05);
    if (ratio < 4.5) bad.push("contrast " + ratio.toFixed(1) + ": " + walk.currentNode.textContent.trim().slice(0, 40));
    if (parseFloat(s.fontSize) < 15) bad.push("type " + s.fontSize + ": " + walk.currentNode.textContent.trim().slice(0, 40));
  }
  for (const e of document.querySelectorAll("svg text")) {
    const r = e.getBoundingClientRect();
    if (r.height && r.height < 11 && !e.closest(".head, .row")) bad.push("figure " + r.height.toFixed(1) + " px high: " + e.textContent);
  }
  return JSON.stringify([...new Set(bad), ...window.broken]);
})()`

// focusAudit puts the focus on each control in turn, as the Tab key does: their order
// is that of the page, none has an order of its own, and none that has the focus is
// under what is fixed at an edge (WCAG 2.2, success criterion 2.4.11).
const focusAudit = `(() => {
  const bad = [], fixed = [...document.querySelectorAll("nav.tabs, .bench .acts, .ends2")];
  for (const e of document.querySelectorAll("main a, main button, main input:not([type=hidden]), main select, main textarea, main summary")) {
    if (e.tabIndex > 0) bad.push("an order of its own: " + e.outerHTML.slice(0, 80));
    const r0 = e.getBoundingClientRect();
    if (!r0.width || !r0.height || e.disabled || e.type === "radio" || e.closest("details:not([open])")) continue;
    e.scrollIntoView({ block: "nearest" });
    e.focus();
    const r = e.getBoundingClientRect(), x = Math.min(innerWidth - 1, Math.max(0, r.x + r.width / 2)), y = Math.min(r.bottom - 2, r.y + r.height / 2);
    const over = fixed.find(f => !f.contains(e) && f.getBoundingClientRect().top <= y && f.getBoundingClientRect().bottom >= y && f.getBoundingClientRect().left <= x && f.getBoundingClientRect().right >= x);
    if (over) bad.push("under " + (over.className || over.tagName) + ": " + (e.getAttribute("aria-label") || e.textContent || e.name).trim().slice(0, 40));
  }
  return JSON.stringify([...new Set(bad)]);
})()`

var sizes = []struct{ w, h int64 }{{360, 740}, {820, 1180}, {1280, 800}, {320, 568}}

// TestScreensInABrowser looks at every screen at four sizes and in both themes,
// with this file's own audit and, where BOOKMATCH_AXE names its file, axe-core.
func TestScreensInABrowser(t *testing.T) {
	b := newBench(t)
	ctx, base := browser(t, b)
	axe := axeCore(t)
	enter(t, ctx, b, base, Desk)
	b.ask(workshop.Spent, &workshop.SpentAsk{Minutes: 12, Operation: "glue-face", Text: "ada", Finished: true, Started: workshop.Started{Anyway: "test"}})
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"bo"}, Started: workshop.Started{Anyway: "test"}})
	b.now = b.now.Add(18 * time.Minute)
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	b.solve("ada", "balanced")
	paths := []string{"/now", "/start", "/cures", "/necks", "/n/N1", "/bits", "/b/S10-1", "/more", "/note", "/shopping", "/week?evening=2026-12-08", "/do", "/do/neck/add", "/do/evening/show", "/quotes", "/quote/Q1", "/layout", "/layout/ada?string=2", "/layout/ada?string=2&y2=67.1", "/layout/ada?ask=freeze", "/devices", "/n/nobody"}
	for i, size := range sizes {
		for k, theme := range []string{"light", "dark"} {
			if os.Getenv("CI") == "" && (i != k || i > 1) {
				continue // a phone by day and a tablet by night on a machine at home
			}
			run(t, ctx, chromedp.EmulateViewport(size.w, size.h), emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}}))
			for _, path := range paths {
				where := fmt.Sprintf("%s at %dx%d, %s", path, size.w, size.h, theme)
				run(t, ctx, chromedp.Navigate(base+path), chromedp.WaitReady("main"))
				var found string
				run(t, ctx, chromedp.Evaluate(audit, &found))
				for _, bad := range list(t, found) {
					t.Errorf("%s: %s", where, bad)
				}
				if axe != "" && (i == 0 || os.Getenv("CI") != "" && size.h > 600) {
					run(t, ctx, chromedp.Evaluate(axe+";0", nil), chromedp.Evaluate(`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}).then(r => JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.map(n => n.html.slice(0, 90)).join(" | "))))`, &found, awaitPromise))
					for _, bad := range list(t, found) {
						t.Errorf("%s: axe-core %s", where, bad)
					}
				}
				if size.w == 360 {
					run(t, ctx, chromedp.Evaluate(focusAudit, &found))
					for _, bad := range list(t, found) {
						t.Errorf("%s: focus %s", where, bad)
					}
				}
				if path == "/now" && size.h > 600 {
					run(t, ctx, chromedp.Evaluate(`(() => { const r = document.querySelector(".acts .main").getBoundingClientRect(); return String(r.top >= 0 && r.bottom <= innerHeight); })()`, &found))
					if found != "true" {
						t.Errorf("%s: DONE is not wholly on the screen", where)
					}
				}
			}
		}
	}
}

func awaitPromise(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }

func list(t *testing.T, text string) (out []string) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	return out
}

// axeCore reads axe-core, an accessibility checker, from the file that
// BOOKMATCH_AXE names. In CI it has to be there.
func axeCore(t *testing.T) string {
	t.Helper()
	path := os.Getenv("BOOKMATCH_AXE")
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("BOOKMATCH_AXE does not name axe-core")
		}
		return ""
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// TestFreshMachineInABrowser sets a shop up and works an evening in it, all in
// the browser. The records equal those of the same words typed.
func TestFreshMachineInABrowser(t *testing.T) {
	b := newBench(t)
	fresh := filepath.Join(t.TempDir(), "fresh.db")
	b.server.Shop = fresh
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	typed := &bench{t: t, now: b.now, path: filepath.Join(t.TempDir(), "typed.db")}
	var at string
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady("main form"), chromedp.Location(&at))
	if !strings.HasSuffix(at, "/do/shop/setup") {
		t.Errorf("a fresh machine begins at %s", at)
	}
	fill := func(path string, values map[string]string, line string) {
		t.Helper()
		run(t, ctx, chromedp.Navigate(base+path), chromedp.WaitReady("form.fill"), chromedp.Evaluate(`document.querySelectorAll("details").forEach(d => d.open = true)`, nil))
		for name, v := range values {
			run(t, ctx, chromedp.SetValue(`[name="`+name+`"]`, v))
		}
		run(t, ctx, chromedp.Click("form.fill button.main"), chromedp.WaitReady(".report, .field.bad, div.wrong"))
		var wrong string
		run(t, ctx, chromedp.Evaluate(`[...document.querySelectorAll(".wrong")].map(x => x.textContent).join(" ")`, &wrong))
		if wrong != "" {
			t.Fatalf("%s: %s", path, wrong)
		}
		typeAll(t, typed, line)
	}
	fill("/do/shop/setup", map[string]string{"name": "Fresh bench", "currency": "EUR", "zone": "Europe/Berlin", "labour": "34.00", "backup-keep": "0", "evening": "tue 19:30-22:00\nthu 19:30-22:00"},
		`shop setup --name Fresh_bench --currency EUR --zone Europe/Berlin --labour 34.00 --backup-keep 0 --evening tue_19:30-22:00 --evening thu_19:30-22:00`)
	fill("/do/neck/add", map[string]string{"code": "N1", "nickname": "ada", "wood": "hard-maple"}, "neck add N1 --nickname ada --wood hard-maple")
	fill("/do/neck/add", map[string]string{"code": "N2", "nickname": "bo", "wood": "hard-maple", "quantity": "inlay=6"}, "neck add N2 --nickname bo --wood hard-maple --quantity inlay=6")
	fill("/do/supply/add", map[string]string{"name": "wood-glue", "unit": "ml"}, "supply add wood-glue --unit ml")
	fill("/do/supply/receive", map[string]string{"name": "wood-glue", "quantity": "500", "price": "11.80"}, "supply receive wood-glue 500 --price 11.80")
	fill("/do/bit/add", map[string]string{"code": "S10-1", "diameter": "10", "point": "brad", "keep": "show", "price": "14.00"}, "bit add S10-1 --diameter 10 --point brad --keep show --price 14.00")
	// A few answers make the spec, the spec makes the plan.
	run(t, ctx, chromedp.Navigate(base+"/layout/ada"), chromedp.WaitReady("form.fill"))
	for name, v := range map[string]string{"posts": "6+0", "nut-width": "42", "hole": "10mm", "first": "42", "pitch": "25", "width": "0=43mm\n22mm=78mm\n190mm=62mm"} {
		run(t, ctx, chromedp.SetValue(`[name="`+name+`"]`, v))
	}
	var spec string
	run(t, ctx, chromedp.Click("form.fill button.main"), chromedp.WaitReady("textarea[name=spec]"), chromedp.Value("textarea[name=spec]", &spec), chromedp.SetValue(`[name="mode"]`, "even-pitch"), chromedp.Click("form.fill button.main"), chromedp.WaitReady(".report"))
	file := filepath.Join(t.TempDir(), "spec.txt")
	if err := os.WriteFile(file, []byte(strings.TrimSpace(spec)+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	typeAll(t, typed, "layout solve ada --spec "+file+" --mode even-pitch")
	run(t, ctx, chromedp.Navigate(base+"/start"), chromedp.WaitReady(".line button"), chromedp.Click(".line button"), chromedp.WaitReady(".bench"))
	last := 1
	h := (&bench{t: t, now: b.now, path: fresh}).ask(workshop.DataHistory, &workshop.DataHistoryAsk{Last: &last}).(*workshop.HistoryResult)
	typeAll(t, typed, workshop.WordsOf(h.Changes[0].Verb, h.Changes[0].Ask))
	b.now = b.now.Add(21 * time.Minute)
	typed.now = b.now
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"), chromedp.Click(".acts .main"), chromedp.WaitNotPresent(".bench"))
	typeAll(t, typed, "done")
	fill("/do/quote/draft", map[string]string{"quote": "Q1", "quantity": "inlay=6", "wood": "hard-maple"}, "quote draft Q1 --quantity inlay=6 --wood hard-maple")
	a, z := recordsOf(t, fresh), recordsOf(t, typed.path)
	for kind := range a {
		if x, y := fmt.Sprint(a[kind]), fmt.Sprint(z[kind]); x != y {
			t.Errorf("the %s differ:\n%.3000s\n%.3000s", kind, x, y)
		}
	}
	cookies := 0
	run(t, ctx, chromedp.ActionFunc(func(ctx context.Context) error {
		all, err := network.GetCookies().Do(ctx)
		for _, c := range all {
			if c.Name == "bench" && c.HTTPOnly && c.SameSite == network.CookieSameSiteLax {
				cookies++
			}
		}
		return err
	}))
	if cookies != 1 {
		t.Errorf("%d cookies that no script reads, want 1", cookies)
	}
}

// later lets minutes pass for the workshop and for the device.
func later(t *testing.T, ctx context.Context, b *bench, minutes int) {
	t.Helper()
	b.now = b.now.Add(time.Duration(minutes) * time.Minute)
	run(t, ctx, chromedp.Evaluate(fmt.Sprintf(`(() => { const real = Date.now.bind(Date); Date.now = () => real() + %d; })()`, minutes*60_000), nil))
}

// A tap without an answer is kept with its time and sent when the page is back: the
// band says so within a second, the entry ends when it was tapped, once.
func TestLostConnectionInABrowser(t *testing.T) {
	b := newBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(16 * time.Minute)
	tapped := b.now
	n := b.journal()
	var band string
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"))
	b.down.Store(true)
	run(t, ctx, chromedp.Click(".acts .main"), chromedp.WaitVisible("#kept p"), chromedp.Text("#kept", &band))
	if !strings.Contains(band, "not sent yet: done") || !strings.Contains(band, b.now.Add(time.Hour).Format("15:04")) {
		t.Errorf("the band says %q", band)
	}
	if b.journal() != n {
		t.Error("something was written without a connection")
	}
	later(t, ctx, b, 15)
	b.down.Store(false)
	run(t, ctx, chromedp.WaitNotPresent(".bench"), chromedp.WaitNotVisible("#kept"))
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{}).(*workshop.EntryListResult)
	e := list.Entries[len(list.Entries)-1]
	if e.To == nil || e.To.Sub(tapped).Abs() > 10*time.Second || b.journal() != n+1 {
		t.Errorf("it ends at %v, tapped at %v; %d changes", e.To, tapped, b.journal()-n)
	}
}

// A kept DONE whose entry the terminal ended meanwhile is refused when it arrives. The
// red block stays until it is answered: one button sets the end to the tap.
func TestKeptTapThatWasEndedMeanwhile(t *testing.T) {
	b := newBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(16 * time.Minute)
	tapped := b.now
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"))
	b.down.Store(true)
	run(t, ctx, chromedp.Click(".acts .main"), chromedp.WaitVisible("#kept p"))
	later(t, ctx, b, 9)
	b.ask(workshop.Off, &workshop.OffAsk{})
	b.down.Store(false)
	var block string
	run(t, ctx, chromedp.WaitVisible("#kept .no button"), chromedp.Text("#kept .no", &block))
	for _, want := range []string{"NOT DONE", "log it now", "drop it", "set its end to " + tapped.Add(time.Hour).Format("15:04")} {
		if !strings.Contains(block, want) {
			t.Errorf("the red block has no %q:\n%s", want, block)
		}
	}
	n := b.journal()
	run(t, ctx, chromedp.Click("#kept .no button"), chromedp.WaitNotVisible("#kept"))
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{}).(*workshop.EntryListResult)
	e := list.Entries[len(list.Entries)-1]
	if e.To == nil || e.To.Sub(tapped).Abs() > 10*time.Second || b.journal() != n+1 {
		t.Errorf("it ends at %v, want %v; %d changes", e.To, tapped, b.journal()-n)
	}
}

// Where the clocks of device and workshop no longer differ by what they did at the
// tap, its time is asked about before anything is written.
func TestKeptTapOfADoubtfulClock(t *testing.T) {
	b := newBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(16 * time.Minute)
	tapped := b.now
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main"))
	b.down.Store(true)
	run(t, ctx, chromedp.Click(".acts .main"), chromedp.WaitVisible("#kept p"))
	b.now = b.now.Add(20 * time.Minute) // for the workshop alone
	n := b.journal()
	b.down.Store(false)
	var first string
	run(t, ctx, chromedp.WaitVisible("#kept .no button"), chromedp.Text("#kept .no button", &first))
	if b.journal() != n || first != "it was "+tapped.Add(time.Hour).Format("15:04") {
		t.Errorf("the first answer is %q; %d changes", first, b.journal()-n)
	}
	run(t, ctx, chromedp.Click("#kept .no button"), chromedp.WaitNotVisible("#kept"))
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{}).(*workshop.EntryListResult)
	if e := list.Entries[len(list.Entries)-1]; e.To == nil || e.To.Sub(tapped).Abs() > 10*time.Second {
		t.Errorf("it ends at %v, tapped at %v", e.To, tapped)
	}
}

// TestWithoutScript works an evening's forms with scripts switched off: start, stepper,
// DONE, take back, a note, a desk form, a quote and a layout calculated again. Clicks
// are of the mouse, at the place of the button.
func TestWithoutScript(t *testing.T) {
	b := newBench(t)
	b.solve("ada", "balanced")
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1"})
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"bo"}, Started: workshop.Started{Anyway: "test"}})
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	run(t, ctx, emulation.SetScriptExecutionDisabled(true), chromedp.EmulateViewport(820, 1180))
	at := func(want string) {
		t.Helper()
		var url string
		run(t, ctx, chromedp.Sleep(300*time.Millisecond), chromedp.Location(&url))
		if !strings.HasPrefix(strings.TrimPrefix(url, base), want) {
			t.Fatalf("the browser is at %s, want %s", url, want)
		}
	}
	n := b.journal()
	run(t, ctx, chromedp.Navigate(base+"/now"), chromedp.WaitReady(".count"), chromedp.Click(".count button:last-child", chromedp.ByQuery))
	at("/now?")
	run(t, ctx, chromedp.Click(".count button:first-child", chromedp.ByQuery), chromedp.Sleep(300*time.Millisecond), chromedp.Click(".count button:first-child", chromedp.ByQuery))
	at("/now?")
	run(t, ctx, chromedp.Click(".acts .main", chromedp.ByQuery))
	at("/now")
	e := b.ask(workshop.EntryList, &workshop.EntryListAsk{}).(*workshop.EntryListResult).Entries
	if last := e[len(e)-1]; b.journal() != n+1 || last.To == nil || last.Necks[0].Count != 5 {
		t.Fatalf("DONE without a script: %d changes, %+v", b.journal()-n, last)
	}
	run(t, ctx, chromedp.Click(`header form button`, chromedp.ByQuery))
	at("/now")
	run(t, ctx, chromedp.Navigate(base+"/note?neck=ada"), chromedp.WaitReady("#text"), chromedp.SendKeys("#text", "written without a script", chromedp.ByQuery), chromedp.Click("button.main", chromedp.ByQuery))
	at("/n/N1")
	run(t, ctx, chromedp.Navigate(base+"/do/neck/add"), chromedp.WaitReady("form.fill"), chromedp.SendKeys(`[name=code]`, "N9", chromedp.ByQuery), chromedp.SendKeys(`[name=wood]`, "hard-maple", chromedp.ByQuery), chromedp.Click("form.fill button.main", chromedp.ByQuery))
	at("/do/neck/add")
	run(t, ctx, chromedp.Navigate(base+"/quote/Q1"), chromedp.WaitReady("form"), chromedp.Click(`form[action="/quote/Q1"] .acts button`, chromedp.ByQuery))
	at("/quote/Q1?margin=")
	run(t, ctx, chromedp.Navigate(base+"/layout/ada?string=2"), chromedp.WaitReady(".rail"), chromedp.Click(`.rail button`, chromedp.ByQuery))
	at("/layout/ada?string=2&base=")
	if got := b.journal(); got != n+4 {
		t.Errorf("%d changes, want 4: done, taken back, noted, added", got-n)
	}
}
