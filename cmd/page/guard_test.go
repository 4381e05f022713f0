package page

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

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
