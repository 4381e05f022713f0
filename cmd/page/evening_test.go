package page

import (
	"fmt"
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"

	"github.com/google/go-cmp/cmp"
)

// An evening by taps: start, done twice with one form, a form out of date, take back.
func TestEveningByTaps(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	start := d.get("/start")
	if start.StatusCode != http.StatusOK || !strings.Contains(start.body, `action="/on"`) {
		t.Fatalf("start: %d", start.StatusCode)
	}
	form := formOf(t, start.body, "/on")
	if r := d.post("/on", form); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/now" {
		t.Fatalf("on: %d %s", r.StatusCode, r.body)
	}
	now := d.get("/now")
	if !strings.Contains(now.body, form.Get("operation")) || !strings.Contains(now.body, "DONE") {
		t.Errorf("now does not show %s", form.Get("operation"))
	}
	off := formOf(t, now.body, "/off")
	done := formOf(t, now.body, "/done")
	b.now = b.now.Add(20 * time.Minute)
	before := b.journal()
	for i := range 2 { // a double tap
		if r := d.post("/done", done); r.StatusCode != http.StatusSeeOther {
			t.Errorf("done, tap %d: %d %s", i+1, r.StatusCode, r.body)
		}
	}
	if got := b.journal(); got != before+1 {
		t.Errorf("two taps made %d changes, want 1", got-before)
	}
	// A form out of date: the entry it means has ended.
	r := d.post("/off", off)
	if r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT STOPPED") || !strings.Contains(r.body, "was ended at 20:00") {
		t.Errorf("an off out of date: %d %s", r.StatusCode, r.body)
	}
	if got := b.journal(); got != before+1 {
		t.Errorf("a refusal changed the shop")
	}
	// Take back, twice with one form: once.
	back := formOf(t, d.get("/now").body, "/oops")
	for range 2 {
		if r := d.post("/oops", back); r.StatusCode != http.StatusSeeOther {
			t.Errorf("take back: %d %s", r.StatusCode, r.body)
		}
	}
	if !strings.Contains(d.get("/now").body, form.Get("operation")) {
		t.Errorf("what was taken back does not run again")
	}
	// A change of somebody else is newer than the one on the screen.
	old := formOf(t, d.get("/now").body, "/oops")
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: "typed meanwhile"})
	if r := d.post("/oops", old); r.StatusCode != http.StatusConflict {
		t.Errorf("an older change was taken back: %d", r.StatusCode)
	}
}

// A start that is refused says what runs, and a reason goes on anyway.
func TestRefusedStart(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	b.ask(workshop.Spent, &workshop.SpentAsk{Minutes: 12, Operation: "glue-face", Text: "ada", Finished: true, Started: workshop.Started{Anyway: "test"}})
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"bo"}})
	b.now = b.now.Add(5 * time.Minute)
	form := formOf(t, d.get("/start").body, "/on")
	form.Set("operation", "thickness-head")
	form.Set("necks", "N1")
	r := d.post("/on", form)
	if r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT STARTED") || !strings.Contains(r.body, "Still running: <b>choose-veneer bo, 5 min</b>") {
		t.Fatalf("a start on a cure: %d %s", r.StatusCode, r.body)
	}
	again := formOf(t, r.body, "/on")
	again.Set("anyway", "I looked, it is ready")
	if r := d.post("/on", again); r.StatusCode != http.StatusSeeOther {
		t.Errorf("with a reason: %d %s", r.StatusCode, r.body)
	}
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{All: true}).(*workshop.EntryListResult)
	if e := list.Entries[len(list.Entries)-1]; e.Anyway != "I looked, it is ready" || e.Operation != "thickness-head" {
		t.Errorf("the reason is not kept: %+v", e)
	}
	if more := d.get("/more"); !strings.Contains(more.body, "NOT STARTED") {
		t.Errorf("the refusal is not listed")
	}
}

// A kept tap carries its own time.
func TestKeptTap(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	if r := d.post("/on", formOf(t, d.get("/start").body, "/on")); r.StatusCode != http.StatusSeeOther {
		t.Fatal(r.StatusCode)
	}
	done := formOf(t, d.get("/now").body, "/done")
	tapped := b.now.Add(16 * time.Minute)
	b.now = b.now.Add(31 * time.Minute)
	done.Set("at", tapped.Format(time.RFC3339))
	if r := d.post("/done", done); r.StatusCode != http.StatusSeeOther {
		t.Fatalf("%d %s", r.StatusCode, r.body)
	}
	list := b.ask(workshop.EntryList, &workshop.EntryListAsk{}).(*workshop.EntryListResult)
	e := list.Entries[len(list.Entries)-1]
	if e.To == nil || !e.To.Equal(tapped) {
		t.Errorf("it ends at %v, want %v", e.To, tapped)
	}
	done.Set("at", b.now.Add(time.Hour).Format(time.RFC3339))
	if r := d.post("/done", done); r.StatusCode != http.StatusConflict {
		t.Errorf("a tap from the future: %d", r.StatusCode)
	}
}

