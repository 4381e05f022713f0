package main

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

// demoBench is the demo on the evening after its story, with a drilling that runs for 18
// minutes, on a page and at the terminal.
type demoBench struct {
	t    *testing.T
	file string
	now  time.Time
}

func newDemoBench(t *testing.T) *demoBench {
	d := newDemoShop(t)
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	b := &demoBench{t: t, file: d.file, now: time.Date(2026, 11, 26, 19, 56, 0, 0, zone)}
	b.typed("on", "drill", "finch", "--anyway", "trial")
	b.now = b.now.Add(18 * time.Minute)
	return b
}

func (b *demoBench) typed(args ...string) string {
	b.t.Helper()
	var out bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &out, Now: func() time.Time { return b.now }, Getenv: func(k string) string { return map[string]string{"BOOKMATCH_FILE": b.file}[k] }}
	if code := run(context.Background(), args, e); code != 0 {
		b.t.Fatalf("%v: exit %d\n%s", args, code, out.String())
	}
	return out.String()
}

func (b *demoBench) journal() *workshop.HistoryResult {
	b.t.Helper()
	last := 1
	res, err := workshop.At(b.file, func() time.Time { return b.now }).Do(workshop.DataHistory, &workshop.DataHistoryAsk{Last: &last})
	if err != nil {
		b.t.Fatal(err)
	}
	return res.(*workshop.HistoryResult)
}

func (b *demoBench) seq() uint64 { return b.journal().Changes[0].Seq }

// formIn gives the fields of the first form of a screen that posts to a path.
func formIn(t *testing.T, body, path string) url.Values {
	t.Helper()
	for _, f := range regexp.MustCompile(`(?s)<form.*?</form>`).FindAllString(body, -1) {
		if !strings.Contains(f, `ction="`+path+`"`) {
			continue
		}
		out := url.Values{}
		for _, in := range regexp.MustCompile(`<(?:input|button)[^>]* name="([^"]*)"[^>]* value="([^"]*)"`).FindAllStringSubmatch(f, -1) {
			if in[1] != "grade" && in[1] != "backing" && out.Get(in[1]) == "" {
				out.Set(in[1], html.UnescapeString(in[2]))
			}
		}
		if own := regexp.MustCompile(`formaction="` + path + `" name="form" value="([^"]*)"`).FindStringSubmatch(f); own != nil {
			out.Set("form", html.UnescapeString(own[1]))
		}
		return out
	}
	t.Fatalf("no form for %s in\n%.3000s", path, body)
	return nil
}

func shows(t *testing.T, what string, r *httptest.ResponseRecorder, code int, texts ...string) {
	t.Helper()
	body := html.UnescapeString(r.Body.String())
	if r.Code != code {
		t.Errorf("%s: %d, want %d\n%.1500s", what, r.Code, code, body)
	}
	for _, x := range texts {
		if !strings.Contains(body, x) {
			t.Errorf("%s: no %q in\n%.2000s", what, x, body[strings.Index(body, "<main")+1:])
		}
	}
}

