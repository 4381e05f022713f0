package page

import (
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
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

// hidden leaves out the tokens of forms, which are new each time.
func hidden(body string) string {
	return regexp.MustCompile(`value="[A-Za-z0-9_-]{30,}[^"]*"`).ReplaceAllString(body, `value=""`)
}
