package store

import (
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// The files of the benchmarks, made from a seed: a shop after a month, and
// after twenty years of evenings.
var benchFiles struct {
	sync.Mutex
	dir  string
	made map[string]string
}

// benchFile gives a fresh copy of a made-up file of a size; the original is
// made once a run. BOOKMATCH_BENCH_DIR keeps the originals for the next run.
func benchFile(tb testing.TB, name string, sz size) string {
	tb.Helper()
	if testing.Short() && sz.entries > 5000 { // to see that it runs, not how fast
		sz.entries, sz.bitUses, sz.lots = sz.entries/20, sz.bitUses/20, sz.lots/20
	}
	benchFiles.Lock()
	defer benchFiles.Unlock()
	if benchFiles.made == nil {
		benchFiles.made = map[string]string{}
		benchFiles.dir = os.Getenv("BOOKMATCH_BENCH_DIR")
		if benchFiles.dir == "" {
			dir, err := os.MkdirTemp("", "bookmatch-bench")
			if err != nil {
				tb.Fatal(err)
			}
			benchFiles.dir = dir
		}
	}
	original := filepath.Join(benchFiles.dir, name+".db")
	if benchFiles.made[name] == "" {
		if _, err := os.Stat(original); err != nil {
			began := time.Now()
			grow(tb, original, sz, 1)
			info, err := os.Stat(original)
			if err != nil {
				tb.Fatal(err)
			}
			tb.Logf("made %s in %.1f s, %d MB", name, time.Since(began).Seconds(), info.Size()>>20)
		}
		benchFiles.made[name] = original
	}
	image, err := os.ReadFile(original)
	if err != nil {
		tb.Fatal(err)
	}
	path := filepath.Join(tb.TempDir(), "shop.db")
	if err := os.WriteFile(path, image, 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}

// benchSizes are the two sizes everything is compared at.
var benchSizes = []struct {
	name string
	size size
}{{"month", oneMonth}, {"20years", twentyYears}}

// TestTwentyYears makes the 20-year file and looks it over, once, on demand.
func TestTwentyYears(t *testing.T) {
	if scale() == 1 {
		t.Skip("takes a minute; set BOOKMATCH_LONG")
	}
	path := benchFile(t, "20years", twentyYears)
	began := time.Now()
	h := mustBeSound(t, path)
	t.Logf("checked in %.1f s: %+v", time.Since(began).Seconds(), h)
}
