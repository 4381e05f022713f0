package page

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/google/go-cmp/cmp"
)

// bench is a page over an invented shop with two necks, and a clock of its own.
type bench struct {
	t      testing.TB
	now    time.Time
	path   string
	server *Server
	http   *httptest.Server
	down   atomic.Bool  // the browser's way to the page is cut
	busy   atomic.Int32 // so many posts are answered as when the file is busy
	slow   atomic.Bool  // a post takes a second
}

const testHost = "bench.test:4747"

func newBench(t testing.TB) *bench {
	t.Helper()
	b := &bench{t: t, now: time.Date(2026, 12, 8, 18, 40, 0, 0, time.UTC)}
	dir := t.TempDir()
	b.path = filepath.Join(dir, "shop.db")
	b.server = &Server{Shop: b.path, KeyFile: filepath.Join(dir, "state", "page.json"), Hosts: []string{testHost}, Now: func() time.Time { return b.now }, Commands: deskCommands(), Groups: []words.Group{{Name: "neck", Help: "the necks"}, {Name: "shop", Help: "the shop"}}}
	b.http = httptest.NewServer(b.server.Handler())
	t.Cleanup(b.http.Close)
	furnished.Do(func() { furnish(b) })
	if err := os.WriteFile(b.path, furnishedFile, 0o600); err != nil {
		t.Fatal(err)
	}
	return b
}

// furnished is a shop with two necks and a bit, made once and copied for each bench.
var (
	furnished     sync.Once
	furnishedFile []byte
)

