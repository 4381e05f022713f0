package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"bookmatch/jobs/workshop"

	"github.com/google/go-cmp/cmp"
)

// The log has a line for each tap, also for one that was stopped at the door: time,
// device, path and outcome. No cookie, code or token is in it.
func TestLogNamesWhatWasRefused(t *testing.T) {
	b := newBench(t)
	var lines []string
	b.server.Log = func(line string) { lines = append(lines, strings.TrimPrefix(line, "18:40:00 ")) }
	none, d := &device{b, ""}, b.pair(Bench, "tablet")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	screen := d.get("/now").body
	off := formOf(t, screen, "/off")
	d.post("/off", off)
	d.post("/away", off)
	none.post("/off", off)
	d.post("/do/neck/add", url.Values{})
	d.post("/note", url.Values{"text": {strings.Repeat("x", bodyMost-10)}})
	d.send(chunked(d.request(http.MethodPost, "/note", url.Values{"text": {strings.Repeat("x", 2*bodyMost)}})))
	none.post("/pair", url.Values{"code": {"SECRET00"}})
	none.post("/pair", url.Values{"code": {"SECRET00"}, "form": {"x"}})
	d.post("/shopping/a%0Ab", url.Values{})
	for len(b.server.posts["tablet"]) < postsMost {
		b.server.mayPost("tablet")
	}
	d.post("/off", off)
	for range triesMost {
		b.server.mayTry()
	}
	none.post("/pair", url.Values{})
	want := []string{
		"tablet /pair: paired as bench",
		"tablet /off: done",
		"tablet /away: form not of this page, or too old",
		"no device /off: not paired",
		"tablet /do/neck/add: for a desk device",
		"tablet /note: form not of this page, or too old",
		"tablet /note: form not readable",
		"no device /pair: wrong code",
		"no device /pair: form not of this page, or too old",
		"tablet /shopping/a%0Ab: form not of this page, or too old",
		"tablet /off: too many taps",
		"no device /pair: too many tries",
	}
	if diff := cmp.Diff(want, lines); diff != "" {
		t.Errorf("the log (-want +got):\n%s", diff)
	}
	all := strings.Join(lines, "\n")
	for what, secret := range map[string]string{"cookie": d.cookie, "token": off.Get("form"), "code": "SECRET00"} {
		if strings.Contains(all, secret) {
			t.Errorf("the log has a %s", what)
		}
	}
}

// chunked sends a body without saying its length before.
func chunked(r *http.Request) *http.Request {
	r.ContentLength = -1
	return r
}
