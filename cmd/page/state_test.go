package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bookmatch/jobs/workshop"
)

// A screen is asked whether anything changed, without the file being held.
func TestState(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	n := strconv.FormatUint(b.journal(), 10)
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Errorf("nothing changed: %d", r.StatusCode)
	}
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: "typed"})
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusOK || r.Header.Get("ETag") == `"`+n+`"` {
		t.Errorf("something changed: %d", r.StatusCode)
	}
}

// While nothing changes a poll does not open the file: it is not even a shop any
// more here, and the answer stays. A change, or another file of the same name, is seen.
func TestPollingOpensNoFile(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	n := strconv.FormatUint(b.journal(), 10)
	raw, err := os.ReadFile(b.path)
	if err != nil {
		t.Fatal(err)
	}
	old := time.Now().Add(-time.Minute)
	age := func() {
		if err := os.Chtimes(b.path, old, old); err != nil {
			t.Fatal(err)
		}
	}
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Fatalf("nothing changed: %d", r.StatusCode)
	}
	if err := os.WriteFile(b.path, make([]byte, len(raw)), 0o600); err != nil {
		t.Fatal(err)
	}
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusNotModified {
		t.Errorf("a poll opened the file: %d", r.StatusCode)
	}
	if err := os.WriteFile(b.path+"2", raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(b.path+"2", b.path); err != nil {
		t.Fatal(err)
	}
	b.ask(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: "typed"})
	age()
	if r := d.get("/state?seen=" + n); r.StatusCode != http.StatusOK {
		t.Errorf("another file of the same name and age: %d", r.StatusCode)
	}
}

// BenchmarkTap is a start and its take-back, each with the screen that follows, as
// a device asks for them, beside the same two words without a page.
func BenchmarkTap(b *testing.B) {
	b.Run("bare", func(b *testing.B) {
		x := newBench(b)
		for b.Loop() {
			x.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
			x.ask(workshop.Oops, &workshop.OopsAsk{})
		}
	})
	b.Run("page", func(b *testing.B) {
		x := newBench(b)
		d := x.pair(Bench, "tablet")
		for b.Loop() {
			x.server.posts = nil // a hand taps less often
			if r := d.post("/on", formOf(b, d.get("/start").body, "/on")); r.StatusCode != http.StatusSeeOther {
				b.Fatal(r.StatusCode)
			}
			if r := d.post("/oops", formOf(b, d.get("/now").body, "/oops")); r.StatusCode != http.StatusSeeOther {
				b.Fatal(r.StatusCode)
			}
		}
		b.ReportMetric(4*150e6, "limit-ns/op")
	})
}

// BenchmarkPolling lets 50 devices poll every two seconds while words are typed, for
// a minute with BOOKMATCH_LONG set and else for six seconds: the longest word, and the
// heap at the end over that after a sixth of the time.
func BenchmarkPolling(b *testing.B) {
	span := 6 * time.Second
	if os.Getenv("BOOKMATCH_LONG") != "" {
		span = time.Minute
	}
	for b.Loop() {
		x := newBench(b)
		d := x.pair(Bench, "tablet")
		end := time.Now().Add(span)
		var all sync.WaitGroup
		for i := range 50 {
			all.Go(func() {
				time.Sleep(time.Duration(i) * 40 * time.Millisecond)
				for time.Now().Before(end) {
					d.get("/state?seen=1")
					time.Sleep(2 * time.Second)
				}
			})
		}
		heap := func() float64 {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			return float64(m.HeapAlloc)
		}
		at10, longest := 0.0, time.Duration(0)
		for time.Now().Before(end) {
			from := time.Now()
			x.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
			longest = max(longest, time.Since(from))
			x.ask(workshop.Oops, &workshop.OopsAsk{})
			if at10 == 0 && time.Until(end) < span*5/6 {
				at10 = heap()
			}
			time.Sleep(200 * time.Millisecond)
		}
		b.ReportMetric(heap()/at10, "heap-end/sixth")
		b.ReportMetric(float64(longest.Milliseconds()), "longest-word-ms")
		all.Wait()
	}
}

// Two devices and a terminal write into one file at once, for a minute with
// BOOKMATCH_LONG set: each answer that says so is one change and one note, each
// refusal none.
func TestThreeWriteAtOnce(t *testing.T) {
	t.Parallel()
	span := time.Second
	if os.Getenv("BOOKMATCH_LONG") != "" {
		span = time.Minute
	}
	b := newBench(t)
	var seconds, said, refused atomic.Int64
	from := b.now
	clock := func() time.Time { return from.Add(time.Duration(seconds.Add(1)) * time.Second) }
	phone, tablet := b.pair(Bench, "phone"), b.pair(Desk, "tablet")
	b.server.Now = clock
	before := b.journal()
	end := time.Now().Add(span)
	var notes sync.Map
	var all sync.WaitGroup
	for i, d := range []*device{phone, tablet} {
		all.Go(func() {
			for n := 0; time.Now().Before(end); n++ {
				path, text := "/note", fmt.Sprintf("mark %d-%d.", i, n)
				screen := d.get("/note?neck=N1")
				if screen.StatusCode == http.StatusServiceUnavailable { // the file was busy for two seconds
					refused.Add(1)
					continue
				}
				form := formOf(t, screen.body, "/note")
				form.Set("text", text)
				if start := d.get("/start").body; n%3 == 0 && strings.Contains(start, `action="/on"`) {
					path, form = "/on", formOf(t, start, "/on")
				}
				switch r := d.post(path, form); r.StatusCode {
				case http.StatusSeeOther:
					said.Add(1)
					if path == "/note" {
						notes.Store(text, true)
					}
				case http.StatusConflict, http.StatusUnprocessableEntity, http.StatusServiceUnavailable, http.StatusTooManyRequests:
					refused.Add(1)
				default:
					t.Errorf("%s: %d %s", path, r.StatusCode, r.body)
					return
				}
			}
		})
	}
	all.Go(func() {
		for n := 0; time.Now().Before(end); n++ {
			text := fmt.Sprintf("mark t-%d.", n)
			if _, err := workshop.At(b.path, clock).Do(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "N2", Text: text}); err != nil {
				refused.Add(1)
				continue
			}
			said.Add(1)
			notes.Store(text, true)
		}
	})
	all.Wait()
	if made := int64(b.journal() - before); made != said.Load() {
		t.Errorf("%d changes in the journal, %d said", made, said.Load())
	}
	raw, err := json.Marshal(recordsOf(t, b.path)["necks"])
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	notes.Range(func(text, _ any) bool {
		kept++
		if n := bytes.Count(raw, []byte(text.(string))); n != 1 {
			t.Errorf("%q is kept %d times", text, n)
		}
		return true
	})
	if n := bytes.Count(raw, []byte("mark ")); n != kept || kept < 10 {
		t.Errorf("%d notes on record, %d were said", n, kept)
	}
	t.Logf("%d changes, %d refusals in %s", said.Load(), refused.Load(), span)
}