func furnish(b *bench) {
	coins := money.MustParse("14.00")
	b.ask(workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Invented bench"}, "currency": {"EUR"}, "zone": {"Europe/Berlin"}, "backup-keep": {"0"}, "evening": {"tue 19:30-22:00", "thu 19:30-22:00"}}})
	who := "R. Thistlewood"
	b.ask(workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N1", Nickname: "ada", Wood: "hard-maple", Customer: who})
	b.ask(workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N2", Nickname: "bo", Wood: "hard-maple"})
	b.ask(workshop.BitAdd, &workshop.BitAddAsk{Code: "S10-1", Diameter: "10", Point: "brad", Keep: "show", Price: &coins})
	raw, err := os.ReadFile(b.path)
	if err != nil {
		b.t.Fatal(err)
	}
	furnishedFile = raw
}

func (b *bench) ask(v workshop.Verb, ask workshop.Ask) workshop.Result {
	b.t.Helper()
	res, err := workshop.At(b.path, func() time.Time { return b.now }).Do(v, ask)
	if err != nil {
		b.t.Fatalf("%s: %v", v.Name, err)
	}
	return res
}

// device is a paired browser.
type device struct {
	*bench
	cookie string
}

func (b *bench) pair(kind Kind, name string) *device {
	b.t.Helper()
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		b.t.Fatal(err)
	}
	code, err := k.NewCode(kind, b.now)
	if err != nil {
		b.t.Fatal(err)
	}
	d := &device{b, ""}
	r := d.post("/pair", url.Values{"code": {strings.ToLower(code[:4] + "-" + code[4:])}, "name": {name}})
	if r.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("pairing %s: %d", name, r.StatusCode)
	}
	d.cookie = r.Cookies()[0].Value
	return d
}

// answer is a response with its body.
type answer struct {
	*http.Response
	body string
}

func (d *device) send(r *http.Request) answer {
	d.t.Helper()
	if r.Host == "" || strings.HasPrefix(r.Host, "127.0.0.1:") {
		r.Host = testHost
	}
	if d.cookie != "" {
		r.AddCookie(&http.Cookie{Name: "bench", Value: d.cookie})
	}
	c := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := c.Do(r)
	if err != nil {
		d.t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		d.t.Fatal(err)
	}
	return answer{res, string(raw)}
}

func (d *device) request(method, path string, form url.Values) *http.Request {
	d.t.Helper()
	r, err := http.NewRequest(method, d.http.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		d.t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	return r
}

func (d *device) get(path string) answer {
	d.t.Helper()
	return d.send(d.request(http.MethodGet, path, nil))
}

func (d *device) post(path string, form url.Values) answer {
	d.t.Helper()
	return d.send(d.request(http.MethodPost, path, form))
}

// formOf finds a form by its path in a screen and gives its hidden fields.
func formOf(t testing.TB, body, path string) url.Values {
	t.Helper()
	out := url.Values{}
	for _, f := range regexp.MustCompile(`(?s)<form[^>]*>.*?</form>`).FindAllString(body, -1) {
		for _, b := range regexp.MustCompile(`formaction="([^"]*)" name="form" value="([^"]*)"`).FindAllStringSubmatch(f, -1) {
			if b[1] == path {
				out.Set("form", b[2])
				for _, h := range regexp.MustCompile(`type="hidden" name="entry" value="([^"]*)"`).FindAllStringSubmatch(f, -1) {
					out.Set("entry", h[1])
				}
				return out
			}
		}
		if !strings.Contains(f, `action="`+path+`"`) {
			continue
		}
		for _, h := range regexp.MustCompile(`type="hidden" name="([^"]*)" value="([^"]*)"`).FindAllStringSubmatch(f, -1) {
			out.Set(h[1], html.UnescapeString(h[2]))
		}
		return out
	}
	t.Fatalf("no form for %s in:\n%s", path, body)
	return nil
}

func (b *bench) journal() uint64 {
	last := 1
	h := b.ask(workshop.DataHistory, &workshop.DataHistoryAsk{Last: &last}).(*workshop.HistoryResult)
	if len(h.Changes) == 0 {
		return 0
	}
	return h.Changes[0].Seq
}

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

// Every route by method and device: what it answers.
func TestWhoMaySeeWhat(t *testing.T) {
	b := newBench(t)
	none, tablet, desk, gone := &device{b, ""}, b.pair(Bench, "tablet"), b.pair(Desk, "desk"), b.pair(Desk, "gone")
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := k.Revoke("gone"); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	secret := regexp.MustCompile(`(?i)\bada\b|\bbo\b|Thistlewood|Invented bench`)
	for _, x := range routes() {
		method, path, _ := strings.Cut(x.pattern, " ")
		path = strings.NewReplacer("{neck}", "N1", "{bit}", "S10-1", "{id}", "1", "{what}", "wood-glue", "{noun}", "neck", "{verb}", "add", "{quote}", "Q1").Replace(path)
		for _, d := range []*device{none, gone} {
			r := d.send(d.request(method, path, url.Values{"form": {"x"}}))
			want := http.StatusSeeOther
			if method == http.MethodPost || path == "/state" {
				want = http.StatusForbidden
			}
			if r.StatusCode != want || secret.MatchString(r.body) {
				t.Errorf("%s unpaired: %d, want %d; %s", x.pattern, r.StatusCode, want, r.body)
			}
		}
		r := tablet.send(tablet.request(method, path, nil))
		switch {
		case x.desk && r.StatusCode != http.StatusForbidden && method == http.MethodGet:
			t.Errorf("%s on a bench device: %d", x.pattern, r.StatusCode)
		case strings.Contains(r.body, "Thistlewood"):
			t.Errorf("%s shows a customer to a bench device", x.pattern)
		case method == http.MethodPost && r.StatusCode != http.StatusForbidden:
			t.Errorf("%s without a form token: %d", x.pattern, r.StatusCode)
		}
		if method == http.MethodPost { // a read of a verb changes nothing
			if r := desk.get(path); r.StatusCode != http.StatusMethodNotAllowed && r.StatusCode != http.StatusNotFound && r.StatusCode != http.StatusOK {
				t.Errorf("GET %s: %d", path, r.StatusCode)
			}
		} else if r := desk.get(path); r.StatusCode >= 500 {
			t.Errorf("GET %s: %d %s", path, r.StatusCode, r.body)
		}
	}
	if before := b.journal(); before != 4 {
		t.Errorf("looking changed the shop: journal %d, want 4", before)
	}
}

// Hosts, origins, sizes and tricks with paths.
func TestGuard(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	form := formOf(t, d.get("/note?neck=N1").body, "/note")
	form.Set("text", "a note")
	before := b.journal()
	for _, c := range []struct {
		name   string
		change func(*http.Request)
		want   int
	}{
		{"another host", func(r *http.Request) {
			r.Host = "evil.example:4747"
			r.Header.Set("Origin", "http://evil.example:4747")
		}, http.StatusMisdirectedRequest},
		{"another port", func(r *http.Request) { r.Host = "bench.test:80" }, http.StatusMisdirectedRequest},
		{"a foreign origin", func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, http.StatusForbidden},
		{"no origin to tell", func(r *http.Request) { r.Header.Set("Origin", "null") }, http.StatusForbidden},
		{"from another site", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, http.StatusForbidden},
		{"no cookie", func(r *http.Request) { r.Header.Del("Cookie") }, http.StatusForbidden},
	} {
		r := d.request(http.MethodPost, "/note", form)
		r.AddCookie(&http.Cookie{Name: "bench", Value: d.cookie})
		c.change(r)
		got := (&device{b, ""}).send(r)
		if got.StatusCode != c.want {
			t.Errorf("%s: %d, want %d", c.name, got.StatusCode, c.want)
		}
	}
	big := form
	big.Set("text", strings.Repeat("x", 20<<10))
	if r := d.post("/note", big); r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("20 KB: %d", r.StatusCode)
	}
	for _, path := range []string{"/../etc/passwd", "/asset/../page.css", "/asset/page.css", "/n/..%2f..%2fetc", "/do/data/restore", "/b/%00", "//evil.example/now"} {
		r, err := http.NewRequest(http.MethodGet, b.http.URL, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.URL.Opaque = "//" + r.URL.Host + path
		if got := d.send(r); got.StatusCode < 300 || got.StatusCode >= 500 || strings.Contains(got.body, "root:") {
			t.Errorf("GET %s: %d", path, got.StatusCode)
		}
	}
	if r := d.get("/now"); r.Header.Get("Content-Security-Policy") != policy || r.Header.Get("X-Content-Type-Options") != "nosniff" || r.Header.Get("Referrer-Policy") != "same-origin" || strings.Contains(r.body, "style=") || regexp.MustCompile(`<script[^>]*>[^<]`).MatchString(r.body) || regexp.MustCompile(`(?i)\son[a-z]+="`).MatchString(r.body) {
		t.Errorf("the headers or the screen break the content policy")
	}
	if got := b.journal(); got != before {
		t.Errorf("a refused request changed the shop")
	}
}

// A code pairs once, for five minutes, and dies after five wrong tries.
func TestPairing(t *testing.T) {
	b := newBench(t)
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	d := &device{b, ""}
	try := func(code, next string) answer {
		b.server.tries = nil
		return d.post("/pair", url.Values{"code": {code}, "name": {"phone"}, "next": {next}})
	}
	code, _ := k.NewCode(Bench, b.now)
	if len(code) != 8 || strings.Trim(code, crockford) != "" {
		t.Errorf("code %q is not 8 of Crockford's letters", code)
	}
	if r := try(code, "/J/N1"); r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/J/N1" {
		t.Errorf("pairing: %d %s", r.StatusCode, r.Header.Get("Location"))
	}
	if r := try(code, "/now"); r.StatusCode != http.StatusForbidden {
		t.Errorf("the code pairs twice: %d", r.StatusCode)
	}
	for _, next := range []string{"//evil.example", "https://evil.example/", "/\\evil.example", "javascript:alert(1)", ""} {
		code, _ = k.NewCode(Bench, b.now)
		if r := try(code, next); r.Header.Get("Location") != "/now" {
			t.Errorf("next %q leads to %q", next, r.Header.Get("Location"))
		}
	}
	code, _ = k.NewCode(Bench, b.now)
	b.now = b.now.Add(codeLife)
	if r := try(code, "/now"); r.StatusCode != http.StatusForbidden {
		t.Errorf("after five minutes: %d", r.StatusCode)
	}
	code, _ = k.NewCode(Bench, b.now)
	for range codeTries {
		try("00000000", "/now")
	}
	if r := try(code, "/now"); r.StatusCode != http.StatusForbidden {
		t.Errorf("after five wrong tries: %d", r.StatusCode)
	}
	for range triesMost + 1 {
		d.post("/pair", url.Values{"code": {"x"}})
	}
	if r := d.post("/pair", url.Values{"code": {"x"}}); r.StatusCode != http.StatusTooManyRequests {
		t.Errorf("many tries: %d", r.StatusCode)
	}
}

// A form token is of one device, one path and three days.
func TestFormTokens(t *testing.T) {
	b := newBench(t)
	token := b.server.formToken("tablet", "/on")
	if _, ok := b.server.checkForm(token, "tablet", "/on"); !ok {
		t.Error("a fresh token does not hold")
	}
	for _, c := range [][2]string{{"other", "/on"}, {"tablet", "/off"}} {
		if _, ok := b.server.checkForm(token, c[0], c[1]); ok {
			t.Errorf("the token holds for %v", c)
		}
	}
	if _, ok := b.server.checkForm("A"+token[1:], "tablet", "/on"); ok && token[0] != 'A' {
		t.Error("a changed token holds")
	}
	b.now = b.now.Add(formLife + time.Minute)
	if _, ok := b.server.checkForm(token, "tablet", "/on"); ok {
		t.Error("an old token holds")
	}
}

// A screen is asked whether anything changed, without the file being held.
func TestState(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	n := strconv.FormatUint(b.journal(), 10)
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Errorf("nothing changed: %d", r.StatusCode)
	}
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: "typed"})
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusOK || r.Header.Get("ETag") == `"`+n+`"` {
		t.Errorf("something changed: %d", r.StatusCode)
	}
}

