package store

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// The program and the bare limit, built once a run.
var programs = sync.OnceValues(func() (dir string, err error) {
	if dir, err = os.MkdirTemp("", "bookmatch-programs"); err != nil {
		return "", err
	}
	for _, p := range []string{"bookmatch/cmd/bookmatch", "bookmatch/cmd/bm", "bookmatch/testdata/bare"} {
		if out, err := exec.Command("go", "build", "-o", dir+"/", p).CombinedOutput(); err != nil {
			return "", fmt.Errorf("%w: %s", err, out)
		}
	}
	return dir, nil
})

// took is how long a whole process took: by the clock, and of the processor.
type took struct{ wall, cpu time.Duration }

// timed runs a program to its end.
func timed(b testing.TB, now time.Time, name string, args ...string) took {
	b.Helper()
	dir, err := programs()
	if err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command(filepath.Join(dir, name), args...)
	cmd.Env = append(os.Environ(), "BOOKMATCH_NOW="+now.Format(time.RFC3339), "TZ=UTC")
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	began := time.Now()
	err = cmd.Run()
	wall := time.Since(began)
	if err != nil {
		b.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out.String())
	}
	return took{wall, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
}

type times map[string][]took

func (t times) add(name string, d took) { t[name] = append(t[name], d) }

// best by the clock in ms: what else the machine does only ever adds.
func (t times) best(name string) float64 {
	least := slices.MinFunc(t[name], func(a, b took) int { return cmp.Compare(a.wall, b.wall) })
	return float64(least.wall.Microseconds()) / 1000
}

// median by the clock in ms.
func (t times) median(name string) float64 {
	d := slices.SortedFunc(slices.Values(t[name]), func(a, b took) int { return cmp.Compare(a.wall, b.wall) })
	return float64(d[len(d)/2].wall.Microseconds()) / 1000
}

// cpu gives the median of processor time in ms.
func (t times) cpu(name string) float64 {
	d := slices.SortedFunc(slices.Values(t[name]), func(a, b took) int { return cmp.Compare(a.cpu, b.cpu) })
	return float64(d[len(d)/2].cpu.Microseconds()) / 1000
}

func benchNow() time.Time { return start.AddDate(20, 0, 0).Add(4 * time.Hour) }

// BenchmarkBenchWords runs on, off and done as whole processes (bm), each between
// two runs of the bare program on the same file, and gives the best of each and
// their ratio. The limit wanted is twice the bare program at both sizes. Beside
// them: a drilling, for which a bit is judged too, and on by the whole program.
func BenchmarkBenchWords(b *testing.B) {
	for _, sz := range benchSizes {
		b.Run(sz.name, func(b *testing.B) {
			path := benchFile(b, sz.name, sz.size)
			now := benchNow()
			neck := fmt.Sprintf("N%d", sz.size.necks)
			timed(b, now, "bookmatch", "--file", path, "shop", "set", "backup-keep", "0")
			all := times{}
			b.ResetTimer()
			for b.Loop() {
				done := 0
				for _, w := range []struct{ name, program, line string }{
					{"on", "bm", "on ease " + neck + " --anyway measuring"},
					{"off", "bm", "off"},
					{"whole-on", "bookmatch", "on ease " + neck + " --anyway measuring"},
					{"done", "bm", "done"},
					{"drill-on", "bm", "on drill " + neck + " --anyway measuring"},
					{"drill-done", "bm", "done 6"},
				} {
					all.add("bare", timed(b, now, "bare", path))
					now = now.Add(10 * time.Second) // a long run must not reach the next evening
					all.add(w.name, timed(b, now, w.program, append([]string{"--file", path}, strings.Fields(w.line)...)...))
					done++
				}
				for range done {
					timed(b, now, "bm", "--file", path, "oops")
				}
			}
			bare := all.best("bare")
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(bare, "bare-ms")
			for _, w := range []string{"on", "off", "done", "drill-on", "drill-done", "whole-on"} {
				b.ReportMetric(all.best(w), w+"-ms")
				b.ReportMetric(all.best(w)/bare, w+"/bare")
				b.ReportMetric(all.median(w)/all.median("bare"), w+"/bare-median")
				b.ReportMetric(all.cpu(w), w+"-cpu-ms")
			}
		})
	}
}

