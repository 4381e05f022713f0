package reports_test

import (
	"strings"
	"testing"

	"bookmatch/reports"
)

// heads gives what a report shows: its tables with their columns.
func heads(r reports.Report) string {
	var out []string
	for _, t := range r.Tables() {
		var keys []string
		for i, c := range t.Columns {
			keys = append(keys, c.Key+"="+r.Format().Show(t.Rows[0].At(i), c))
		}
		out = append(out, t.Name+": "+strings.Join(keys, " "))
	}
	return strings.Join(out, "; ")
}

func TestAtDepth(t *testing.T) {
	type step struct {
		name string
		min  float64
	}
	steps := reports.BuildKeyed(reports.Table{Name: "steps", Charts: []reports.Chart{
		{Title: "Minutes", X: "step", Series: []reports.Series{{Y: "likely_min"}}}}},
		[]step{{"drill", 20}, {"sand", 30}}, func(s step) string { return s.name }, []reports.Col[step]{
			{Column: reports.Column{Key: "step", Header: "step"}, Get: func(s step) reports.Cell { return reports.Text(s.name) }},
			{Column: reports.Column{Key: "likely_min", Header: "likely", Kind: reports.KindMinutes, At: reports.Full | reports.Why}, Get: func(s step) reports.Cell { return reports.MinutesOf(s.min) }},
		})
	why := reports.Table{Name: "why", Columns: []reports.Column{{Key: "what", Header: "what"}}}
	why.Add(reports.Text("pace"))
	r := reports.Report{Name: "neck", Notes: []string{"1", "2", "3", "4"}}
	r.Add(steps)
	r.Sections = append(r.Sections, reports.Section{At: reports.Why, Table: &why})
	for _, c := range []struct {
		name   string
		depth  reports.Depth
		want   string
		charts int
		notes  int
	}{
		{"first screen", reports.First, "steps: step=drill", 0, 3},
		{"report", reports.Full, "steps: step=drill likely_min=20", 1, 4},
		{"reasons", reports.First | reports.Why, "steps: step=drill likely_min=20; why: what=pace", 1, 4},
		{"lines", reports.First | reports.Lines, "steps: step=drill", 0, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := r.At(c.depth)
			if s := heads(got); s != c.want {
				t.Errorf("got %s, want %s", s, c.want)
			}
			if n := len(got.Table("steps").Charts); n != c.charts {
				t.Errorf("got %d charts, want %d", n, c.charts)
			}
			if n := len(got.Notes); n != c.notes {
				t.Errorf("got %d notes, want %d", n, c.notes)
			}
			if got.Table("steps").Rows[1].Key != "sand" {
				t.Error("the row lost its name")
			}
		})
	}
	if s := heads(r); s != "steps: step=drill likely_min=20; why: what=pace" {
		t.Errorf("the report itself became %s", s)
	}
}

// A stream is cut as the rows are.
func TestAtDepthStream(t *testing.T) {
	tab := reports.Table{Name: "log", Len: 2, Columns: []reports.Column{{Key: "hidden", Header: "hidden", At: reports.Full}, {Key: "shown", Header: "shown"}},
		Stream: func(yield func(reports.Row) bool) {
			_ = yield(reports.R(reports.Text("a"), reports.Text("b"))) && yield(reports.R(reports.Text("c"), reports.Text("d")))
		}}
	r := reports.Report{Name: "log"}
	r.Add(tab)
	got := ""
	for row := range r.At(reports.First).Tables()[0].All() {
		got += row.At(0).Words()
	}
	if got != "bd" {
		t.Errorf("got %q, want bd", got)
	}
}
