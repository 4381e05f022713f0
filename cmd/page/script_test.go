package page

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// quick makes the waits of the page's script ten times shorter.
const quick = `(() => { const real = setTimeout; window.setTimeout = (f, ms, ...rest) => real(f, ms / 10, ...rest); })()`

// bandText gives what the band of kept taps says.
func bandText(t *testing.T, ctx context.Context) (text string) {
	t.Helper()
	run(t, ctx, chromedp.Evaluate(`document.getElementById("kept").textContent`, &text))
	return text
}

// eventually asks the browser until it says yes, for ten seconds.
func eventually(t *testing.T, ctx context.Context, what, js string) {
	t.Helper()
	var yes bool
	for range 100 {
		if run(t, ctx, chromedp.Evaluate(js, &yes)); yes {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("%s: never %s", what, js)
}

// A sleeve, a cloth or a hand that rests on the screen is no tap: a press counts from 40
// to 1500 ms, in its place, with one finger.
func TestWipedScreen(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	n := b.journal()
	var at string
	run(t, ctx, chromedp.EmulateViewport(820, 1180, chromedp.EmulateTouch), chromedp.Navigate(base+"/now"), chromedp.WaitReady(".acts .main", chromedp.ByQuery),
		chromedp.Evaluate(`(r => [r.x + r.width / 2, r.y + r.height / 2].join(" "))(document.querySelector(".acts .main").getBoundingClientRect())`, &at))
	var x, y float64
	fmt.Sscan(at, &x, &y)
	press := func(held time.Duration, move float64, fingers int) {
		t.Helper()
		points := []*input.TouchPoint{{X: x, Y: y, ID: 1}}
		if fingers > 1 {
			points = append(points, &input.TouchPoint{X: x - 60, Y: y, ID: 2})
		}
		run(t, ctx, input.DispatchTouchEvent(input.TouchStart, points))
		if move > 0 {
			run(t, ctx, input.DispatchTouchEvent(input.TouchMove, []*input.TouchPoint{{X: x + move, Y: y, ID: 1}}))
		}
		time.Sleep(held)
		run(t, ctx, input.DispatchTouchEvent(input.TouchEnd, []*input.TouchPoint{}), chromedp.Sleep(250*time.Millisecond))
	}
	for _, c := range []struct {
		name    string
		held    time.Duration
		move    float64
		fingers int
	}{{"held", 1700 * time.Millisecond, 0, 1}, {"moved", 120 * time.Millisecond, 40, 1}, {"two fingers", 120 * time.Millisecond, 0, 2}} {
		if press(c.held, c.move, c.fingers); b.journal() != n {
			t.Fatalf("%s: the wipe was a tap", c.name)
		}
	}
	time.Sleep(400 * time.Millisecond)
	press(120*time.Millisecond, 0, 1)
	run(t, ctx, chromedp.WaitNotPresent(".bench", chromedp.ByQuery))
	if b.journal() != n+1 {
		t.Errorf("%d changes after a tap", b.journal()-n)
	}
}

// What the script does while it waits: it says so, asks a busy file again, keeps taps in
// their order, warns about the clock, and follows changes without wiping what was set.
func TestScriptWhileItWaits(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Bench)
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"ada"}, Started: workshop.Started{Anyway: "test"}})
	open := func(path string) {
		t.Helper()
		run(t, ctx, chromedp.Navigate(base+path), chromedp.WaitReady("main", chromedp.ByQuery), chromedp.Evaluate(quick, nil))
	}

	// An answer that takes long: the button says that it is sending.
	open("/now")
	b.slow.Store(true)
	run(t, ctx, chromedp.Click(`.acts [formaction="/away"], form[action="/away"] button`, chromedp.ByQuery))
	eventually(t, ctx, "sending", `!!document.querySelector(".sending")`)
	eventually(t, ctx, "away", `!!document.querySelector('form[action="/back"]')`)
	b.slow.Store(false)

	// A busy file is asked three times more, under the same token.
	open("/now")
	n := b.journal()
	b.busy.Store(3)
	run(t, ctx, chromedp.Click(`form[action="/back"] button`, chromedp.ByQuery))
	eventually(t, ctx, "a busy file", `!document.querySelector('form[action="/back"]')`)
	if b.journal() != n+1 || b.busy.Load() != 0 {
		t.Errorf("%d changes after a busy file, %d answers left", b.journal()-n, b.busy.Load())
	}

	// Too many taps at once: this one is kept, and sent when the page takes taps again.
	open("/now")
	n = b.journal()
	stop := func(posts []time.Time) {
		b.server.mu.Lock()
		defer b.server.mu.Unlock()
		b.server.posts = map[string][]time.Time{"browser": posts}
	}
	stop(slices.Repeat([]time.Time{time.Now().Add(time.Minute)}, postsMost))
	run(t, ctx, chromedp.Click(`.acts [formaction="/away"]`, chromedp.ByQuery))
	eventually(t, ctx, "too many taps", `/not sent yet: away/.test(document.getElementById("kept").textContent)`)
	stop(nil)
	eventually(t, ctx, "taps again", `!!document.querySelector('form[action="/back"]') || document.getElementById("kept").hidden`)
	if b.journal() != n+1 {
		t.Errorf("%d changes of a tap that was too many", b.journal()-n)
	}
	open("/now")
	run(t, ctx, chromedp.Click(`form[action="/back"] button`, chromedp.ByQuery))
	eventually(t, ctx, "back", `!document.querySelector('form[action="/back"]')`)

	// An answer without a screen is said.
	open("/start")
	b.server.setHosts(nil)
	run(t, ctx, chromedp.Click("form.line button", chromedp.ByQuery))
	eventually(t, ctx, "another host", `/not a host of this page/.test(document.getElementById("kept").textContent)`)
	b.server.setHosts([]string{strings.TrimPrefix(base, "http://")})

	// Another device changes the shop: the count, the rim and the focus stay.
	open("/now")
	run(t, ctx, chromedp.Click(`button[data-step="-1"]`, chromedp.ByQuery), chromedp.Evaluate(`document.querySelector("[name=grade][value='1']").checked = true; document.querySelector("button[data-step='-1']").focus(); window.mark = document.querySelector("main"); 0`, nil))
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "bo", Text: "a dent"})
	eventually(t, ctx, "a swap", `document.querySelector("main") !== window.mark`)
	eventually(t, ctx, "what was set", `document.querySelector("input[name=count]").value === "5" && document.querySelector("[name=grade][value='1']").checked && document.activeElement.dataset.step === "-1"`)

	// What is being written is not wiped.
	open("/note?neck=ada")
	run(t, ctx, chromedp.SendKeys("#text", "half a word", chromedp.ByQuery))
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "bo", Text: "another dent"})
	run(t, ctx, chromedp.Sleep(1200*time.Millisecond))
	eventually(t, ctx, "a note", `document.querySelector("#text").value === "half a word"`)

	// A clock that differs by more than 90 s is named, with the direction.
	open("/now")
	run(t, ctx, chromedp.Evaluate(`(() => { const real = Date.now.bind(Date), off = Date.parse(document.body.dataset.clock) - real(); Date.now = () => real() + off; })()`, nil))
	eventually(t, ctx, "clocks that agree", `!document.getElementById("clockdiff")`)
	b.now = b.now.Add(4 * time.Minute)
	eventually(t, ctx, "a clock behind", `/4 min behind/.test((document.getElementById("clockdiff") || {}).textContent)`)
	b.now = b.now.Add(-4 * time.Minute)
	eventually(t, ctx, "the clock again", `!document.getElementById("clockdiff")`)

	// A lost connection is said with its time, until it is back.
	open("/cures")
	b.down.Store(true)
	eventually(t, ctx, "lost", `/No connection since \d\d:\d\d/.test((document.getElementById("lost") || {}).textContent)`)
	b.down.Store(false)
	eventually(t, ctx, "found", `!document.getElementById("lost")`)

	// Without a connection taps are kept in their order and sent in it.
	open("/now")
	n = b.journal()
	b.down.Store(true)
	run(t, ctx, chromedp.Click(`.acts [formaction="/away"], form[action="/away"] button`, chromedp.ByQuery))
	eventually(t, ctx, "kept", `!document.getElementById("kept").hidden`)
	run(t, ctx, chromedp.Click(".acts .main", chromedp.ByQuery))
	eventually(t, ctx, "kept twice", `document.querySelectorAll("#kept p").length === 2`)
	if text := bandText(t, ctx); strings.Index(text, "away") > strings.Index(text, "done") || !strings.Contains(text, "done") {
		t.Errorf("kept in another order: %s", text)
	}
	b.down.Store(false)
	eventually(t, ctx, "sent", `document.getElementById("kept").hidden`)
	if b.journal() != n+2 {
		t.Errorf("%d changes of two kept taps", b.journal()-n)
	}

	// A device that can keep nothing says so at once.
	open("/start")
	run(t, ctx, chromedp.Evaluate(`Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }; 0`, nil))
	b.down.Store(true)
	run(t, ctx, chromedp.Click("form.line button", chromedp.ByQuery))
	eventually(t, ctx, "full", `/can keep no tap/.test(document.getElementById("kept").textContent)`)
	b.down.Store(false)
}
