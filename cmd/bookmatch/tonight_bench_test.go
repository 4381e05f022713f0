package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
)

// benchFile makes a file of 2 000 necks, twelve of them open, and 100 000
// entries over twenty years, and gives its path and the evening after them.
func benchFile(b *testing.B) (path string, now time.Time) {
	b.Helper()
	path = filepath.Join(b.TempDir(), "shop.db")
	start := time.Date(2006, 1, 3, 18, 0, 0, 0, time.UTC)
	now = start
	s, err := store.Open(path, store.Options{Create: true, Now: func() time.Time { return now }})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	put := func(fn func(*store.Tx) error) {
		if err := s.Update(fn); err != nil {
			b.Fatal(err)
		}
	}
	operations := map[string]jobs.Operation{}
	for _, k := range jobs.SeedOperations() {
		operations[k.Name] = k
	}
	put(func(tx *store.Tx) error {
		shop, err := workshop.Seed(tx)
		shop.Currency, shop.Zone = "EUR", "Europe/Berlin"
		shop.Evenings = []jobs.Slot{{Day: time.Tuesday, From: 19 * 60, To: 22 * 60}, {Day: time.Thursday, From: 19 * 60, To: 22 * 60}}
		if err != nil {
			return err
		}
		return store.Put(tx, store.Shops, shop)
	})
	const necks, each = 2000, 50
	for n := 0; n < necks; n += 20 {
		put(func(tx *store.Tx) error {
			for i := n; i < n+20; i++ {
				steps, quantities, err := jobs.PlanSteps(jobs.SeedRoutes()[0], operations, nil)
				if err != nil {
					return err
				}
				neck := jobs.Neck{Code: fmt.Sprint("N", i), Status: jobs.Finished, Wood: "hard-maple", Route: "headstock", Steps: steps, Quantities: quantities, Added: now}
				last := len(steps)
				if i >= necks-12 {
					neck.Status, last = jobs.Open, 1+i%10
				}
				if err := store.Put(tx, store.Necks, neck); err != nil {
					return err
				}
				for j := range each {
					at := start.Add(time.Duration(i*each+j) * 105 * time.Minute)
					end := at.Add(time.Duration(15+j%30) * time.Minute)
					st := steps[j*last/each]
					e := jobs.Entry{Operation: st.Operation, Class: jobs.First, From: at, To: &end, Written: at, SetupPart: 0.3,
						Shares: []jobs.Share{{Neck: neck.Code, Step: st.No, Count: st.Quantity, Done: (j+1)*last/each > j*last/each}}}
					if e.ID, err = store.NextID(tx, store.Entries); err != nil {
						return err
					}
					if err := store.Put(tx, store.Entries, e); err != nil {
						return err
					}
					now = end
				}
			}
			return nil
		})
	}
	return path, now.Add(72 * time.Hour)
}

// BenchmarkTonight plans an evening on a file of twenty years. The bare limit
// is the same file opened for writing and closed again.
func BenchmarkTonight(b *testing.B) {
	path, now := benchFile(b)
	b.Run("bare", func(b *testing.B) {
		for b.Loop() {
			s, err := store.Open(path, store.Options{})
			if err != nil {
				b.Fatal(err)
			}
			s.Close()
		}
	})
	for _, args := range [][]string{{"tonight", "--from", "19:30", "--until", "23:30", "--json"}, {"tonight", "--until", "23:30", "--json"}, {"evening", "show"}, {"operation", "show", "drill", "--json"}, {"entry", "list", "--neck", "N1999", "--json"}, {"entry", "list", "--neck", "N1999", "--history"}} {
		b.Run(strings.Join(args, " "), func(b *testing.B) {
			for b.Loop() {
				var out, errs bytes.Buffer
				e := &words.Env{Out: &out, ErrOut: &errs, Now: func() time.Time { return now }, Getenv: func(k string) string {
					if k == "BOOKMATCH_FILE" {
						return path
					}
					return ""
				}}
				if code := run(context.Background(), args, e); code != 0 {
					b.Fatalf("exit %d: %s", code, errs.String())
				}
			}
		})
	}
}