// While nothing changes a poll does not open the file: it is not even a shop any
// more here, and the answer stays. A change, or another file of the same name, is seen.
func TestPollingOpensNoFile(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	n := strconv.FormatUint(b.journal(), 10)
	raw, err := os.ReadFile(b.path)
	if err != nil {
		t.Fatal(err)
	}
	old := time.Now().Add(-time.Minute)
	age := func() {
		if err := os.Chtimes(b.path, old, old); err != nil {
			t.Fatal(err)
		}
	}
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Fatalf("nothing changed: %d", r.StatusCode)
	}
	if err := os.WriteFile(b.path, make([]byte, len(raw)), 0o600); err != nil {
		t.Fatal(err)
	}
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Errorf("a poll opened the file: %d", r.StatusCode)
	}
	if err := os.WriteFile(b.path+"2", raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(b.path+"2", b.path); err != nil {
		t.Fatal(err)
	}
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: "typed"})
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusOK {
		t.Errorf("another file of the same name and age: %d", r.StatusCode)
	}
}

// The list of devices says on which evening each was here.
func TestDevicesSeen(t *testing.T) {
	b := newBench(t)
	d := b.pair(Desk, "desk")
	b.pair(Bench, "tablet").get("/now")
	b.now = b.now.Add(24 * time.Hour)
	if body := d.get("/devices").body; !strings.Contains(body, "<b>tablet</b> <span class=\"soft\">bench, last seen 2026-12-08") || !strings.Contains(body, "desk, last seen 2026-12-09") {
		t.Errorf("the devices: %s", body)
	}
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil || len(k.Devices) != 2 {
		t.Errorf("%d devices, %v", len(k.Devices), err)
	}
}

