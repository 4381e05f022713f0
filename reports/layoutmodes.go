package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
)

// modeRow is one row of posts in one mode.
type modeRow struct {
	mode, worst string
	layout.RowSum
}

// Compared lays the modes side by side.
func Compared(c *workshop.CompareResult) Report {
	out := Of(c, "layout-compare", "Modes side by side")
	var rows []modeRow
	for _, m := range c.Modes {
		for _, r := range m.Rows {
			rows = append(rows, modeRow{m.Mode, m.Worst, r})
		}
	}
	t := Build(Table{Name: "modes"}, rows, []Col[modeRow]{
		{Column{Key: "mode", Header: "mode"}, func(m modeRow) Cell { return Text(m.mode) }},
		{Column{Key: "side", Header: "side"}, func(m modeRow) Cell { return Text(m.Side) }},
		oneMM("pitch_min_mm", "pitch", func(m modeRow) Cell { return Maybe(m.PitchMinMM, MM) }),
		oneMM("pitch_max_mm", "to", func(m modeRow) Cell { return Maybe(m.PitchMaxMM, MM) }),
		oneMM("edge_min_mm", "edge", func(m modeRow) Cell { return Maybe(m.EdgeMinMM, MM) }),
		oneMM("edge_max_mm", "to", func(m modeRow) Cell { return Maybe(m.EdgeMaxMM, MM) }),
		{Column{Key: "off_string_max_mm", Header: "off", Unit: "mm", Kind: KindMM, Digits: 2}, func(m modeRow) Cell { return MM(m.OffMaxMM) }},
		{Column{Key: "cost", Header: "cost", Kind: KindNumber, Digits: 1}, func(m modeRow) Cell { return Maybe(m.Cost, Number) }},
		{Column{Key: "worst", Header: "checks"}, func(m modeRow) Cell { return Text(m.worst) }},
	})
	var said Pairs
	u := unitsOf(c)
	for _, m := range c.Modes {
		said.Add(m.Mode, m.Error)
	}
	t.Note("Cost: squared pitch and edge errors, each over its tolerance. Balanced has the least for its first post. Even-edge moves the first post too.")
	for _, e := range c.Edges {
		said.Add(upper(e.Side)+" row", edgeText(u, e))
		t.Note("%s row: spacing %s and pitch %s suit an edge of %.1f degrees to the strings. Each post moves %s along its string, %.1f times what the edge is off.",
			upper(e.Side), u.figure("%.2f", e.SpacingMM), u.figure("%.1f", e.PitchMM), e.AngleDeg, u.length("%.1f", e.AlongMM), e.Amplify)
	}
	for _, e := range c.Edges {
		if e.LeastPitchMM > 0 {
			t.Note("%s row: the least pitch of %s allows an edge of at most %.1f degrees.", upper(e.Side), u.length("%.1f", e.LeastPitchMM), e.SteepestDeg)
		}
	}
	t.Notes = append(t.Notes, c.Notes...)
	out.Add(t)
	if len(said) > 0 {
		out.Sections = append(out.Sections, Section{Drawing: said})
	}
	return out
}

// edgeText says which pitch suits the drawn edge of a row, and which edge would make
// all even.
func edgeText(u units, e layout.EdgeRelation) string {
	var text []string
	if e.DrawnDeg != nil && e.DrawnPitchMM != nil {
		text = append(text, fmt.Sprintf("the drawn edge is at %.1f degrees. A pitch of %s suits it.", *e.DrawnDeg, u.length("%.1f", *e.DrawnPitchMM)))
	}
	if l := e.Even; l != nil {
		place := func(mm float64) string { return u.figure("%.1f", mm) }
		var cuts []string
		for _, k := range l.Cuts {
			cuts = append(cuts, fmt.Sprintf("string %d %s", k.String, cutText(u, k.CutMM)))
		}
		text = append(text, fmt.Sprintf("An edge from (%s, %s) to (%s, %s) makes all even. Take off, in %s: %s. Below zero: wood is missing.", place(l.X0), place(l.Y0), place(l.X1), place(l.Y1), map[string]string{"mm": "mm", "in": "inches"}[u.name()], strings.Join(cuts, ", ")))
	}
	return strings.Join(text, " ")
}

