package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"

	bolt "go.etcd.io/bbolt"
)

// bare opens the file, commits one key to the disk and closes it: the least that
// a bench word can take (testdata/bare is the same as a program).
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

func BenchmarkOn(b *testing.B)   { benchWord(b, "", "on ease bo --anyway measuring") }
func BenchmarkOff(b *testing.B)  { benchWord(b, "on ease bo --anyway measuring", "off") }
func BenchmarkDone(b *testing.B) { benchWord(b, "on ease bo --anyway measuring", "done") }
func BenchmarkNow(b *testing.B)  { benchWord(b, "on ease bo --anyway measuring", "now") }

// benchWord types a bench word again and again, each time after the words that it
// needs, and takes it back. The bare limit is measured in the same run, on a copy of
// the file. Medians in ms, and their ratio.
func benchWord(b *testing.B, first, line string) {
	dir := b.TempDir()
	path, limit := filepath.Join(dir, "shop.db"), filepath.Join(dir, "bare.db")
	now := time.Date(2026, 11, 24, 18, 30, 0, 0, time.UTC)
	shop := workshop.At(path, func() time.Time { return now })
	for _, ask := range []struct {
		verb workshop.Verb
		ask  workshop.Ask
	}{
		{workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Test"}, "currency": {"EUR"}, "backup-keep": {"0"}}}},
		{workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N1", Nickname: "ada", Wood: "hard-maple"}},
		{workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N2", Nickname: "bo", Wood: "hard-maple"}},
	} {
		if _, err := shop.Do(ask.verb, ask.ask); err != nil {
			b.Fatal(err)
		}
	}
	raw, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(limit, raw, 0o600)
	}
	if err != nil {
		b.Fatal(err)
	}
	say := func(line string) {
		var out, noise bytes.Buffer
		now = now.Add(time.Second)
		e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &noise, Now: func() time.Time { return now }, Getenv: func(k string) string {
			return map[string]string{"BOOKMATCH_FILE": path}[k]
		}}
		if code := (words.Program{Commands: words.Bench()}).Run(context.Background(), strings.Fields(line), e); code != words.ExitDone {
			b.Fatalf("%s: exit %d: %s", line, code, noise.String())
		}
	}
	var ours, least []float64
	timed := func(to *[]float64, what func()) {
		began := time.Now()
		what()
		*to = append(*to, time.Since(began).Seconds()*1000)
	}
	for b.Loop() {
		undo := 0
		if first != "" {
			say(first)
			undo++
		}
		timed(&least, func() { bare(b, limit) })
		timed(&ours, func() { say(line) })
		if line != "now" {
			undo++
		}
		for range undo {
			say("oops")
		}
	}
	slices.Sort(ours)
	slices.Sort(least)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(ours[len(ours)/2], "ms")
	b.ReportMetric(least[len(least)/2], "bare-ms")
	b.ReportMetric(ours[len(ours)/2]/least[len(least)/2], "word/bare")
}
