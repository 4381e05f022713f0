package store

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"
)

// BenchmarkLongestAnswer runs every command that reads as a whole process, at twenty
// years of the shop's own scale with all that surrounds the log, and gives its time,
// its largest memory and the longest wait of a bench word beside it. Wanted: 300 ms
// and 200 MB, for an export, an import, a check and a copy 1 s a 100 MB and 300 MB;
// a wait of at most 300 ms. The last line of each names what is over.
func BenchmarkLongestAnswer(b *testing.B) {
	dir, err := programs()
	if err != nil {
		b.Fatal(err)
	}
	path := benchFile(b, "shop", atShop)
	surround(b, path)
	now := benchNow()
	timed(b, now, "bookmatch", "--file", path, "shop", "set", "backup-keep", "0")
	last := fmt.Sprintf("N%d", atShop.necks)
	evening := start.AddDate(20, 0, 0).Format(time.DateOnly)
	out := b.TempDir()
	export := filepath.Join(out, "export.json")
	lines := []string{
		"now", "tonight --until 23:59", "tonight --until 23:59 --why", "neck list", "neck list --all", "neck show " + last, "neck show " + last + " --why", "report neck",
		"find glue", "find fret", "customer list", "calendar", "part list", "piece list", "operation list", "operation show drill", "route list", "route show headstock", "overhead show",
		"supply list", "supply show " + supplyName(1), "supply lot 1", "report supplies", "shopping", "wood list", "wood show hard-maple",
		"entry list", "entry list --history", "entry list --neck " + last + " --history", "evening show " + evening, "report evening " + evening, "report evening --from " + start.Format(time.DateOnly),
		"shop show", "bit list", "bit list --all", "bit show " + bitCode(0), "bit verdict", "bit verdict " + bitCode(atShop.bits-1) + " --neck " + last, "bit compare", "report bits",
		"layout show " + last, "layout check " + last, "layout compare " + last, "stack show " + last,
		"quote list", "quote show Q1001", "quote review Q1001", "quote review", "report quote Q1001", "report year", "data history", "data history entry 12",
		"data check", "data export --out " + export + " --force", "data backup --to " + out,
	}
	if testing.Short() { // to see that it runs, not how fast
		lines = append(lines[:4], lines[len(lines)-3:]...)
	}
	for _, line := range lines {
		b.Run(strings.ReplaceAll(strings.ReplaceAll(line, out, "OUT"), " ", "_"), func(b *testing.B) {
			all := times{}
			peak, wait := int64(0), time.Duration(0)
			var over []string
			for b.Loop() {
				longest, _ := longestWait(b, path, func(path string) error {
					began := time.Now()
					cmd := exec.Command(os.Args[0], append([]string{filepath.Join(dir, "bookmatch"), "--file", path}, strings.Fields(line)...)...)
					cmd.Env = append(os.Environ(), childMode+"=measure", "BOOKMATCH_NOW="+now.Format(time.RFC3339), "TZ=UTC")
					said, err := cmd.Output()
					all.add("ms", took{wall: time.Since(began)})
					if err != nil {
						return fmt.Errorf("%w: %s", err, said)
					}
					kb, err := strconv.ParseInt(strings.TrimSpace(string(said)), 10, 64)
					peak = max(peak, kb)
					return err
				})
				wait = max(wait, longest)
			}
			b.ReportMetric(0, "ns/op")
			ms := all.best("ms")
			b.ReportMetric(ms, "ms")
			b.ReportMetric(float64(peak)/1024, "MB")
			b.ReportMetric(float64(wait.Microseconds())/1000, "wait-ms")
			whole := strings.HasPrefix(line, "data ") && !strings.HasPrefix(line, "data history")
			if !whole && ms > 300 {
				over = append(over, "time")
			}
			if most := map[bool]int64{false: 200, true: 300}[whole]; peak/1024 > most {
				over = append(over, "memory")
			}
			if wait > 300*time.Millisecond {
				over = append(over, "wait")
			}
			if len(over) > 0 {
				b.Logf("over: %s", strings.Join(over, ", "))
			}
		})
	}
}

// surround puts beside a made-up log what a shop has besides: to every neck a plan, a
// quote, parts, a piece and notes with photos' paths. They are copies of the demo's.
func surround(tb testing.TB, path string) {
	tb.Helper()
	dir, err := programs()
	if err != nil {
		tb.Fatal(err)
	}
	shop := filepath.Join(tb.TempDir(), "demo")
	if said, err := exec.Command(filepath.Join(dir, "bookmatch"), "demo", "--dir", shop).CombinedOutput(); err != nil {
		tb.Fatalf("%v: %s", err, said)
	}
	var plans []jobs.Plan
	var quotes []jobs.Quote
	var parts []jobs.Part
	var pieces []jobs.Piece
	revisions := map[string][]jobs.Revision{}
	demo, err := Open(filepath.Join(shop, "demo.db"), Options{ReadOnly: true})
	if err != nil {
		tb.Fatal(err)
	}
	defer demo.Close()
	err = demo.View(func(tx *Tx) (err error) {
		if plans, err = All(tx, Plans); err != nil {
			return err
		}
		if quotes, err = All(tx, Quotes); err != nil {
			return err
		}
		quotes = slices.DeleteFunc(quotes, func(q jobs.Quote) bool { return q.Status != jobs.QuoteAccepted })
		if parts, err = All(tx, Parts); err != nil {
			return err
		}
		if pieces, err = All(tx, Pieces); err != nil {
			return err
		}
		all, err := All(tx, Revisions)
		for _, r := range all {
			revisions[r.Quote] = append(revisions[r.Quote], r)
		}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	if len(plans)*len(quotes)*len(parts)*len(pieces) == 0 {
		tb.Fatalf("the demo has %d plans, %d accepted quotes, %d parts, %d pieces", len(plans), len(quotes), len(parts), len(pieces))
	}
	update(tb, path, start.AddDate(20, 0, 0), "made up surroundings", func(tx *Tx) error {
		necks, err := All(tx, Necks)
		if err != nil {
			return err
		}
		for i, n := range necks {
			p := plans[i%len(plans)]
			p.Neck, p.Version, p.File, p.Made = n.Code, 1, "", n.Added
			n.Layout = p.Code
			q := quotes[i%len(quotes)]
			of := q.Code
			q.Code, q.Necks, n.Quote = fmt.Sprintf("Q%d", 1001+i), []string{n.Code}, fmt.Sprintf("Q%d", 1001+i)
			n.Notes = append(n.Notes, jobs.NeckNote{At: n.Added, Text: "two voids at the fifth fret"}, jobs.NeckNote{At: n.Added, Photo: "/photos/" + n.Code + ".jpg"})
			for _, r := range revisions[of] {
				r.Quote = q.Code
				if err := Put(tx, Revisions, r); err != nil {
					return err
				}
			}
			for k := range 3 {
				x := parts[(3*i+k)%len(parts)]
				x.Neck = n.Code
				if x.ID, err = NextID(tx, Parts); err != nil {
					return err
				}
				if err := Put(tx, Parts, x); err != nil {
					return err
				}
			}
			x := pieces[i%len(pieces)]
			x.Code, x.From, x.Neck = fmt.Sprintf("V%d", 1001+i), "", ""
			if err := Put(tx, Pieces, x); err != nil {
				return err
			}
			if err := Put(tx, Plans, p); err != nil {
				return err
			}
			if err := Put(tx, Quotes, q); err != nil {
				return err
			}
			if err := Put(tx, Necks, n); err != nil {
				return err
			}
		}
		return nil
	})
}
