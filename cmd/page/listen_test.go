package page

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"bookmatch/jobs"
)

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
