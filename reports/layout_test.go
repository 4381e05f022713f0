package reports

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/layout"
	"bookmatch/reports/plain"
)

func templateSheet(t testing.TB) LayoutSheet {
	t.Helper()
	d := templateDrawing(t)
	frozen := d.Made.Add(time.Hour)
	return LayoutSheet{
		Shop: jobs.DefaultShop(), Neck: jobs.Neck{Code: "N12", Nickname: "ada"}, Plan: d.Plan, Made: d.Made, State: "frozen",
		Bits: []SheetBit{{"posts", "S10-1"}, {"hidden", "G2-1"}}, Cautions: []string{"clamp the work", "clamp the work"},
		Versions: []jobs.Plan{{Version: 1, Code: "AAAAA", Mode: "even-pitch", Made: d.Made}, {Version: 2, Code: d.Plan.Code, Mode: "balanced", Made: d.Made, Frozen: &frozen}},
	}
}

// The drilling sheet holds every hole once, in the order to drill, with what a
// bench needs to find it, and fits 80 columns; a workbook of it can be made.
func TestDrillingSheet(t *testing.T) {
	s := templateSheet(t)
	r := DrillingSheet(s)
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
	if err := (Terminal{}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if plain.Width(line) > 80 {
			t.Errorf("%d columns: %s", plain.Width(line), line)
		}
	}
	if err := Workbook(&bytes.Buffer{}, r); err != nil {
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
	for _, r := range []Report{LayoutSolved(s), LayoutChecks(s.Plan.Findings, s.Plan.Notes), LayoutCompare(cmp), LayoutMarks(res, s.Plan),
		StackReport(sum, "back", layout.FitVeneers(k, tuner, nil, "back", []layout.Veneer{{Code: "V1", MM: 0.6}}))} {
		var b bytes.Buffer
		if err := (Terminal{}).Print(&b, r); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if plain.Width(line) > 80 {
				t.Errorf("%s: %d columns: %s", r.Name, plain.Width(line), line)
			}
		}
	}
}