// noMinus takes the sign off what rounds to nothing in hundredths.
func noMinus(v float64) float64 {
	if math.Abs(v) < 0.005 {
		return 0
	}
	return v
}

// cutText is wood to take off or missing, to a tenth.
func cutText(u units, mm float64) string {
	if math.Abs(mm) < 0.05 {
		return "none"
	}
	return u.figure("%+.1f", mm)
}

// markRow is one hole with its place in the plan.
type markRow struct {
	layout.HoleMark
	post *layout.Post
	fail bool
}

// Marks is the hole check: each hole as planned, as marked or drilled, how far
// off along and across its string, and the verdict.
func Marks(m *workshop.MarksResult) Report {
	verdict, stage := "pass", "marked"
	if !m.Pass {
		verdict = "fail"
	}
	if m.Drilled {
		stage = "drilled"
	}
	u := unitsOf(m)
	out := Of(m, "hole-check", fmt.Sprintf("Hole check of %s, %s, plan %s", m.NeckName, stage, m.Code))
	out.Headline = []string{fmt.Sprintf("%s: %s. Worst hole %d: %s off (limit %s).", out.Title, verdict, m.WorstHole, u.length("%.2f", m.WorstMM), u.length("", m.FitMM))}
	if m.OutOfDate != "" {
		out.Headline = append(out.Headline, "The plan is out of date: "+m.OutOfDate+".")
	}
	rows := make([]markRow, len(m.Holes))
	for i, h := range m.Holes {
		rows[i] = markRow{HoleMark: h, fail: h.ResidualMM > m.FitMM || h.DatumMM > m.DatumMM || math.Abs(h.DatumOff) > m.FitMM}
		for k, p := range m.Posts {
			if p.String == h.Hole {
				rows[i].post = &m.Posts[k]
			}
		}
	}
	mm := func(key, header string, get func(markRow) Cell) Col[markRow] {
		return Col[markRow]{Column{Key: key, Header: header, Unit: "mm", Kind: KindMM, Digits: 2}, get}
	}
	planned := func(key, header string, get func(layout.Post) float64) Col[markRow] {
		return Col[markRow]{Column{Key: key, Header: header, Unit: "mm", Kind: KindMM, SheetOnly: true}, func(h markRow) Cell {
			return Maybe(h.post, func(p layout.Post) Cell { return MM(get(p)) })
		}}
	}
	t := Build(Table{Name: "marks", Title: "Marks against the plan"}, rows, []Col[markRow]{
		{Column{Key: "hole", Header: "hole", Kind: KindCount}, func(h markRow) Cell { return Count(h.Hole) }},
		planned("plan_x_mm", "plan x", func(p layout.Post) float64 { return p.XMM }), planned("plan_y_mm", "plan y", func(p layout.Post) float64 { return p.YMM }),
		mm("x_mm", "x", func(h markRow) Cell { return MM(h.XMM) }), mm("y_mm", "y", func(h markRow) Cell { return MM(h.YMM) }),
		mm("residual_mm", "off", func(h markRow) Cell { return MM(h.ResidualMM) }),
		mm("along_mm", "along", func(h markRow) Cell { return MM(h.AlongMM) }), mm("across_mm", "across", func(h markRow) Cell { return MM(h.AcrossMM) }),
		mm("datum_residual_mm", "from datum", func(h markRow) Cell { return MM(h.DatumMM) }),
		{Column{Key: "kink_deg", Header: "kink", Unit: "deg", Kind: KindNumber, Digits: 2}, func(h markRow) Cell { return Number(h.KinkDeg) }},
		{Column{Key: "result", Header: "is"}, func(h markRow) Cell {
			if h.fail {
				return Text("fail").In(Bad)
			}
			return Text("pass")
		}},
	})
	t.Charts = []Chart{{Kind: ChartColumns, Title: "How far each hole is off", X: "hole", XTitle: "hole (string number, 1 the lowest)", YTitle: "off (mm)",
		Series: []Series{{Name: "along its string", Y: "along_mm"}, {Name: "across its string", Y: "across_mm"}, {Name: "from the datum", Y: "datum_residual_mm"}}}}
	t.Note("Best fit: turned %.2f degrees, moved %s across and %s along, then %s off on average (rms).", noMinus(m.TurnDeg), u.length("%.2f", noMinus(m.ShiftXMM)), u.length("%.2f", noMinus(m.ShiftYMM)), u.length("%.2f", m.RmsMM))
	t.Note("From the datum: worst %s (limit %s), across the strings %s (limit %s).", u.length("%.2f", m.DatumWorst), u.length("", m.DatumMM), u.length("%.2f", m.DatumAcross), u.length("", m.FitMM))
	t.Notes = append(t.Notes, m.Notes...)
	var more Pairs
	for i, a := range m.Advice {
		if a = upper(a) + "."; i == 0 {
			out.Headline = append(out.Headline, a)
			continue
		}
		more.Add("", a)
	}
	out.Add(t)
	if len(more) > 0 {
		out.Sections = append(out.Sections, Section{Drawing: more})
	}
	out.Count("off", "what is left of each hole after the best turn and move of all of them; scale is shown apart and excuses nothing")
	out.Count("from datum", "against the plan, measured from the fretboard end and the centre line: a good shape in the wrong place still kinks every string")
	return out
}