// BenchmarkTap is a start and its take-back, each with the screen that follows, as
// a device asks for them, beside the same two words without a page.
func BenchmarkTap(b *testing.B) {
	b.Run("bare", func(b *testing.B) {
		x := newBench(b)
		for b.Loop() {
			x.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
			x.ask(workshop.Oops, &workshop.OopsAsk{})
		}
	})
	b.Run("page", func(b *testing.B) {
		x := newBench(b)
		d := x.pair(Bench, "tablet")
		for b.Loop() {
			x.server.posts = nil // a hand taps less often
			if r := d.post("/on", formOf(b, d.get("/start").body, "/on")); r.StatusCode != http.StatusSeeOther {
				b.Fatal(r.StatusCode)
			}
			if r := d.post("/oops", formOf(b, d.get("/now").body, "/oops")); r.StatusCode != http.StatusSeeOther {
				b.Fatal(r.StatusCode)
			}
		}
		b.ReportMetric(4*150e6, "limit-ns/op")
	})
}

// BenchmarkPolling lets 50 devices poll every two seconds while words are typed, for
// a minute with BOOKMATCH_LONG set and else for six seconds: the longest word, and the
// heap at the end over that after a sixth of the time.
func BenchmarkPolling(b *testing.B) {
	span := 6 * time.Second
	if os.Getenv("BOOKMATCH_LONG") != "" {
		span = time.Minute
	}
	for b.Loop() {
		x := newBench(b)
		d := x.pair(Bench, "tablet")
		end := time.Now().Add(span)
		var all sync.WaitGroup
		for i := range 50 {
			all.Go(func() {
				time.Sleep(time.Duration(i) * 40 * time.Millisecond)
				for time.Now().Before(end) {
					d.get("/state?seen=1")
					time.Sleep(2 * time.Second)
				}
			})
		}
		heap := func() float64 {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			return float64(m.HeapAlloc)
		}
		at10, longest := 0.0, time.Duration(0)
		for time.Now().Before(end) {
			from := time.Now()
			x.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
			longest = max(longest, time.Since(from))
			x.ask(workshop.Oops, &workshop.OopsAsk{})
			if at10 == 0 && time.Until(end) < span*5/6 {
				at10 = heap()
			}
			time.Sleep(200 * time.Millisecond)
		}
		b.ReportMetric(heap()/at10, "heap-end/sixth")
		b.ReportMetric(float64(longest.Milliseconds()), "longest-word-ms")
		all.Wait()
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

// hidden leaves out the tokens of forms, which are new each time.
func hidden(body string) string {
	return regexp.MustCompile(`value="[A-Za-z0-9_-]{30,}[^"]*"`).ReplaceAllString(body, `value=""`)
}

// The card of a batch leads to its necks, and to no other.
func TestBatchCard(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	b.ask(workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N3", Nickname: "cy", Wood: "hard-maple"})
	r := d.get("/J/N1+N3")
	if r.StatusCode != http.StatusOK || !strings.Contains(r.body, "<b>ada</b>") || !strings.Contains(r.body, "<b>cy</b>") || strings.Contains(r.body, "<b>bo</b>") {
		t.Errorf("%d %s", r.StatusCode, r.body)
	}
	if r := d.get("/J/N1+N9"); r.StatusCode != http.StatusNotFound {
		t.Errorf("a neck that is not there: %d", r.StatusCode)
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

// Two devices and a terminal write into one file at once, for a minute with
// BOOKMATCH_LONG set: each answer that says so is one change and one note, each
// refusal none.
func TestThreeWriteAtOnce(t *testing.T) {
	t.Parallel()
	span := time.Second
	if os.Getenv("BOOKMATCH_LONG") != "" {
		span = time.Minute
	}
	b := newBench(t)
	var seconds, said, refused atomic.Int64
	from := b.now
	clock := func() time.Time { return from.Add(time.Duration(seconds.Add(1)) * time.Second) }
	phone, tablet := b.pair(Bench, "phone"), b.pair(Desk, "tablet")
	b.server.Now = clock
	before := b.journal()
	end := time.Now().Add(span)
	var notes sync.Map
	var all sync.WaitGroup
	for i, d := range []*device{phone, tablet} {
		all.Go(func() {
			for n := 0; time.Now().Before(end); n++ {
				path, text := "/note", fmt.Sprintf("mark %d-%d.", i, n)
				screen := d.get("/note?neck=N1")
				if screen.StatusCode == http.StatusServiceUnavailable { // the file was busy for two seconds
					refused.Add(1)
					continue
				}
				form := formOf(t, screen.body, "/note")
				form.Set("text", text)
				if start := d.get("/start").body; n%3 == 0 && strings.Contains(start, `action="/on"`) {
					path, form = "/on", formOf(t, start, "/on")
				}
				switch r := d.post(path, form); r.StatusCode {
				case http.StatusSeeOther:
					said.Add(1)
					if path == "/note" {
						notes.Store(text, true)
					}
				case http.StatusConflict, http.StatusUnprocessableEntity, http.StatusServiceUnavailable, http.StatusTooManyRequests:
					refused.Add(1)
				default:
					t.Errorf("%s: %d %s", path, r.StatusCode, r.body)
					return
				}
			}
		})
	}
	all.Go(func() {
		for n := 0; time.Now().Before(end); n++ {
			text := fmt.Sprintf("mark t-%d.", n)
			if _, err := workshop.At(b.path, clock).Do(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "N2", Text: text}); err != nil {
				refused.Add(1)
				continue
			}
			said.Add(1)
			notes.Store(text, true)
		}
	})
	all.Wait()
	if made := int64(b.journal() - before); made != said.Load() {
		t.Errorf("%d changes in the journal, %d said", made, said.Load())
	}
	raw, err := json.Marshal(recordsOf(t, b.path)["necks"])
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	notes.Range(func(text, _ any) bool {
		kept++
		if n := bytes.Count(raw, []byte(text.(string))); n != 1 {
			t.Errorf("%q is kept %d times", text, n)
		}
		return true
	})
	if n := bytes.Count(raw, []byte("mark ")); n != kept || kept < 10 {
		t.Errorf("%d notes on record, %d were said", n, kept)
	}
	t.Logf("%d changes, %d refusals in %s", said.Load(), refused.Load(), span)
}

// Many taps at once are stopped.
func TestTooManyTaps(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	last := 0
	for range postsMost + 1 {
		last = d.post("/off", url.Values{"form": {"x"}}).StatusCode
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("the last of %d taps: %d", postsMost+1, last)
	}
}

// What opens the page to the world is refused.
func TestAddresses(t *testing.T) {
	for _, c := range []struct {
		o  Options
		ok bool
	}{{Options{Address: "0.0.0.0"}, false}, {Options{Address: "::"}, false}, {Options{Address: "203.0.113.9"}, false}, {Options{Address: "192.168.1.20"}, true}, {Options{Address: "x"}, false}, {Options{}, true}} {
		_, err := c.o.Addresses(nil)
		if _, refused := jobs.RefusalOf("NOT STARTED", err); (err == nil) != c.ok || err != nil && !refused {
			t.Errorf("%+v: %v", c.o, err)
		}
	}
}

// FuzzRequests sends anything to the page: it never fails, and tells an unpaired
// device nothing.
func FuzzRequests(f *testing.F) {
	f.Add("GET", "/n/N1", "form=x")
	f.Add("POST", "/on", "operation=drill&necks=N1")
	f.Add("PUT", "/pair/%41", "\x00")
	b := newBench(f)
	f.Fuzz(func(t *testing.T, method, path, body string) {
		if !strings.HasPrefix(path, "/") || strings.ContainsAny(method, " \r\n\t") || method == "" {
			return
		}
		r := httptest.NewRequest(http.MethodGet, "/", strings.NewReader(body))
		u, err := url.ParseRequestURI(path)
		if err != nil {
			return
		}
		r.Method, r.URL, r.Host = method, u, testHost
		w := httptest.NewRecorder()
		b.server.Handler().ServeHTTP(w, r)
		if w.Code >= 500 || strings.Contains(w.Body.String(), "Thistlewood") || strings.Contains(w.Body.String(), "Invented bench") {
			t.Errorf("%s %s: %d %s", method, path, w.Code, w.Body)
		}
	})
}

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

// curl, a client that is not ours, keeps the cookie by RFC 6265 and reads the status
// of each answer by RFC 9110.
func TestCurl(t *testing.T) {
	curl, err := exec.LookPath("curl")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("there is no curl")
		}
		t.Skip("no curl on this machine")
	}
	b := newBench(t)
	host := strings.TrimPrefix(b.http.URL, "http://")
	b.server.Hosts = []string{host}
	jar := filepath.Join(t.TempDir(), "jar")
	ask := func(args ...string) (code, body string) {
		t.Helper()
		out, err := exec.Command(curl, append([]string{"-s", "-b", jar, "-c", jar, "-w", "\n%{http_code} %{redirect_url}"}, args...)...).Output()
		if err != nil {
			t.Fatalf("curl %v: %v", args, err)
		}
		i := strings.LastIndex(string(out), "\n")
		return strings.TrimSpace(string(out[i+1:])), string(out[:i])
	}
	k, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	pairing, err := k.NewCode(Bench, b.now)
	if err != nil {
		t.Fatal(err)
	}
	url := b.http.URL
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{url + "/n/ada"}, "303 " + url + "/pair?next=%2Fn%2Fada"},
		{[]string{"-d", "code=WRONG", "-d", "name=x", url + "/pair"}, "403"},
		{[]string{"-d", "code=" + pairing, "-d", "name=phone", "-d", "next=/n/ada", url + "/pair"}, "303 " + url + "/n/ada"},
		{[]string{url + "/n/ada"}, "200"},
		{[]string{"-H", "Host: other.example", url + "/now"}, "421"},
		{[]string{"-H", "Origin: http://other.example", "-d", "form=x", url + "/on"}, "403"},
		{[]string{"-X", "PUT", url + "/now"}, "405"},
		{[]string{url + "/n/nobody"}, "404"},
		{[]string{"-d", "form=x", url + "/on"}, "403"},
		{[]string{"--data-binary", strings.Repeat("x", 20_000), url + "/on"}, "413"},
		{[]string{url + "/do/neck/add"}, "403"},
	} {
		if code, body := ask(c.args...); code != c.want {
			t.Errorf("curl %.120v: %s, want %s\n%.300s", c.args, code, c.want, body)
		}
	}
	raw, err := os.ReadFile(jar)
	if err != nil || !regexp.MustCompile(`#HttpOnly_127\.0\.0\.1\tFALSE\t/\tFALSE\t\d+\tbench\t[0-9a-f]{64}`).Match(raw) {
		t.Errorf("the jar of curl (%v):\n%s", err, raw)
	}
}

