package reports

import (
	"fmt"
	"math"
	"time"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// LayoutSheet is all about a plan as one value.
type LayoutSheet struct {
	Shop     jobs.Shop
	Neck     jobs.Neck
	Plan     layout.Plan
	Made     time.Time
	State    string
	Stale    string
	Bits     []SheetBit
	Cautions []string
	Versions []jobs.Plan
}

// SheetBit is the bit for one sort of hole, or why there is none.
type SheetBit struct{ Drills, Bit string }

func (s LayoutSheet) report(name, title string) Report {
	r := Report{Name: name, Title: title, Subject: fmt.Sprintf("plan %s, version %d, %s, %s", s.Plan.Code, s.Plan.Version, s.Plan.Mode, s.State),
		Currency: s.Shop.Currency, Paper: Paper(s.Shop.Paper), Zone: s.Shop.Location(), Made: s.Made, Shop: s.Shop.Name}
	r.Count("x, y", "from the fretboard end on the centre line, in the plane of the face: x to the treble side, y to the tip")
	r.Count("edge", "shortest distance from the post's centre to the outline")
	r.Count("off", "beside the post's place on its string, positive to the treble side")
	r.Count("cut", "what the bit cuts, the way into the backing included")
	return r
}

func maybe(v *float64) Cell {
	if v == nil {
		return NotRecorded()
	}
	return MM(*v)
}

// LayoutSolved is the answer of a solve: posts and what gave way.
func LayoutSolved(s LayoutSheet) Report {
	r := s.report("layout", "")
	r.Subject = ""
	t := postTable(s.Plan)
	t.Title = ""
	for _, n := range s.Plan.Notes {
		t.Note("%s", n)
	}
	r.Sections = Sections(t)
	return r
}

func postTable(p layout.Plan) Table {
	t := Table{Name: "posts", Title: "Posts", Columns: []Column{
		{Key: "string", Header: "string", Kind: KindCount}, {Key: "side", Header: "side"},
		{Key: "x_mm", Header: "x", Unit: "mm", Kind: KindMM}, {Key: "y_mm", Header: "y", Unit: "mm", Kind: KindMM},
		{Key: "pitch_mm", Header: "pitch", Unit: "mm", Kind: KindMM}, {Key: "edge_mm", Header: "edge", Unit: "mm", Kind: KindMM},
		{Key: "edge_part", Header: "edge is", Max: 20}, {Key: "off_string_mm", Header: "off", Unit: "mm", Kind: KindMM},
	}}
	for _, q := range p.Posts {
		pitch := maybe(q.PitchMM)
		if q.Place == 1 {
			pitch = Empty()
		}
		t.Add(Count(q.String), Text(q.Side), MM(q.XMM), MM(q.YMM), pitch, maybe(q.EdgeMM), Text(q.EdgePart), MM(q.OffStringMM))
	}
	for _, row := range p.Rows {
		if row.Posts > 1 {
			t.Note("%s row end to end %.2f mm", row.Side, row.EndToEndMM)
		}
	}
	return t
}

// DrillingSheet is what lies beside the drill press.
func DrillingSheet(s LayoutSheet) Report {
	r := s.report("layout-"+s.Plan.Neck, "Drilling sheet of "+s.Neck.Name())
	h := Table{Name: "holes", Title: "Holes in the order to drill them", Wide: true, Columns: []Column{
		{Key: "hole", Header: "hole", Kind: KindCount}, {Key: "string", Header: "string", Kind: KindCount}, {Key: "kind", Header: "kind"}, {Key: "from", Header: "from"},
		{Key: "x_mm", Header: "x", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "y_mm", Header: "y", Unit: "mm", Kind: KindMM, Digits: 1},
		{Key: "last_mm", Header: "to last", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "edge_mm", Header: "edge", Unit: "mm", Kind: KindMM, Digits: 1},
		{Key: "diameter_mm", Header: "dia", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "depth_mm", Header: "depth", Unit: "mm", Kind: KindMM, Digits: 1},
		{Key: "backing_mm", Header: "into backing", Unit: "mm", Kind: KindMM, Digits: 1, SheetOnly: true}, {Key: "bit", Header: "bit", SheetOnly: true},
	}}
	bits := map[string]string{}
	for _, b := range s.Bits {
		bits[b.Drills] = b.Bit
	}
	pilots := false
	for i, q := range s.Plan.Holes {
		pilots = pilots || q.Kind == "pilot"
		last, edge := Empty(), NotRecorded()
		post, _ := s.Plan.PostOf(q.String)
		if q.Kind != "pilot" {
			edge = maybe(post.EdgeMM)
		}
		if q.Kind == "post" && post.PitchMM != nil {
			last = MM(*post.PitchMM)
		}
		bit := bits[jobs.DrillsPosts]
		if q.Kind == "pilot" {
			bit = bits[jobs.DrillsHidden]
		}
		h.Add(Count(i+1), Count(q.String), Text(q.Kind), Text(q.From), MM(q.XMM), MM(q.YMM), last, edge, MM(q.DiameterMM), MM(q.DepthMM), MM(q.BackingMM), Text(bit))
	}
	for _, c := range layout.DrillCounts(s.Plan.Holes) {
		h.Note("%d %s holes of %g mm from the %s, %.0f mm of cut in all", c.Holes, c.Kind, c.DiameterMM, c.From, c.CutMM)
	}
	for _, b := range s.Bits {
		if b.Drills == jobs.DrillsPosts {
			h.Note("bit for the post holes: %s", b.Bit)
		} else if pilots {
			h.Note("bit for the pilots: %s", b.Bit)
		}
	}
	if len(s.Plan.Holes) > 0 && s.Plan.Holes[0].Assumed {
		h.Note("the depth is assumed: give the stack in the spec, or the neck's thickness")
	}
	if len(s.Plan.Holes) > 0 && s.Plan.Holes[0].BackingMM > 0 {
		h.Note("stick the backing on tight; through holes run %g mm into it", s.Plan.Holes[0].BackingMM)
	}
	h.Note("the paper is of this plan only if it says %s; both bars read 100.0 mm", s.Plan.Code)
	for i, c := range s.Cautions {
		if c != "" && (i == 0 || c != s.Cautions[i-1]) {
			h.Note("%s", c)
		}
	}
	h.Note("product labels, the machine's manual and local rules come first")
	r.Add(h, postTable(s.Plan), checkTable(s.Plan.Findings, s.Plan.Notes))
	if len(s.Versions) > 1 {
		v := Table{Name: "versions", Title: "Versions", Columns: []Column{{Key: "version", Header: "version", Kind: KindCount}, {Key: "code", Header: "code"}, {Key: "mode", Header: "mode"},
			{Key: "made", Header: "made", Kind: KindInstant}, {Key: "frozen", Header: "frozen", Kind: KindInstant}}}
		for _, p := range s.Versions {
			frozen := Empty()
			if p.Frozen != nil {
				frozen = Instant(*p.Frozen)
			}
			v.Add(Count(p.Version), Text(p.Code), Text(p.Mode), Instant(p.Made), frozen)
		}
		r.Add(v)
	}
	return r
}

func checkTable(findings []layout.Finding, notes []string) Table {
	t := Table{Name: "checks", Title: "Checks", Columns: []Column{{Key: "check", Header: "check", Max: 18}, {Key: "result", Header: "result"}, {Key: "where", Header: "where", Max: 16},
		{Key: "clearance_mm", Header: "left", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "text", Header: "what", Max: 36}}}
	for _, f := range findings {
		t.Add(Text(f.Check), Text(f.Result), Text(f.Where), MM(f.ClearanceMM), Text(f.Text))
	}
	t.Note("left: what remains before the limit, below zero beyond it; where a check passes everywhere only its nearest place is shown")
	for _, n := range notes {
		t.Note("%s", n)
	}
	return t
}

// LayoutChecks is the table of checks alone.
func LayoutChecks(findings []layout.Finding, notes []string) Report {
	t := checkTable(findings, notes)
	t.Title = ""
	return Report{Name: "layout-checks", Sections: Sections(t)}
}

// LayoutCompare lays the modes side by side.
func LayoutCompare(c layout.Comparison) Report {
	t := Table{Name: "modes", Title: "Modes side by side", Columns: []Column{{Key: "mode", Header: "mode"}, {Key: "side", Header: "row"},
		{Key: "pitch_min_mm", Header: "pitch", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "pitch_max_mm", Header: "to", Unit: "mm", Kind: KindMM, Digits: 1},
		{Key: "edge_min_mm", Header: "edge", Unit: "mm", Kind: KindMM, Digits: 1}, {Key: "edge_max_mm", Header: "to", Unit: "mm", Kind: KindMM, Digits: 1},
		{Key: "off_string_max_mm", Header: "off", Unit: "mm", Kind: KindMM, Digits: 2}, {Key: "cost", Header: "cost", Kind: KindNumber, Digits: 1}, {Key: "worst", Header: "checks"}}}
	for _, m := range c.Modes {
		if m.Error != "" {
			t.Note("%s: %s", m.Mode, m.Error)
			continue
		}
		for _, r := range m.Rows {
			cost := NotRecorded()
			if r.Cost != nil {
				cost = Number(*r.Cost)
			}
			t.Add(Text(m.Mode), Text(r.Side), maybe(r.PitchMinMM), maybe(r.PitchMaxMM), maybe(r.EdgeMinMM), maybe(r.EdgeMaxMM), MM(r.OffMaxMM), cost, Text(m.Worst))
		}
	}
	t.Note("cost: sum of squared pitch and edge errors, each over its tolerance; the balanced mode has the least that a first post in its place allows, even-edge moves the first post too")
	for _, e := range c.Edges {
		t.Note("%s row: spacing %.2f over pitch %.1f suits an edge of %.1f degrees to the strings; each post moves %.1f mm along its string, %.1f times what the edge is off",
			e.Side, e.SpacingMM, e.PitchMM, e.AngleDeg, e.AlongMM, e.Amplify)
		if e.DrawnDeg != nil && e.DrawnPitchMM != nil {
			t.Note("%s row: the drawn edge is %.1f degrees, so the pitch it suits is %.1f mm", e.Side, *e.DrawnDeg, *e.DrawnPitchMM)
		}
		if e.LeastPitchMM > 0 {
			t.Note("%s row: the least pitch of %.1f mm allows an edge of at most %.1f degrees", e.Side, e.LeastPitchMM, e.SteepestDeg)
		}
		if l := e.Even; l != nil {
			cuts := ""
			for i, k := range l.Cuts {
				if i > 0 {
					cuts += ", "
				}
				cuts += fmt.Sprintf("string %d %s", k.String, cutText(k.CutMM))
			}
			t.Note("%s row: all would be even on the edge from (%.1f, %.1f) to (%.1f, %.1f): take off at %s mm (below zero: wood is missing)", e.Side, l.X0, l.Y0, l.X1, l.Y1, cuts)
		}
	}
	for _, n := range c.Notes {
		t.Note("%s", n)
	}
	return Report{Name: "layout-compare", Sections: Sections(t)}
}

// cutText is wood to take off or missing, to a tenth.
func cutText(mm float64) string {
	if math.Abs(mm) < 0.05 {
		return "none"
	}
	return fmt.Sprintf("%+.1f", mm)
}

// LayoutMarks is the hole check: each hole as planned, as marked or drilled, how
// far off along and across its string, and the verdict.
func LayoutMarks(m layout.MarksResult, plan layout.Plan) Report {
	verdict := "pass"
	if !m.Pass {
		verdict = "fail"
	}
	stage := "marked"
	if m.Drilled {
		stage = "drilled"
	}
	t := Table{Name: "marks", Title: fmt.Sprintf("Marks against plan %s: %s", m.Code, verdict), Columns: []Column{{Key: "hole", Header: "hole", Kind: KindCount},
		{Key: "plan_x_mm", Header: "plan x", Unit: "mm", Kind: KindMM, SheetOnly: true}, {Key: "plan_y_mm", Header: "plan y", Unit: "mm", Kind: KindMM, SheetOnly: true},
		{Key: "x_mm", Header: "x", Unit: "mm", Kind: KindMM}, {Key: "y_mm", Header: "y", Unit: "mm", Kind: KindMM}, {Key: "residual_mm", Header: "off", Unit: "mm", Kind: KindMM, Digits: 2},
		{Key: "along_mm", Header: "along", Unit: "mm", Kind: KindMM, Digits: 2}, {Key: "across_mm", Header: "across", Unit: "mm", Kind: KindMM, Digits: 2},
		{Key: "datum_residual_mm", Header: "from datum", Unit: "mm", Kind: KindMM, Digits: 2}, {Key: "kink_deg", Header: "kink", Unit: "deg", Kind: KindNumber, Digits: 2}, {Key: "result", Header: "is"}}}
	at := map[int]layout.Post{}
	for _, p := range plan.Posts {
		at[p.String] = p
	}
	for _, h := range m.Holes {
		is := Text("pass")
		if h.ResidualMM > m.FitMM || h.DatumMM > m.DatumMM || math.Abs(h.DatumOff) > m.FitMM {
			is = Text("fail").In(Bad)
		}
		x, y := Empty(), Empty()
		if p, ok := at[h.Hole]; ok {
			x, y = MM(p.XMM), MM(p.YMM)
		}
		t.Add(Count(h.Hole), x, y, MM(h.XMM), MM(h.YMM), MM(h.ResidualMM), MM(h.AlongMM), MM(h.AcrossMM), MM(h.DatumMM), Number(h.KinkDeg), is)
	}
	t.Charts = []Chart{{Kind: ChartColumns, Title: "How far each hole is off", X: "hole", XTitle: "hole (string number, 1 the lowest)", YTitle: "off (mm)",
		Series: []Series{{Name: "along its string", Y: "along_mm"}, {Name: "across its string", Y: "across_mm"}, {Name: "held to the datum", Y: "datum_residual_mm"}}}}
	t.Note("best fit: turned %.2f degrees, shifted %.2f across and %.2f along; worst left over %.2f mm on hole %d (limit %g), rms %.2f", m.TurnDeg, m.ShiftXMM, m.ShiftYMM, m.WorstMM, m.WorstHole, m.FitMM, m.RmsMM)
	t.Note("held to the datum: worst %.2f mm (limit %g), across the strings %.2f (limit %g)", m.DatumWorst, m.DatumMM, m.DatumAcross, m.FitMM)
	for _, n := range append(append([]string{}, m.Notes...), m.Advice...) {
		t.Note("%s", n)
	}
	return Report{Name: "hole-check", Title: fmt.Sprintf("Hole check of %s, %s, plan %s", m.Neck, stage, m.Code), Sections: Sections(t), Counted: []Counted{
		{"off", "what is left of each hole after the best turn and shift of all of them; scale is reported apart and never used to excuse"},
		{"from datum", "against the plan as it lies from the fretboard end and the centre line: a good shape in the wrong place still kinks every string"},
	}}
}

// StackReport is the thickness stage by stage, and what each veneer would make
// of it.
func StackReport(s layout.StackSum, side string, fits []layout.VeneerFit) Report {
	t := Table{Name: "stack", Title: "Stack at the thickest post", Columns: []Column{{Key: "stage", Header: "after"}, {Key: "change_mm", Header: "change", Unit: "mm", Kind: KindMM},
		{Key: "thickness_mm", Header: "thickness", Unit: "mm", Kind: KindMM}, {Key: "basis", Header: "basis"}}}
	for _, r := range s.Steps {
		basis, change := "reckoned", MM(r.ChangeMM)
		if r.Stage == "core" {
			basis, change = "as given", Empty()
		}
		if r.Measured {
			basis = "measured"
		}
		t.Add(Text(r.Stage), change, MM(r.MM), Text(basis))
	}
	t.Note("from: %s", s.Basis)
	r := Report{Name: "stack", Sections: Sections(t)}
	if len(fits) > 0 {
		v := Table{Name: "veneers", Title: "Veneers in stock on the " + side, Columns: []Column{{Key: "veneer", Header: "veneer"}, {Key: "thickness_mm", Header: "thick", Unit: "mm", Kind: KindMM},
			{Key: "finished_mm", Header: "finished", Unit: "mm", Kind: KindMM}, {Key: "result", Header: "result"}, {Key: "core_least_mm", Header: "core from", Unit: "mm", Kind: KindMM, Digits: 1},
			{Key: "core_most_mm", Header: "to", Unit: "mm", Kind: KindMM, Digits: 1}}}
		for _, f := range fits {
			v.Add(Text(f.Code), MM(f.MM), MM(f.FinishedMM), Text(f.Result), MM(f.CoreLeastMM), MM(f.CoreMostMM))
		}
		r.Add(v)
	}
	return r
}
