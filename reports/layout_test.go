package reports_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
	"bookmatch/reports/workbook"
)

func templateSheet(t testing.TB) reports.LayoutSheet {
	t.Helper()
	spec, err := layout.ReadSpec([]byte(reporttest.Template), nil)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := layout.Solve(spec, layout.Balanced)
	if err != nil {
		t.Fatal(err)
	}
	made := time.Date(2026, 3, 4, 19, 0, 0, 0, time.UTC)
	frozen := made.Add(time.Hour)
	return reports.LayoutSheet{
		Shop: jobs.DefaultShop(), Neck: jobs.Neck{Code: "N12", Nickname: "ada"}, Plan: plan, Made: made, State: "frozen",
		Bits: []reports.SheetBit{{"posts", "S10-1"}, {"hidden", "G2-1"}}, Cautions: []string{"clamp the work", "clamp the work"},
		Versions: []jobs.Plan{{Version: 1, Code: "AAAAA", Mode: "even-pitch", Made: made}, {Version: 2, Code: plan.Code, Mode: "balanced", Made: made, Frozen: &frozen}},
	}
}

// The drilling sheet holds every hole once, in the order to drill, with what a
// bench needs to find it, and fits 80 columns; a workbook of it can be made.
func TestDrillingSheet(t *testing.T) {
	s := templateSheet(t)
	r := reports.DrillingSheet(s)
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	holes := r.Table("holes")
	if len(holes.Rows) != len(s.Plan.Holes) || len(holes.Rows) != 18 {
		t.Fatalf("%d rows for %d holes", len(holes.Rows), len(s.Plan.Holes))
	}
	for _, key := range []string{"string", "x_mm", "y_mm", "last_mm", "edge_mm", "diameter_mm", "depth_mm", "bit"} {
		if holes.Index(key) < 0 {
			t.Errorf("the sheet has no %s", key)
		}
	}
	notes := strings.Join(holes.Notes, "|")
	if strings.Count(notes, "clamp the work") != 1 || !strings.Contains(notes, s.Plan.Code) || !strings.Contains(notes, "labels") || !strings.Contains(notes, "backing") {
		t.Errorf("notes: %s", notes)
	}
	var b bytes.Buffer
	if err := (screen.Screen{}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if plain.Width(line) > 80 {
			t.Errorf("%d columns: %s", plain.Width(line), line)
		}
	}
	if err := workbook.Write(&bytes.Buffer{}, r); err != nil {
		t.Fatal(err)
	}
}

// Every layout table fits 80 columns.
func TestLayoutTablesFit(t *testing.T) {
	s := templateSheet(t)
	cmp, err := layout.Compare(s.Plan.Spec)
	if err != nil {
		t.Fatal(err)
	}
	var marks []layout.Mark
	for _, p := range s.Plan.Posts {
		marks = append(marks, layout.Mark{Hole: p.String, XMM: p.XMM + 0.8*float64(p.String%2), YMM: p.YMM})
	}
	res, err := layout.CompareMarks(s.Plan, marks, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	k := layout.Stack{CoreMM: 12.8, FaceMM: []float64{1.4}}
	tuner := layout.Tuner{ClampLeast: 12, ClampMost: 15}
	sum, _ := layout.StackOf(k, tuner, nil)
	for _, r := range []reports.Report{reports.LayoutSolved(s), reports.LayoutChecks(s.Plan.Findings, s.Plan.Notes), reports.LayoutCompare(cmp), reports.LayoutMarks(res, s.Plan),
		reports.StackReport(sum, "back", layout.FitVeneers(k, tuner, nil, "back", []layout.Veneer{{Code: "V1", MM: 0.6}}))} {
		var b bytes.Buffer
		if err := (screen.Screen{}).Print(&b, r); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if plain.Width(line) > 80 {
				t.Errorf("%s: %d columns: %s", r.Name, plain.Width(line), line)
			}
		}
	}
}
