package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
)

// TestReadmeEveningByTaps clocks the first evening of the README by the buttons that a
// tablet shows, with the terminal reading the same file in between. The records equal
// those of the words.
func TestReadmeEveningByTaps(t *testing.T) {
	t.Parallel()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	at := func(day, hour, min int) time.Time { return time.Date(2026, 11, day, hour, min, 0, 0, zone) }
	var now time.Time
	type word struct {
		at      time.Time
		line    string // as it is typed
		on, tap string // the screen and the button
	}
	desk := []string{
		`shop setup --name Corner --currency EUR --zone Europe/Berlin --labour 34.00 --overhead 7.50 --tax 21 --backup-keep 0 --evening tue_19:30-22:00 --evening thu_19:30-22:00`,
		`neck add N1 --nickname ada --route headstock --wood hard-maple --due 2027-02-01`,
		`neck add N2 --nickname bo --route headstock --wood hard-maple --quantity inlay=14`,
		`supply add wood-glue --unit ml --reorder 150`, `supply receive wood-glue 500 --price 11.80 --on 2026-11-18`,
		`spent 25 choose-veneer ada`, `spent 15 choose-veneer bo`,
	}
	evening := []word{
		{at(24, 19, 31), "on thickness-core ada+bo", "/start", "thickness-core N1+N2"},
		{at(24, 20, 9), "done", "/now", "/done"},
		{at(24, 20, 9), "on joint-veneer ada", "/n/ada", "joint-veneer N1"},
		{at(24, 20, 41), "done", "/now", "/done"},
		{at(24, 20, 41), "on glue-face ada", "/n/ada", "glue-face N1"},
		{at(24, 21, 2), "done", "/now", "/done"},
	}
	typedIn := func(file, line string) string {
		t.Helper()
		var out bytes.Buffer
		e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &out, Now: func() time.Time { return now }, Getenv: func(k string) string { return map[string]string{"BOOKMATCH_FILE": file}[k] }}
		args := strings.Fields(line)
		for i := range args {
			args[i] = strings.ReplaceAll(args[i], "_", " ")
		}
		if code := run(context.Background(), args, e); code != 0 {
			t.Fatalf("%s: exit %d\n%s", line, code, out.String())
		}
		return out.String()
	}
	dir := t.TempDir()
	tapped, typed := filepath.Join(dir, "tapped.db"), filepath.Join(dir, "typed.db")
	now = at(20, 18, 0)
	for _, line := range desk {
		if strings.HasPrefix(line, "spent") { // what was done before the clock ran
			now = at(24, 19, 31)
		}
		typedIn(tapped, line)
		typedIn(typed, line)
	}
	ask := paired(t, tapped, page.Bench, func() time.Time { return now })
	forms := regexp.MustCompile(`(?s)<form[^>]*action="([^"]*)">(.*?)</form>`)
	inputs := regexp.MustCompile(`<input[^>]* name="([^"]*)"[^>]* value="([^"]*)"`)
	tap := func(screen, button string) {
		t.Helper()
		raw := ask(http.MethodGet, screen, nil).Body.String()
		for _, f := range forms.FindAllStringSubmatch(raw, -1) {
			fields := url.Values{}
			for _, in := range inputs.FindAllStringSubmatch(f[2], -1) {
				if in[1] != "grade" && in[1] != "backing" {
					fields.Set(in[1], html.UnescapeString(in[2]))
				}
			}
			if f[1] == button || strings.ToLower(fields.Get("operation"))+" "+fields.Get("necks") == button {
				if r := ask(http.MethodPost, f[1], fields); r.Code != http.StatusSeeOther {
					t.Fatalf("%s on %s: %d\n%s", button, screen, r.Code, r.Body)
				}
				return
			}
		}
		t.Fatalf("%s shows no button for %s:\n%s", screen, button, raw)
	}
	for _, w := range evening {
		now = w.at
		typedIn(typed, w.line)
		tap(w.on, w.tap)
		typedIn(tapped, "now") // the terminal reads meanwhile
	}
	if a, z := typedIn(tapped, "evening show"), typedIn(typed, "evening show"); a != z || !strings.Contains(a, "2 h 11 min, 5 entries") {
		t.Errorf("the evening tapped\n%s\nand typed\n%s", a, z)
	}
	records := func(file string) map[string]any {
		var out bytes.Buffer
		if err := workshop.At(file, nil).Export(&out); err != nil {
			t.Fatal(err)
		}
		var doc map[string]any
		if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		r := doc["records"].(map[string]any)
		delete(r, "journal") // it holds who asked
		return r
	}
	a, z := records(tapped), records(typed)
	for kind := range a {
		if x, y := fmt.Sprint(a[kind]), fmt.Sprint(z[kind]); x != y {
			t.Errorf("the %s differ:\n%.2000s\n%.2000s", kind, x, y)
		}
	}
}