// A device says until when it works tonight, and the plan follows.
func TestUntilWhen(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	more := d.get("/more").body
	for until, want := range map[string]int{"20:15": http.StatusSeeOther, "late": http.StatusUnprocessableEntity} {
		form := formOf(t, more, "/until")
		form.Set("until", until)
		r := d.post("/until", form)
		if r.StatusCode != want {
			t.Fatalf("until %s: %d", until, r.StatusCode)
		}
		if want != http.StatusSeeOther {
			continue
		}
		if c := r.Cookies(); len(c) != 1 || c[0].Name != "until" || c[0].Value != until || !c[0].HttpOnly {
			t.Errorf("kept as %v", c)
		}
	}
	now := func(cookie string) string {
		r := d.request(http.MethodGet, "/now", nil)
		if cookie != "" {
			r.AddCookie(&http.Cookie{Name: "until", Value: cookie})
		}
		return d.send(r).body
	}
	if !strings.Contains(now(""), "22:00") || !strings.Contains(now("20:15"), "20:15") || strings.Contains(now("20:15"), "22:00") {
		t.Errorf("the evening does not end when this device says:\n%s", now("20:15"))
	}
	for _, c := range []string{"x", "25:00"} {
		if diff := cmp.Diff(hidden(now("")), hidden(now(c))); diff != "" {
			t.Errorf("%q is no time to come and changes the screen:\n%s", c, diff)
		}
	}
}

// After a tap the screen says what the change was, as the terminal does, warnings
// included; other devices see by whom.
func TestEchoOfATap(t *testing.T) {
	b := newBench(t)
	d, other := b.pair(Bench, "tablet"), b.pair(Desk, "desk")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"ada"}, Started: workshop.Started{Anyway: "a test head"}})
	b.now = b.now.Add(18 * time.Minute)
	form := formOf(t, d.get("/now").body, "/done")
	form.Set("count", "6")
	form.Set("grade", "3")
	if r := d.post("/done", form); r.StatusCode != http.StatusSeeOther {
		t.Fatalf("done: %d", r.StatusCode)
	}
	said := regexp.MustCompile(`(?s)class="said"[^>]*>(.*?)</p>`)
	for device, by := range map[*device]string{d: "", other: "(tablet)"} {
		text := html.UnescapeString(said.FindStringSubmatch(device.get("/now").body)[1])
		for _, want := range []string{"DONE drill ada, 6 holes, 18 min.", "S10-1 is DULL", by} {
			if !strings.Contains(text, want) {
				t.Errorf("said %q, without %q", text, want)
			}
		}
		if strings.Contains(text, "Type:") || by == "" && strings.Contains(text, "(tablet)") {
			t.Errorf("said %q", text)
		}
	}
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "bo", Text: "typed"})
	if text := said.FindStringSubmatch(d.get("/now").body)[1]; !strings.Contains(text, "(terminal)") {
		t.Errorf("a change of the terminal is said as %q", text)
	}
	if r := d.get("/n/adda"); r.StatusCode != http.StatusNotFound || !strings.Contains(r.body, "The nearest is ada") {
		t.Errorf("a name that is nearly right: %d", r.StatusCode)
	}
}

// Where no show bit is ready the start screen asks for a test hole first, by its rim, above
// the drilling. The answer leads back to the screen.
func TestTestHoleBeforeADrilling(t *testing.T) {
	b := newBench(t)
	b.solve("ada", "balanced")
	b.ask(workshop.LayoutFreeze, &workshop.LayoutFreezeAsk{Neck: "ada"})
	price := money.MustParse("14.00")
	b.ask(workshop.BitAdd, &workshop.BitAddAsk{Code: "S9-5", Diameter: "9.5", Point: "brad", Keep: "show", Price: &price})
	b.ask(workshop.NeckHold, &workshop.NeckHoldAsk{Neck: "bo", Why: "later"})
	show := b.ask(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "ada"}).(*workshop.NeckShowResult)
	for _, s := range show.Steps {
		if s.Operation != "drill" && s.DoneAt == nil {
			b.ask(workshop.NeckStepChange, &workshop.NeckStepAsk{Neck: "ada", Step: fmt.Sprint(s.Step), Skip: "trial"})
		}
	}
	d := b.pair(Bench, "tablet")
	start := d.get("/start").body
	if !strings.Contains(start, "test hole <b>S9-5</b>") || strings.Index(start, "test hole") > strings.Index(start, `value="drill"`) {
		t.Fatalf("no test hole above the drilling:\n%.3000s", start)
	}
	form := formOf(t, start, "/bit/S9-5/test")
	form.Set("grade", "0")
	n := b.journal()
	if r := d.post("/bit/S9-5/test", form); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/start" || b.journal() != n+1 {
		t.Errorf("a clean test hole: %d to %q, %d changes", r.StatusCode, r.Header.Get("Location"), b.journal()-n)
	}
}
