package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// bare opens a file, commits one key to the disk and closes it: the limit that
// commands are measured against (testdata/bare is the same as a program).
func bare(b *testing.B, path string) {
	b.Helper()
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: 2 * time.Second})
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if err := db.Update(func(tx *bolt.Tx) error {
		keys, err := tx.CreateBucketIfNotExists([]byte("bare"))
		if err != nil {
			return err
		}
		return keys.Put([]byte("key"), []byte(time.Now().String()))
	}); err != nil {
		b.Fatal(err)
	}
}

func BenchmarkOn(b *testing.B)          { benchCommand(b, "on ease curlew --anyway measuring", "oops") }
func BenchmarkNeckNote(b *testing.B)    { benchCommand(b, "neck note finch measured", "oops") }
func BenchmarkSupplyUse(b *testing.B)   { benchCommand(b, "supply use wood-glue 1 --neck finch", "oops") }
func BenchmarkNow(b *testing.B)         { benchCommand(b, "now", "") }
func BenchmarkNeckShow(b *testing.B)    { benchCommand(b, "neck show finch", "") }
func BenchmarkEveningShow(b *testing.B) { benchCommand(b, "evening show EVENING", "") }
func BenchmarkBitVerdict(b *testing.B)  { benchCommand(b, "bit verdict S10-3 --neck finch", "") }
func BenchmarkThisEvening(b *testing.B) { benchCommand(b, "tonight --until 22:00", "") }

// benchCommand types a line in the demo's shop again and again, and then the line
// that takes it back. The bare limit is measured in the same run, on a copy of the
// file. Medians in ms, and their ratio.
func benchCommand(b *testing.B, line, back string) {
	d, limit := newDemoShop(b), newDemoShop(b)
	d.columns = 0
	d.say("shop", "set", "backup-keep", "0")
	var ours, least []float64
	timed := func(to *[]float64, what func()) {
		began := time.Now()
		what()
		*to = append(*to, time.Since(began).Seconds()*1000)
	}
	for b.Loop() {
		timed(&least, func() { bare(b, filepath.Join(limit.dir, "demo.db")) })
		timed(&ours, func() { d.say(d.line(line)...) })
		if back != "" {
			d.say(strings.Fields(back)...)
		}
	}
	slices.Sort(ours)
	slices.Sort(least)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(ours[len(ours)/2], "ms")
	b.ReportMetric(least[len(least)/2], "bare-ms")
	b.ReportMetric(ours[len(ours)/2]/least[len(least)/2], "command/bare")
}
