package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"
)

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
