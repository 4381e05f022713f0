package main

import (
	"bytes"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/cmd/words"
)

// paired gives a browser's way to the page of a file, on a device of a kind.
func paired(t *testing.T, file string, kind page.Kind, now func() time.Time) func(method, path string, form url.Values) *httptest.ResponseRecorder {
	t.Helper()
	server := &page.Server{Shop: file, KeyFile: filepath.Join(t.TempDir(), "page.json"), Hosts: []string{"bench.test"}, Now: now, Groups: groups, Commands: verbs()}
	keys, err := page.LoadKeys(server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	code, err := keys.NewCode(kind, now())
	if err != nil {
		t.Fatal(err)
	}
	_, cookie, err := keys.Pair(code, string(kind)+" device", now())
	if err != nil {
		t.Fatal(err)
	}
	handler := server.Handler()
	return func(method, path string, form url.Values) *httptest.ResponseRecorder {
		r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
		r.Host = "bench.test"
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: "bench", Value: cookie})
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w
	}
}

// Every verb of the desk has a form that opens, but the one that puts another
// file in the place of the shop's, the drawings, which the layout's screen has, and
// tonight, which is a screen.
func TestEveryVerbHasAForm(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	ask := paired(t, d.file, page.Desk, func() time.Time { return demoNow })
	get := func(path string) *httptest.ResponseRecorder { return ask(http.MethodGet, path, nil) }
	offered := get("/do").Body.String()
	without := []string{"data restore", "layout draw", "tonight"}
	bench := words.Bench()
	for i, c := range verbs() {
		if c.Act != nil || slices.ContainsFunc(bench, func(b words.Command) bool { return b.Path == c.Path }) {
			continue // it is no verb, or it has a button
		}
		path := "/do/" + strings.ReplaceAll(c.Path, " ", "/")
		want := http.StatusOK
		if slices.Contains(without, c.Path) {
			want = http.StatusNotFound
		}
		if strings.Contains(offered, `href="`+path+`"`) != (want == http.StatusOK) {
			t.Errorf("%s is offered: %v", path, want != http.StatusOK)
		}
		if os.Getenv("CI") == "" && i%8 != 0 {
			continue // all of them are for CI
		}
		if has := get(path).Code; has != want && (has != http.StatusUnprocessableEntity || want != http.StatusOK) { // it may ask for more
			t.Errorf("%s: %d, want %d", path, has, want)
		}
	}
}

// The file itself at the desk: a copy is made by a form that is sent, never by an
// address; a list comes in as text; the calendar goes out as a file. What would read
// or replace a file of the machine by its name is refused.
func TestFileAtTheDesk(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	ask := paired(t, d.file, page.Desk, func() time.Time { return demoNow })
	get := func(path string) string { return ask(http.MethodGet, path, nil).Body.String() }
	token := regexp.MustCompile(`(?s)<form[^>]*action="/do/data/[^>]*>.*?name="form" value="([^"]*)"`)
	post := func(path string, fields ...string) *httptest.ResponseRecorder {
		form := url.Values{}
		if m := token.FindStringSubmatch(get(path)); m != nil {
			form.Set("form", html.UnescapeString(m[1]))
		}
		for i := 0; i < len(fields); i += 2 {
			form.Set(fields[i], fields[i+1])
		}
		return ask(http.MethodPost, path, form)
	}
	copies := func() int {
		found, err := filepath.Glob(d.file + ".*.bak")
		if err != nil {
			t.Fatal(err)
		}
		return len(found)
	}
	before := copies()
	if get("/do/data/backup?keep=3&to=" + url.QueryEscape(d.dir)); copies() != before {
		t.Error("an address made a copy")
	}
	if r := post("/do/data/backup", "to", t.TempDir()); r.Code != http.StatusOK || copies() != before+1 {
		t.Errorf("a copy at the desk: %d, %d copies after %d\n%.1500s", r.Code, copies(), before, r.Body)
	}

	entries := func() int {
		return strings.Count(d.say("entry", "list", "--from", "2026-11-01", "--json"), `"evening":`)
	}
	had := entries()
	list := "date,from,to,operation,neck\n2026-11-08,10:00,10:40,flush-sand,swift\n"
	if r := post("/do/data/import", "file", list); r.Code != http.StatusUnprocessableEntity || entries() != had {
		t.Errorf("a list of no kind: %d", r.Code)
	}
	if r := post("/do/data/import", "file", d.file, "as", "entries", "replace", "true"); r.Code == http.StatusOK && entries() != had {
		t.Errorf("the name of a file: %d", r.Code)
	}
	if r := post("/do/data/import", "file", list, "as", "entries", "dry-run", "true"); entries() != had {
		t.Errorf("a dry run: %d", r.Code)
	}
	if r := post("/do/data/import", "file", list, "as", "entries"); r.Code != http.StatusOK || entries() != had+1 {
		t.Errorf("a list: %d, %d entries after %d\n%.1500s", r.Code, entries(), had, r.Body)
	}

	if r := ask(http.MethodGet, "/do/calendar?as=file", nil); r.Code != http.StatusOK || !strings.HasPrefix(r.Body.String(), "BEGIN:VCALENDAR\r\n") || r.Header().Get("Content-Type") != "text/calendar; charset=utf-8" {
		t.Errorf("the calendar: %d %v %.200s", r.Code, r.Header(), r.Body)
	}
	if body := get("/do/calendar"); !strings.Contains(body, "as a file (.ics)") || strings.Contains(body, `name="out"`) {
		t.Errorf("the calendar's screen:\n%.1500s", body)
	}
}

// Without --at the square code leads to the address that the shop's cards carry; a shop
// without one shows the letters alone.
func TestPairCodeHasTheAddressOfTheCards(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	typed := func(args ...string) string {
		t.Helper()
		var out bytes.Buffer
		e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &out, Columns: 80, Now: func() time.Time { return demoNow }, Getenv: func(k string) string {
			return map[string]string{"BOOKMATCH_FILE": d.file, "XDG_STATE_HOME": d.dir, "HOME": d.dir, "NO_COLOR": "1"}[k]
		}}
		if code := run(t.Context(), args, e); code != 0 {
			t.Fatalf("%v: exit %d\n%s", args, code, out.String())
		}
		return out.String()
	}
	if plain := typed("page", "pair"); strings.Contains(plain, "█") {
		t.Errorf("a code to nowhere:\n%s", plain)
	}
	typed("shop", "set", "page-address", "bench.home:4747")
	if square := typed("page", "pair"); !strings.Contains(square, "█") {
		t.Errorf("no square code:\n%s", square)
	}
}
