package store

import (
	"io"
	"testing"
	"time"
)

// atShop is twenty years at the scale of the shop.
var atShop = size{entries: 20_000, necks: 160, bits: 60, bitUses: 6_000, supplies: 40, lots: 1_000, spare: 2}

// BenchmarkLongestWait gives how long a change waits at most while the file is
// looked at, copied or exported, and while nothing is, at twenty years of the shop's own scale and at
// 100 000 entries. 300 ms is the limit.
func BenchmarkLongestWait(b *testing.B) {
	for _, sz := range []struct {
		name string
		size size
	}{{"shop", atShop}, {"100000", twentyYears}} {
		for _, look := range []struct {
			name string
			do   func(path string) error
		}{
			{"nothing", func(string) error { time.Sleep(2 * time.Second); return nil }},
			{"check", func(path string) error { _, err := Check(path); return err }},
			{"export", func(path string) error { return Export(path, io.Discard) }},
			{"backup", func(path string) error { _, err := Backup(path, "", "2046-01-06", 1); return err }},
		} {
			b.Run(sz.name+"/"+look.name, func(b *testing.B) {
				path := benchFile(b, sz.name, sz.size)
				for b.Loop() {
					longest, took := longestWait(b, path, look.do)
					b.ReportMetric(float64(longest.Microseconds())/1000, "wait-ms")
					b.ReportMetric(float64(took.Microseconds())/1000, "look-ms")
				}
			})
		}
	}
}

// longestWait makes one change after another while a look goes on, and gives the
// longest that one took.
func longestWait(tb testing.TB, path string, look func(path string) error) (longest, took time.Duration) {
	tb.Helper()
	done := make(chan error, 1)
	began := time.Now()
	go func() { done <- look(path) }()
	for i := 0; ; i++ {
		select {
		case err := <-done:
			if err != nil {
				tb.Fatal(err)
			}
			return longest, time.Since(began)
		default:
		}
		wait := time.Now()
		if err := tryUpdate(path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", 1+float64(i%7))) }); err != nil {
			tb.Fatal(err)
		}
		longest = max(longest, time.Since(wait))
		time.Sleep(100 * time.Millisecond) // a hand types no faster
	}
}

// A change goes through while a long look goes on: it takes less than the look.
func TestLooksDoNotHoldTheFile(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 3000, necks: 30, bits: 10, bitUses: 300, supplies: 5, lots: 20}, 3)
	if longest, took := longestWait(t, path, func(path string) error { _, err := Check(path); return err }); longest > 300*time.Millisecond && longest > took/2 {
		t.Errorf("a change waited %s for a check of %s", longest, took)
	}
}
