package workbook

import (
	"io"
	"runtime"
	"testing"
	"time"

	"bookmatch/reports"
	"bookmatch/reports/reporttest"

	"github.com/xuri/excelize/v2"
)

// benchRows is a working life of entries.
const benchRows = 100_000

// logged makes one row of a time log: the work that a report has with an
// entry is in the measurement.
func logged(i int) reports.Row {
	at := reporttest.Made.Add(time.Duration(i) * 37 * time.Minute)
	return reports.R(reports.Date(at), reports.Text("N12"), reports.Text("flush-sand"), reports.Text("first pass"), reports.Clock(at), reports.Clock(at.Add(22*time.Minute)),
		reports.Minutes(time.Duration(22*60+i%600)*time.Second), reports.Count(i%9), reports.Number(float64(i%100)/10), reports.Text("a note of some length"))
}

func logReport() reports.Report {
	r := reports.Report{Name: "log", Title: "Time log", Currency: "EUR", Made: reporttest.Made, Zone: reporttest.Berlin()}
	r.Sections = reports.Sections(reports.Table{Name: "Log", Title: "Time log", Len: benchRows, Columns: []reports.Column{
		{Key: "evening", Header: "evening", Kind: reports.KindDate}, {Key: "neck", Header: "neck"}, {Key: "operation", Header: "operation"}, {Key: "class", Header: "class"},
		{Key: "from", Header: "from", Kind: reports.KindClock}, {Key: "to", Header: "to", Kind: reports.KindClock}, {Key: "elapsed_min", Header: "time", Unit: "min", Kind: reports.KindMinutes, Sum: true},
		{Key: "count", Header: "count", Kind: reports.KindCount, Sum: true}, {Key: "area", Header: "area", Kind: reports.KindNumber}, {Key: "note", Header: "note"}},
		Stream: func(yield func(reports.Row) bool) {
			for i := range benchRows {
				if !yield(logged(i)) {
					return
				}
			}
		}})
	return r
}

// bare writes the same cells with the stream writer alone: the limit.
func bare(w io.Writer) error {
	f := excelize.NewFile()
	defer f.Close()
	date, clock := "yyyy-mm-dd", "hh:mm"
	d, err := f.NewStyle(&excelize.Style{CustomNumFmt: &date})
	if err != nil {
		return err
	}
	c, err := f.NewStyle(&excelize.Style{CustomNumFmt: &clock})
	if err != nil {
		return err
	}
	sw, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		return err
	}
	zone := reporttest.Berlin()
	for i := range benchRows {
		at := reporttest.Made.Add(time.Duration(i) * 37 * time.Minute)
		row := []any{excelize.Cell{StyleID: d, Value: serial(at)}, "N12", "flush-sand", "first pass",
			excelize.Cell{StyleID: c, Value: serial(at.In(zone))}, excelize.Cell{StyleID: c, Value: serial(at.Add(22 * time.Minute).In(zone))},
			float64(22*60+i%600) / 60, i % 9, float64(i%100) / 10, "a note of some length"}
		if err := sw.SetRow(ref(1, i+1), row); err != nil {
			return err
		}
	}
	if err := sw.Flush(); err != nil {
		return err
	}
	return f.Write(w)
}

// BenchmarkWorkbook100k writes 100 000 entries by the table model and by the
// bare stream writer in the same run, in turn, and reports the ratio of their
// times (to stay at or below 1.5) and the memory in use at the end of each.
func BenchmarkWorkbook100k(b *testing.B) {
	var ours, limit time.Duration
	var oursMem, limitMem uint64
	r := logReport()
	for b.Loop() {
		limit += timed(b, bare, &limitMem)
		ours += timed(b, func(w io.Writer) error { return Write(w, r) }, &oursMem)
	}
	b.ReportMetric(ours.Seconds()/float64(b.N), "s/workbook")
	b.ReportMetric(limit.Seconds()/float64(b.N), "s/bare")
	b.ReportMetric(ours.Seconds()/limit.Seconds(), "ratio")
	b.ReportMetric(float64(oursMem)/1e6, "MB-peak")
	b.ReportMetric(float64(limitMem)/1e6, "MB-peak-bare")
}

// timed runs write and keeps the largest heap seen while bytes pass.
func timed(b *testing.B, write func(io.Writer) error, peak *uint64) time.Duration {
	b.Helper()
	runtime.GC()
	w := &gauge{}
	start := time.Now()
	if err := write(w); err != nil {
		b.Fatal(err)
	}
	took := time.Since(start)
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	*peak = max(*peak, m.HeapSys-m.HeapReleased)
	return took
}

type gauge struct{ n int64 }

func (g *gauge) Write(p []byte) (int, error) { g.n += int64(len(p)); return len(p), nil }
