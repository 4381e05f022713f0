package page

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// bowedHead is a head of our own whose bass edge bows: the modes differ on it.
const bowedHead = `strings = 6
shape = "own design"
[nut]
outer_span_mm = 35.5
gauges_in = [0.047, 0.037, 0.027, 0.018, 0.014, 0.011]
[posts]
diameter_mm = 6
first_mm = 42
pitch_mm = 25
bass = 6
[edge]
min_mm = 11
max_mm = 15
target_mm = 13
pitch_min_mm = 23
[outline]
path = "M -22 0 L -38.8 24 C -33 42 -20.5 80 -13 108 S 1 156 8 184 L 33 184 L 34 70 L 22 0 Z"
[tuner]
flange_mm = 13.5
[[tuner.bore]]
diameter_mm = 9.5
`

func (b *bench) solve(neck, mode string) *workshop.PlanResult {
	b.t.Helper()
	return b.ask(workshop.LayoutSolve, &workshop.LayoutSolveAsk{Neck: neck, Mode: mode, SpecAsk: workshop.SpecAsk{SpecFile: "bowed.toml", Spec: &workshop.Document{Name: "bowed.toml", Text: bowedHead}}}).(*workshop.PlanResult)
}

// A post that is pushed gets live figures and writes nothing. Frozen is only what is
// kept. Kept twice by one form it is kept once, as the same words typed.
func TestPushedPost(t *testing.T) {
	b := newBench(t)
	p := b.solve("ada", "balanced")
	d := b.pair(Desk, "desk")
	n := b.journal()
	r := d.get("/layout/ada/try?string=2&y=66.6&base=" + p.Code)
	for _, want := range []string{"66.6", "least pitch FAILS at string 3", "edge band FAILS at string 2", "keep as a new plan"} {
		if r.StatusCode != http.StatusOK || !strings.Contains(r.body, want) {
			t.Errorf("the try: %d without %q", r.StatusCode, want)
		}
	}
	if strings.Contains(r.body, "<html") || b.journal() != n {
		t.Errorf("a try is a part of the screen and writes nothing: %d after %d", b.journal(), n)
	}
	screen := d.get("/layout/ada?string=2&y2=64.2&base=" + p.Code).body
	freeze := formOf(t, d.get("/layout/ada?ask=freeze").body, "/layout/ada/freeze")
	freeze.Set("y2", "64.2")
	if r := d.post("/layout/ada/freeze", freeze); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT SAVED") || b.journal() != n {
		t.Errorf("freezing what is kept nowhere: %d", r.StatusCode)
	}
	keep := formOf(t, screen, "/layout/ada/keep")
	for range 2 {
		if r := d.post("/layout/ada/keep", keep); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/layout/ada" {
			t.Fatalf("kept: %d %s", r.StatusCode, r.body)
		}
	}
	if got := b.journal(); got != n+1 {
		t.Errorf("%d changes, want 1", got-n)
	}
	typed := &bench{t: t, now: b.now, path: filepath.Join(t.TempDir(), "typed.db")}
	if err := os.WriteFile(typed.path, furnishedFile, 0o600); err != nil {
		t.Fatal(err)
	}
	typed.solve("ada", "balanced")
	typeAll(t, typed, "layout move ada 2=64.2 --code "+p.Code)
	tapped, words := recordsOf(t, b.path), recordsOf(t, typed.path)
	for kind := range tapped {
		if a, z := fmt.Sprint(tapped[kind]), fmt.Sprint(words[kind]); a != z {
			t.Errorf("the %s differ:\n%.2000s\n%.2000s", kind, a, z)
		}
	}
	// The form of a plan that is no longer the newest is refused, with the newest named.
	outOfDate := formOf(t, screen, "/layout/ada/keep")
	outOfDate.Set("form", formOf(t, d.get("/layout/ada?string=2&y2=64.1").body, "/layout/ada/keep").Get("form"))
	if r := d.post("/layout/ada/keep", outOfDate); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, p.Code) {
		t.Errorf("a form out of date: %d", r.StatusCode)
	}
	freeze = formOf(t, d.get("/layout/ada?ask=freeze").body, "/layout/ada/freeze")
	if r := d.post("/layout/ada/freeze", freeze); r.StatusCode != http.StatusSeeOther {
		t.Errorf("freezing the kept plan: %d %s", r.StatusCode, r.body)
	}
	frozen := d.get("/layout/ada").body
	if strings.Contains(frozen, `type="range"`) || !strings.Contains(frozen, "frozen") || !strings.Contains(d.get("/layout/ada?successor=1").body, `type="range"`) {
		t.Error("a frozen plan has no handle, its successor has one")
	}
}

// The template comes as the PDF that the terminal writes, byte for byte but for its
// name; a bench device gets no layout and a neck without a plan its form.
func TestLayoutScreens(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	if r := d.get("/layout/bo"); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/do/layout/begin?neck=bo" {
		t.Errorf("no plan: %d %s", r.StatusCode, r.Header.Get("Location"))
	}
	b.solve("bo", "even-edge")
	if r := d.get("/layout/bo/template.pdf"); r.Header.Get("Content-Type") != "application/pdf" || !bytes.HasPrefix([]byte(r.body), []byte("%PDF-")) {
		t.Errorf("the template: %d %s", r.StatusCode, r.Header.Get("Content-Type"))
	}
	if r := b.pair(Bench, "tablet").get("/layout/bo"); r.StatusCode != http.StatusForbidden {
		t.Errorf("on a bench device: %d", r.StatusCode)
	}
	for path, code := range map[string]int{"/layout/bo?string=7": 404, "/layout/bo?string=x": 422, "/layout/bo?string=2&y2=-4": 422, "/layout/bo?string=2&y2=NaN": 422, "/layout/bo?mode=odd": 422, "/layout/bo?base=AAAAA": 409, "/layout/nobody": 404} {
		if r := d.get(path); r.StatusCode != code {
			t.Errorf("%s: %d, want %d", path, r.StatusCode, code)
		}
	}
	modes := d.get("/layout/bo?string=2").body
	if n := len(regexp.MustCompile(`class="button fails"`).FindAllString(modes, -1)); n != 2 || !strings.Contains(modes, "FAILS at string 2") {
		t.Errorf("%d modes fail on this head, want 2", n)
	}
}

