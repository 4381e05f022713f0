package reports_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
	"bookmatch/reports/workbook"
)

func solved(t testing.TB) *workshop.PlanResult {
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
	plan.Neck, plan.Version = "N12", 2
	return &workshop.PlanResult{Plan: plan, NeckName: "ada", PlanMade: made, Frozen: &frozen, Drilling: layout.DrillCounts(plan.Holes),
		Bits: []workshop.SheetBit{{Drills: "posts", Bit: "S10-1"}, {Drills: "hidden", Bit: "G2-1"}}, Cautions: []string{"clamp the work"},
		Versions: []workshop.PlanVersion{{Version: 1, Code: "AAAAA", Mode: "even-pitch", Made: made}, {Version: 2, Code: plan.Code, Mode: "balanced", Made: made, Frozen: &frozen}}}
}

// The drilling sheet holds every hole once, in the order to drill, with what a
// bench needs to find it, and fits 80 columns; a workbook of it can be made.
func TestDrillingSheet(t *testing.T) {
	s := solved(t)
	r := reports.DrillingSheet(s)
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	holes := r.Table("holes")
	if len(holes.Rows) != len(s.Holes) || len(holes.Rows) != 18 {
		t.Fatalf("%d rows for %d holes", len(holes.Rows), len(s.Holes))
	}
	for _, key := range []string{"string", "x_mm", "y_mm", "last_mm", "edge_mm", "diameter_mm", "depth_mm", "bit"} {
		if holes.Index(key) < 0 {
			t.Errorf("the sheet has no %s", key)
		}
	}
	notes := strings.Join(append(slices.Clone(holes.Notes), r.Cautions...), "|")
	if strings.Count(notes, "clamp the work") != 1 || !strings.Contains(notes, s.Code) || !strings.Contains(notes, "labels") || !strings.Contains(notes, "backing") {
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
	s := solved(t)
	cmp, err := layout.Compare(s.Spec)
	if err != nil {
		t.Fatal(err)
	}
	var marks []layout.Mark
	for _, p := range s.Posts {
		marks = append(marks, layout.Mark{Hole: p.String, XMM: p.XMM + 0.8*float64(p.String%2), YMM: p.YMM})
	}
	res, err := layout.CompareMarks(s.Plan, marks, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	k := layout.Stack{CoreMM: 12.8, FaceMM: []float64{1.4}}
	tuner := layout.Tuner{ClampLeast: 12, ClampMost: 15}
	sum, _ := layout.StackOf(k, tuner, nil)
	for _, r := range []reports.Report{reports.Solved(s), reports.PlanChecks(&workshop.CheckPlanResult{PlanResult: *s}), reports.Compared(&workshop.CompareResult{Comparison: cmp}),
		reports.Marks(&workshop.MarksResult{MarksResult: res, NeckName: "ada", Posts: s.Posts}),
		reports.StackCard(&workshop.StackResult{Stack: sum, Side: "back", Veneers: layout.FitVeneers(k, tuner, nil, "back", []layout.Veneer{{Code: "V1", MM: 0.6}})})} {
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
