package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/jobs/workshop"
)

// TestPageKilledBetweenSendAndAnswer sends taps to a page whose process is killed at
// a random moment, and sends each again to the next one, as a device does that got
// no answer. What was answered is there, and nothing is there twice.
func TestPageKilledBetweenSendAndAnswer(t *testing.T) {
	t.Parallel()
	taps := 12
	if os.Getenv("BOOKMATCH_LONG") != "" {
		taps = 150
	}
	s := newSmallShop(t)
	for _, line := range []string{"shop setup --name Invented --currency EUR --zone Europe/Berlin --labour 34.00 --backup-keep 0", "neck add N1 --nickname ada"} {
		s.now = s.now.Add(time.Minute)
		verb, ask := s.bound(line)
		if _, err := workshop.At(s.file, func() time.Time { return s.now }).Do(verb, ask); err != nil {
			t.Fatal(err)
		}
	}
	state := t.TempDir()
	keys, err := page.LoadKeys(filepath.Join(state, "bookmatch", "page.json"))
	if err != nil {
		t.Fatal(err)
	}
	code, err := keys.NewCode(page.Bench, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	_, cookie, err := keys.Pair(code, "bench tablet", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(l.Addr().String())
	l.Close()
	base := "http://127.0.0.1:" + port

	var server *exec.Cmd
	start := func() {
		t.Helper()
		server = exec.Command("bookmatch", "--file", s.file, "page", "--port", port)
		server.Env = append(os.Environ(), "XDG_STATE_HOME="+state, "HOME="+state, "BOOKMATCH_NOW=")
		in, _ := server.StdinPipe() // stays open: the page runs on
		t.Cleanup(func() { in.Close() })
		if err := server.Start(); err != nil {
			t.Fatal(err)
		}
		for range 200 {
			if c, err := net.Dial("tcp", "127.0.0.1:"+port); err == nil {
				c.Close()
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		t.Fatal("the page does not listen")
	}
	kill := func() { server.Process.Kill(); server.Wait() }
	client := &http.Client{Timeout: 5 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	ask := func(method, path string, form url.Values) (int, string, error) {
		r, err := http.NewRequest(method, base+path, strings.NewReader(form.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: "bench", Value: cookie})
		r.Close = true
		res, err := client.Do(r)
		if err != nil {
			return 0, "", err
		}
		defer res.Body.Close()
		body, err := io.ReadAll(res.Body)
		return res.StatusCode, string(body), err
	}
	written := func(text string) (n int) {
		t.Helper()
		res, err := workshop.At(s.file, time.Now).Do(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "ada"})
		if err != nil {
			t.Fatal(err)
		}
		for _, note := range res.(*workshop.NeckShowResult).Notes {
			if note.Text == text {
				n++
			}
		}
		return n
	}

	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 19))
	answered, lost := 0, 0
	start()
	for i := range taps {
		text := fmt.Sprintf("tap number %d", i)
		_, screen, err := ask(http.MethodGet, "/note?neck=ada", nil)
		if err != nil {
			t.Fatal(err)
		}
		token := regexp.MustCompile(`action="/note"><input type="hidden" name="form" value="([^"]+)"`).FindStringSubmatch(screen)
		if token == nil {
			t.Fatalf("no form of a note:\n%.500s", screen)
		}
		form := url.Values{"form": {token[1]}, "neck": {"ada"}, "text": {text}}
		go func(p *os.Process, wait time.Duration) {
			time.Sleep(wait)
			p.Kill()
		}(server.Process, time.Duration(rng.IntN(25_000))*time.Microsecond)
		code, _, err := ask(http.MethodPost, "/note", form)
		kill()
		if err == nil && code == http.StatusSeeOther {
			answered++
			if n := written(text); n != 1 {
				t.Errorf("%s was answered and is there %d times", text, n)
			}
		} else {
			lost++
		}
		start()
		if code, body, err := ask(http.MethodPost, "/note", form); err != nil || code != http.StatusSeeOther {
			t.Fatalf("%s sent again: %d %v\n%.300s", text, code, err, body)
		}
		if n := written(text); n != 1 {
			t.Errorf("%s is there %d times after it was sent again", text, n)
		}
	}
	kill()
	t.Logf("%d answered before the kill, %d without an answer", answered, lost)
}