// StackCard is the thickness stage by stage, and what each veneer would make of
// it.
func StackCard(r *workshop.StackResult) Report {
	out := Of(r, "stack", "Headstock thickness")
	out.Headline = []string{fmt.Sprintf("%s: %s.", upper(r.Stack.Result), r.Stack.Text)}
	type step = layout.StackRow
	t := Build(Table{Name: "stack", Title: "Thickness at the thickest post"}, r.Stack.Steps, []Col[step]{
		{Column{Key: "stage", Header: "after"}, func(s step) Cell { return Text(s.Stage) }},
		{Column{Key: "change_mm", Header: "change", Unit: "mm", Kind: KindMM}, func(s step) Cell {
			if s.Stage == "core" {
				return Empty()
			}
			return MM(s.ChangeMM)
		}},
		{Column{Key: "thickness_mm", Header: "thickness", Unit: "mm", Kind: KindMM}, func(s step) Cell { return MM(s.MM) }},
		{Column{Key: "basis", Header: "basis"}, func(s step) Cell {
			switch {
			case s.Measured:
				return Text("measured")
			case s.Stage == "core":
				return Text("as given")
			}
			return Text("worked out")
		}},
	})
	t.Note("From: %s.", r.Stack.Basis)
	out.Add(t)
	if len(r.Veneers) > 0 {
		type row = layout.VeneerFit
		out.Add(Build(Table{Name: "veneers", Title: "Veneers in stock on the " + r.Side}, r.Veneers, []Col[row]{
			{Column{Key: "veneer", Header: "veneer"}, func(f row) Cell { return Text(f.Code) }},
			{Column{Key: "thickness_mm", Header: "thickness", Unit: "mm", Kind: KindMM}, func(f row) Cell { return MM(f.MM) }},
			{Column{Key: "finished_mm", Header: "finished", Unit: "mm", Kind: KindMM}, func(f row) Cell { return MM(f.FinishedMM) }},
			{Column{Key: "result", Header: "result"}, func(f row) Cell { return Text(f.Result).When(f.Result == layout.Fail, Bad) }},
			oneMM("core_least_mm", "core from", func(f row) Cell { return MM(f.CoreLeastMM) }),
			oneMM("core_most_mm", "to", func(f row) Cell { return MM(f.CoreMostMM) }),
		}))
	}
	return out
}