// A page at home follows its machine to another address: it says so, answers there,
// and no longer to the old name.
func TestPageFollowsItsAddress(t *testing.T) {
	defer func(every time.Duration) { lookEvery = every }(lookEvery)
	lookEvery = 20 * time.Millisecond
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := free.Addr().(*net.TCPAddr).Port
	free.Close()
	var at atomic.Value
	at.Store("127.0.0.1")
	told := make(chan string, 4)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	s := &Server{Shop: filepath.Join(t.TempDir(), "shop.db"), KeyFile: filepath.Join(t.TempDir(), "page.json")}
	go func() {
		ended <- s.Serve(ctx, Options{Port: port, Home: true, own: func() ([]string, error) { return []string{at.Load().(string)}, nil }}, func(a string) { told <- a })
	}()
	get := func(url, host string) int {
		r, err := http.NewRequest(http.MethodGet, url+"/pair", nil)
		if err != nil {
			t.Fatal(err)
		}
		if host != "" {
			r.Host = host
		}
		res, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		return res.StatusCode
	}
	if code := get(<-told, ""); code != http.StatusOK {
		t.Errorf("at first: %d", code)
	}
	at.Store("127.0.0.2")
	second := <-told
	if want := fmt.Sprintf("http://127.0.0.2:%d", port); second != want {
		t.Errorf("told %s, want %s", second, want)
	}
	if code := get(second, ""); code != http.StatusOK {
		t.Errorf("at the other address: %d", code)
	}
	if code := get(second, fmt.Sprintf("127.0.0.3:%d", port)); code != http.StatusMisdirectedRequest {
		t.Errorf("a host of neither: %d", code)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
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

// A bit in the chuck is not put away, and a device that was revoked while the page ran
// is not written back by the note of who was here.
func TestInTheChuckAndRevoked(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "drill", Necks: []string{"ada"}, Started: workshop.Started{Anyway: "a test head"}})
	form := formOf(t, d.get("/b/S10-1?away=1").body, "/bit/S10-1/away")
	form.Set("why", "dull")
	if r := d.post("/bit/S10-1/away", form); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "in the chuck for drill ada") {
		t.Errorf("put away while it drills: %d\n%.600s", r.StatusCode, r.body)
	}
	outOfDate, err := LoadKeys(b.server.KeyFile) // as a request read them
	if err != nil {
		t.Fatal(err)
	}
	now, err := LoadKeys(b.server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := now.Revoke("tablet"); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	if err := outOfDate.Saw("tablet", "2026-12-09"); err != nil {
		t.Fatal(err)
	}
	if r := d.get("/now"); r.StatusCode != http.StatusSeeOther {
		t.Errorf("a revoked device: %d", r.StatusCode)
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