// BenchmarkReaders runs the readers as whole processes at both sizes and gives
// the best of each and how many times slower twenty years are than a month.
func BenchmarkReaders(b *testing.B) {
	dir := map[string]string{}
	for _, sz := range benchSizes {
		dir[sz.name] = benchFile(b, sz.name, sz.size)
	}
	now := benchNow()
	day := start.AddDate(20, 0, 0).Format(time.DateOnly)
	for _, c := range []struct {
		name string
		args func(sz size) []string
	}{
		{"start", func(size) []string { return []string{"--help"} }},
		{"shop-show", func(size) []string { return []string{"shop", "show"} }},
		{"entry-list", func(size) []string { return []string{"entry", "list", "--evening", day} }},
		{"neck-show", func(sz size) []string { return []string{"neck", "show", fmt.Sprintf("N%d", sz.necks)} }},
		{"bit-verdict", func(sz size) []string { return []string{"bit", "verdict", bitCode(0)} }},
		{"supply-show", func(size) []string { return []string{"supply", "show", supplyName(1)} }},
		{"data-history", func(size) []string { return []string{"data", "history"} }},
		{"tonight", func(size) []string { return []string{"tonight", "--until", "23:59"} }},
		{"report-year", func(size) []string { return []string{"report", "year"} }},
	} {
		b.Run(c.name, func(b *testing.B) {
			if out, code := try(b, now, dir["month"], c.args(oneMonth)); code != 0 {
				b.Fatalf("exit code %d: %s", code, out)
			}
			all := times{}
			for b.Loop() {
				for _, sz := range benchSizes {
					all.add(sz.name, timed(b, now, "bookmatch", append([]string{"--file", dir[sz.name]}, c.args(sz.size)...)...))
				}
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(all.best("month"), "month-ms")
			b.ReportMetric(all.best("20years"), "20years-ms")
			b.ReportMetric(all.cpu("20years"), "20years-cpu-ms")
			b.ReportMetric(all.best("20years")/all.best("month"), "20years/month")
		})
	}
}

func try(b *testing.B, now time.Time, path string, args []string) (string, int) {
	b.Helper()
	dir, err := programs()
	if err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command(filepath.Join(dir, "bookmatch"), append([]string{"--file", path}, args...)...)
	cmd.Env = append(os.Environ(), "BOOKMATCH_NOW="+now.Format(time.RFC3339))
	out, _ := cmd.CombinedOutput()
	return string(out), cmd.ProcessState.ExitCode()
}

// BenchmarkExportProcess exports the 20-year file as a whole process and gives
// its speed and its largest memory (getrusage; the mapped pages of the file count),
// against a bare copy of as many bytes.
func BenchmarkExportProcess(b *testing.B) {
	path := benchFile(b, "20years", twentyYears)
	dir, err := programs()
	if err != nil {
		b.Fatal(err)
	}
	out := filepath.Join(b.TempDir(), "export.json")
	var peak int64
	for b.Loop() {
		// Linux counts what a process was before it became another program, and this
		// one is large: a small one of our own starts the export and measures it.
		cmd := exec.Command(os.Args[0], filepath.Join(dir, "bookmatch"), "--file", path, "data", "export", "--out", out, "--force")
		cmd.Env = append(os.Environ(), childMode+"=measure")
		said, err := cmd.CombinedOutput()
		if err != nil {
			b.Fatalf("%v: %s", err, said)
		}
		kb, err := strconv.ParseInt(strings.TrimSpace(string(said)), 10, 64)
		if err != nil {
			b.Fatal(err)
		}
		peak = max(peak, kb)
	}
	info, err := os.Stat(out)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	b.ReportMetric(float64(peak)/1024, "peak-MB")
	raw, err := os.ReadFile(out)
	if err != nil {
		b.Fatal(err)
	}
	if !json.Valid(raw) {
		b.Fatal("the export is no JSON")
	}
	began := time.Now()
	if err := os.WriteFile(out, raw, 0o600); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(raw))/1e6/time.Since(began).Seconds(), "bare-write-MB/s")
}

// BenchmarkImport takes the 20-year export in again.
func BenchmarkImport(b *testing.B) {
	path := benchFile(b, "20years", twentyYears)
	doc := export(b, path)
	b.SetBytes(int64(len(doc)))
	for b.Loop() {
		if err := buildFrom(filepath.Join(b.TempDir(), "shop.db"), bytes.NewReader(doc)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBackup copies the 20-year file, against a bare copy of its bytes.
func BenchmarkBackup(b *testing.B) {
	path := benchFile(b, "20years", twentyYears)
	raw, err := os.ReadFile(path)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(raw)))
	var mine, bare time.Duration
	for b.Loop() {
		began := time.Now()
		if _, err := Backup(path, "", "2046-01-06", 1); err != nil {
			b.Fatal(err)
		}
		mine += time.Since(began)
		began = time.Now()
		if err := writeSynced(filepath.Join(b.TempDir(), "bare"), raw); err != nil {
			b.Fatal(err)
		}
		bare += time.Since(began)
	}
	b.ReportMetric(mine.Seconds()/bare.Seconds(), "backup/bare")
}

func writeSynced(path string, raw []byte) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.Write(raw); err != nil {
		return err
	}
	return f.Sync()
}

// BenchmarkCheck looks the 20-year file over, whole.
func BenchmarkCheck(b *testing.B) {
	path := benchFile(b, "20years", twentyYears)
	info, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	for b.Loop() {
		mustBeSound(b, path)
	}
}