// A finger drags the handle: figures and address follow, the button keeps the plan,
// and what is kept is what was shown.
func TestPostPushedByAFinger(t *testing.T) {
	b := newBench(t)
	b.solve("ada", "balanced")
	ctx, base := browser(t, b)
	enter(t, ctx, b, base, Desk)
	n := b.journal()
	var rail, before, after, shown, at string
	run(t, ctx, chromedp.EmulateViewport(820, 1180, chromedp.EmulateTouch), chromedp.Navigate(base+"/layout/ada?string=2"), chromedp.WaitReady(".slot input"),
		chromedp.Evaluate(`(r => [r.x + r.width / 2, r.y, r.height, document.querySelector(".slot input").value, document.querySelector(".slot input").min].join(" "))(document.querySelector(".slot input").getBoundingClientRect())`, &rail),
		chromedp.Text(".place", &before))
	var x, top, high, value, low float64
	fmt.Sscan(rail, &x, &top, &high, &value, &low)
	const half, perMM = 33.0, 52.0 // of the handle, and of a mm, in px
	y := top + half + (low+9-value)*perMM
	touch := func(kind input.TouchType, y float64) chromedp.Action {
		e := input.DispatchTouchEvent(kind, []*input.TouchPoint{{X: x, Y: y}})
		if kind == input.TouchEnd {
			e = input.DispatchTouchEvent(kind, []*input.TouchPoint{})
		}
		return e
	}
	run(t, ctx, touch(input.TouchStart, y), touch(input.TouchMove, y-20), touch(input.TouchMove, y-perMM), touch(input.TouchEnd, 0),
		chromedp.WaitReady(`form[action="/layout/ada/keep"]`), chromedp.Sleep(300*time.Millisecond), chromedp.Text(".place", &after), chromedp.Location(&at), chromedp.Value(".slot input", &shown))
	var to float64
	fmt.Sscan(shown, &to)
	if before == after || !strings.HasPrefix(after, fmt.Sprintf("%.1f mm", to)) || to < value+0.8 || to > value+1.2 {
		t.Errorf("a drag by 1 mm goes from %s (%.2f) to %s (%.2f)", before, value, after, to)
	}
	if !strings.Contains(at, "y2="+shown) || b.journal() != n {
		t.Errorf("the address is %s, %d changes", at, b.journal()-n)
	}
	run(t, ctx, chromedp.Click(`a[data-by="0.1"]`), chromedp.Sleep(300*time.Millisecond), chromedp.Value(".slot input", &shown), chromedp.Click(`form[action="/layout/ada/keep"] button`), chromedp.WaitNotPresent(`form[action="/layout/ada/keep"]`))
	p := b.ask(workshop.LayoutShow, &workshop.PlanAsk{Neck: "ada"}).(*workshop.PlanResult)
	if post, _ := p.PostOf(2); fmt.Sprint(post.YMM) != shown || p.Version != 2 {
		t.Errorf("kept at %v, version %d; the handle stood at %s", post.YMM, p.Version, shown)
	}
}

// twelveHead has twelve strings, the most there are, and sides that are curves.
const twelveHead = `strings = 12
shape = "own design"
[nut]
outer_span_mm = 44
[posts]
diameter_mm = 5
first_mm = 40
pitch_mm = 24
bass = 6
treble = 6
mirror = true
[edge]
min_mm = 10
max_mm = 18
target_mm = 13.5
pitch_min_mm = 20
[outline]
path = "M -24 0 C -30 12 -40 22 -41 36 S -40 70 -35 100 S -30 140 -22 180 C -14 190 14 190 22 180 C 30 140 30 130 35 100 S 42 50 41 36 S 30 12 24 0 Z"
`

// BenchmarkLayoutTry is the answer to a post that moves, in a browser's way, for six
// strings and for twelve, and what 99 of 100 take; the whole screen, with the modes, is
// next to it.
func BenchmarkLayoutTry(b *testing.B) {
	for name, c := range map[string][2]string{"6": {bowedHead, "/layout/ada/try?string=2&y2=64.2"}, "12": {twelveHead, "/layout/ada/try?string=4&y4=111.3"}, "12-screen": {twelveHead, "/layout/ada?string=4&y4=111.3"}} {
		b.Run(name, func(b *testing.B) {
			x := newBench(b)
			x.ask(workshop.LayoutSolve, &workshop.LayoutSolveAsk{Neck: "ada", Mode: "balanced", SpecAsk: workshop.SpecAsk{SpecFile: "head.toml", Spec: &workshop.Document{Name: "head.toml", Text: c[0]}}})
			d := x.pair(Desk, "desk")
			var took []time.Duration
			for b.Loop() {
				from := time.Now()
				if r := d.get(c[1]); r.StatusCode != http.StatusOK {
					b.Fatal(r.StatusCode, r.body)
				}
				took = append(took, time.Since(from))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "p99-ms")
			b.ReportMetric(50, "limit-ms")
		})
	}
}