// The acceptance cases of the page on the demo's own figures. What a browser has to show
// is in cmd/page: DONE in view (TestScreensInABrowser) and a tap without a connection
// (TestLostConnectionInABrowser, TestScriptWhileItWaits).
func TestPageCases(t *testing.T) {
	t.Parallel()
	b := newDemoBench(t)
	bench := paired(t, b.file, page.Bench, func() time.Time { return b.now })
	desk := paired(t, b.file, page.Desk, func() time.Time { return b.now })
	running := b.journal()
	n := running.Changes[0].Seq

	// 1. What runs: operation, neck, minutes, likely and safe end, the verdict of the bit.
	res, err := workshop.At(b.file, func() time.Time { return b.now }).Do(workshop.Now, &workshop.NowAsk{})
	if err != nil {
		t.Fatal(err)
	}
	on := res.(*workshop.NowResult).Running
	end := func(min float64) string {
		return on.From.In(b.now.Location()).Add(time.Duration(min * float64(time.Minute))).Format("15:04")
	}
	screen := bench(http.MethodGet, "/now", nil)
	shows(t, "now", screen, http.StatusOK, "drill", "finch", ">18<", end(on.LikelyMin), end(on.SafeMin), on.Bit, "TEST FIRST")
	if b.seq() != n {
		t.Error("a look changed the shop")
	}

	// 2. DONE, twice with one token: one record, by the device, with one echo.
	done := formIn(t, screen.Body.String(), "/done")
	done.Set("count", "6")
	done.Set("grade", "0")
	for range 2 {
		r := bench(http.MethodPost, "/done", done)
		shows(t, "done", r, http.StatusSeeOther)
		shows(t, "after done", bench(http.MethodGet, "/now", nil), http.StatusOK, "drill", "6 holes", "20:14")
	}
	if c := b.journal().Changes[0]; c.Seq != n+1 || c.Verb != "done" || !strings.Contains(fmt.Sprint(c.By), "device") {
		t.Errorf("the change is %d %s by %v, want %d", c.Seq, c.Verb, c.By, n+1)
	}

	// 5. Take back names its change: twice is once, and an older change is refused.
	oops := formIn(t, bench(http.MethodGet, "/now", nil).Body.String(), "/oops")
	for range 2 {
		shows(t, "oops", bench(http.MethodPost, "/oops", oops), http.StatusSeeOther)
	}
	if got := b.seq(); got != n+2 {
		t.Errorf("%d changes after one take back", got-n)
	}
	older := formIn(t, bench(http.MethodGet, "/now", nil).Body.String(), "/oops")
	older.Set("change", fmt.Sprint(n-3))
	shows(t, "an older change", bench(http.MethodPost, "/oops", older), http.StatusConflict)

	// 3. The terminal ended it meanwhile: NOT DONE, when and by whom, and its end to set.
	stale := formIn(t, bench(http.MethodGet, "/now", nil).Body.String(), "/done")
	b.now = b.now.Add(time.Minute)
	b.typed("off")
	n = b.seq()
	shows(t, "done after off", bench(http.MethodPost, "/done", stale), http.StatusConflict, "NOT DONE", "20:15", "terminal", "/end")
	if b.seq() != n {
		t.Error("a refusal changed the shop")
	}

	// 4. A start that a cure forbids, and the same with a reason.
	b.typed("on", "glue-back", "curlew", "--anyway", "trial")
	b.now = b.now.Add(20 * time.Minute)
	b.typed("done")
	b.typed("on", "choose-veneer", "siskin", "--rework", "wood")
	neck := bench(http.MethodGet, "/n/curlew", nil).Body.String()
	start := url.Values{"operation": {"flush-sand"}, "necks": {"N17"}, "form": {formIn(t, neck, "/on").Get("form")}}
	n = b.seq()
	refused := bench(http.MethodPost, "/on", start)
	shows(t, "on while it cures", refused, http.StatusConflict, "NOT STARTED", "lue-back on curlew cures until", "Still running", "choose-veneer")
	again := formIn(t, refused.Body.String(), "/on")
	again.Set("anyway", "I tried it, it is hard")
	if b.seq() != n {
		t.Error("a refused start changed the shop")
	}
	shows(t, "on anyway", bench(http.MethodPost, "/on", again), http.StatusSeeOther)
	if out := b.typed("now"); !strings.Contains(out, "flush-sand curlew") {
		t.Errorf("after anyway: %s", out)
	}

	// 8. A post pushed beyond its limit: the failing check by name, nothing written, no freeze.
	n = b.seq()
	shows(t, "try", desk(http.MethodGet, "/layout/curlew/try?string=2&y2=63.2", nil), http.StatusOK, "least pitch")
	freeze := formIn(t, desk(http.MethodGet, "/layout/curlew?string=2&ask=freeze", nil).Body.String(), "/layout/curlew/freeze")
	freeze.Set("code", "ZZZZZ")
	shows(t, "freeze what is kept nowhere", desk(http.MethodPost, "/layout/curlew/freeze", freeze), http.StatusConflict, "NOT")
	if b.seq() != n {
		t.Error("a try changed the shop")
	}

	// 9. A quote: not for the bench, to the cent for the desk.
	r := bench(http.MethodGet, "/quote/Q5", nil)
	shows(t, "quote at the bench", r, http.StatusForbidden, "desk")
	if regexp.MustCompile(`\d\.\d\d`).MatchString(r.Body.String()) {
		t.Error("an amount at the bench")
	}
	q, err := workshop.At(b.file, func() time.Time { return b.now }).Do(workshop.QuoteTry, &workshop.QuoteTryAsk{Quote: "Q5"})
	if err != nil {
		t.Fatal(err)
	}
	f := q.(*workshop.QuoteResult)
	shows(t, "quote at the desk", desk(http.MethodGet, "/quote/Q5?margin=25", nil), http.StatusOK, reports.Price(f.Currency, f.Price.Gross), reports.Fixed(f.Currency, f.Price.Net), reports.Fixed(f.Currency, f.Price.Tax))
}

