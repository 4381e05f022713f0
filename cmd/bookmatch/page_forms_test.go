package main

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/cmd/words"
)

// Every verb of the desk has a form that opens, but those on the file itself, those
// that write a file no browser shows, and tonight, which is a screen.
func TestEveryVerbHasAForm(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	server := &page.Server{Shop: d.file, KeyFile: filepath.Join(d.dir, "page.json"), Hosts: []string{"bench.test"}, Now: func() time.Time { return demoNow }, Groups: groups, Commands: verbs()}
	keys, err := page.LoadKeys(server.KeyFile)
	if err != nil {
		t.Fatal(err)
	}
	code, err := keys.NewCode(page.Desk, demoNow)
	if err != nil {
		t.Fatal(err)
	}
	_, cookie, err := keys.Pair(code, "desk", demoNow)
	if err != nil {
		t.Fatal(err)
	}
	get := func(path string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Host = "bench.test"
		r.AddCookie(&http.Cookie{Name: "bench", Value: cookie})
		w := httptest.NewRecorder()
		server.Handler().ServeHTTP(w, r)
		return w
	}
	offered := get("/do").Body.String()
	without := []string{"data backup", "data restore", "data import", "layout draw", "calendar", "tonight"}
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