// Cases 7 and 10: a card leads through pairing to its neck, once, and nowhere else, and
// another host gets nothing.
func TestPageCasesOfStrangers(t *testing.T) {
	t.Parallel()
	b := newDemoBench(t)
	keyFile := b.file + ".keys"
	server := &page.Server{Shop: b.file, KeyFile: keyFile, Hosts: []string{"bench.test"}, Now: func() time.Time { return b.now }, Groups: groups, Commands: verbs()}
	keys, err := page.LoadKeys(keyFile)
	if err != nil {
		t.Fatal(err)
	}
	code, err := keys.NewCode(page.Bench, b.now)
	if err != nil {
		t.Fatal(err)
	}
	handler := server.Handler()
	send := func(method, path, host string, form url.Values, head map[string]string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
		r.Host = host
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range head {
			r.Header.Set(k, v)
		}
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w
	}
	n := b.seq()
	card := send(http.MethodGet, "/J/n16", "bench.test", nil, nil)
	if to := card.Header().Get("Location"); card.Code != http.StatusSeeOther || !strings.HasPrefix(to, "/pair?next=") || strings.Contains(card.Body.String(), "siskin") {
		t.Errorf("an unpaired card: %d to %q\n%s", card.Code, to, card.Body)
	}
	typed := strings.ToLower(code[:4] + "-" + code[4:])
	pair := func(next string) *httptest.ResponseRecorder {
		return send(http.MethodPost, "/pair", "bench.test", url.Values{"code": {typed}, "name": {"phone"}, "next": {next}}, nil)
	}
	first := pair("/J/n16")
	cookie := first.Header().Get("Set-Cookie")
	if first.Code != http.StatusSeeOther || first.Header().Get("Location") != "/J/n16" || cookie == "" {
		t.Errorf("pairing: %d to %q, cookie %q", first.Code, first.Header().Get("Location"), cookie)
	}
	if again := pair("/J/n16"); again.Code != http.StatusForbidden {
		t.Errorf("the same code again: %d", again.Code)
	}
	if code, err = keys.NewCode(page.Bench, b.now); err != nil {
		t.Fatal(err)
	}
	typed = code
	if away := pair("//evil.example"); away.Header().Get("Location") != "/now" {
		t.Errorf("a pairing that leads elsewhere: %q", away.Header().Get("Location"))
	}
	cookie, _, _ = strings.Cut(cookie, ";")
	for _, path := range []string{"/now", "/start", "/necks", "/n/curlew", "/week", "/quote/Q5", "/layout/curlew", "/do", "/state", "/J/n16"} {
		r := send(http.MethodGet, path, "evil.example:4747", nil, map[string]string{"Cookie": cookie, "Origin": "http://evil.example:4747"})
		if r.Code != http.StatusMisdirectedRequest {
			t.Errorf("%s for another host: %d", path, r.Code)
		}
	}
	r := send(http.MethodPost, "/off", "bench.test", url.Values{}, map[string]string{"Cookie": cookie, "Origin": "http://evil.example"})
	if r.Code != http.StatusForbidden {
		t.Errorf("a foreign origin: %d", r.Code)
	}
	if b.seq() != n {
		t.Errorf("strangers made %d changes", b.seq()-n)
	}
}
