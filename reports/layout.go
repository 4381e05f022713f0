package reports

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
)

// oneMM is a column of lengths in tenths.
func oneMM[T any](key, header string, get func(T) Cell) Col[T] {
	return Col[T]{Column{Key: key, Header: header, Unit: "mm", Kind: KindMM, Digits: 1}, get}
}

// ofPlan begins a report of a plan: when the plan was made, and what its figures
// are measured from.
func ofPlan(r *workshop.PlanResult, name, title string) Report {
	out := Of(r, name, title)
	out.Made, out.Code, out.Void = r.PlanMade, r.Code, r.OutOfDate
	out.Subject = fmt.Sprintf("plan %s, version %d, %s, %s", r.Code, r.Version, r.ModeText(), r.State())
	out.Count("x, y", "from the fretboard end on the centre line, in the plane of the face: x to the treble side, y to the tip")
	out.Count("edge", "shortest distance from the post's centre to the outline")
	out.Count("off string", "off the post's place on its string, positive to the treble side")
	out.Count("depth", "what the bit cuts, the way into the backing included")
	return out
}

// Solved is a plan that was just placed: do the checks pass, where are the posts,
// what is not known.
func Solved(r *workshop.PlanResult) Report {
	out := ofPlan(r, "layout", "")
	out.Subject = ""
	name := r.NeckName
	next := "Draw it, then freeze it."
	out.Next = []string{"layout draw " + name + " --out " + name + ".pdf, then layout freeze " + name, "layout compare " + name}
	if n := failing(r.Findings); n > 0 {
		next = "Change the spec, then solve again."
		out.Next = []string{"layout check " + name, "layout compare " + name}
	}
	version := fmt.Sprintf("%s, version %d, %s.", upper(r.ModeText()), r.Version, r.State())
	switch {
	case r.Same:
		version = fmt.Sprintf("%s, version %d: unchanged, %s.", upper(r.ModeText()), r.Version, r.State())
	case r.Replaces != "":
		version += fmt.Sprintf(" It replaces %s: throw that paper away.", r.Replaces)
	}
	out.Headline = []string{fmt.Sprintf("Plan %s for %s: %s. %s", r.Code, name, checksText(r.Findings), next), version}
	if r.Spec.Shape == "" {
		out.Cautions = []string{`Headstock shapes can be registered. Set shape = "own design", "licensed" or "asked".`}
	}
	posts := postTable(r.Posts, Table{Name: "posts"})
	var long []string
	for _, row := range r.Rows {
		if row.Posts > 1 {
			long = append(long, fmt.Sprintf("%s on the %s side", unitsOf(r).length("%.1f", row.EndToEndMM), row.Side))
		}
	}
	if len(long) > 0 {
		posts.Note("First post to last: %s.", strings.Join(long, ", "))
	}
	out.Add(posts)
	if f, ok := leastRoom(r.Findings); ok {
		out.Sections = append(out.Sections, Section{At: First | Full, Notes: []string{fmt.Sprintf("Least room: %s, %s. %s.", f.Check, f.Where, upper(f.Text))}})
	}
	missing := unchecked(r.Unchecked)
	if len(r.ByHand) > 0 { // said when it was solved
		missing.At = Full | Why
	}
	out.Sections = append(out.Sections, missing, Section{At: First | Full | Why, Close: true, Notes: r.Notes})
	return out
}

// MoveTried shows what a plan would be with posts moved, and where a post fits.
func MoveTried(r *workshop.LayoutTryResult) Report {
	out := Solved(&r.PlanResult)
	name := r.NeckName
	out.Headline = []string{fmt.Sprintf("Plan %s of %s: %s.", r.Base, name, checksText(r.Findings))}
	out.Next = []string{"layout move " + name + " 2=65.7"}
	if r.Draft {
		out.Headline = []string{fmt.Sprintf("Plan %s of %s would be %s: %s. Nothing is kept.", r.Base, name, r.Code, checksText(r.Findings))}
		var moves []string
		for _, m := range r.ByHand {
			moves = append(moves, fmt.Sprintf("%d=%s", m.String, jobs.NumberText(m.YMM)))
		}
		out.Next = []string{"layout move " + name + " " + strings.Join(moves, " ")}
		if len(moves) == 0 {
			out.Next = []string{"layout solve " + name + " --mode " + r.Mode}
		}
	}
	if t := r.Track; t != nil {
		out.Headline = append(out.Headline, trackText(*t, unitsOf(r)))
	}
	return out
}

// trackText says where a post fits.
func trackText(t workshop.PostTrack, u units) string {
	if len(t.Free) == 0 {
		return fmt.Sprintf("String %d fits nowhere from %s to %s %s: a check fails.", t.String, u.figure("%.1f", t.FromMM), u.figure("%.1f", t.ToMM), u.name())
	}
	var free []string
	for _, s := range t.Free {
		free = append(free, fmt.Sprintf("from %s to %s", u.figure("%.1f", s.FromMM), u.figure("%.1f", s.ToMM)))
	}
	return fmt.Sprintf("String %d fits %s %s from the fretboard end.", t.String, strings.Join(free, " or "), u.name())
}

// checksText says how many checks pass: "all 12 checks pass".
func checksText(findings []layout.Finding) string {
	worst := map[string]string{}
	rank := []string{layout.Pass, layout.Tight, layout.Fail}
	for _, f := range findings {
		if slices.Index(rank, f.Result) >= slices.Index(rank, worst[f.Check]) {
			worst[f.Check] = f.Result
		}
	}
	var bad, tight []string
	for name, result := range worst {
		switch result {
		case layout.Fail:
			bad = append(bad, name)
		case layout.Tight:
			tight = append(tight, name)
		}
	}
	slices.Sort(bad)
	slices.Sort(tight)
	switch {
	case len(worst) == 0:
		return "no check could be made"
	case len(bad) > 0:
		return fmt.Sprintf("%d of %d checks fail (%s)", len(bad), len(worst), strings.Join(bad, ", "))
	case len(tight) > 0:
		return fmt.Sprintf("all %s pass, %s tight", jobs.CountText(len(worst), "check"), strings.Join(tight, ", "))
	case len(worst) == 1:
		return "the one check passes"
	}
	return fmt.Sprintf("all %d checks pass", len(worst))
}

func failing(findings []layout.Finding) (n int) {
	for _, f := range findings {
		if f.Result == layout.Fail {
			n++
		}
	}
	return n
}

// leastRoom gives the finding nearest to its limit.
func leastRoom(findings []layout.Finding) (layout.Finding, bool) {
	if len(findings) == 0 {
		return layout.Finding{}, false
	}
	return slices.MinFunc(findings, func(a, b layout.Finding) int {
		switch {
		case a.ClearanceMM < b.ClearanceMM:
			return -1
		case a.ClearanceMM > b.ClearanceMM:
			return 1
		}
		return 0
	}), true
}

// unchecked lists the checks that the spec does not say enough for, with the keys
// to add.
func unchecked(all []layout.Unchecked) Section {
	if len(all) == 0 {
		return Section{}
	}
	var list Pairs
	for _, u := range all {
		list.Add("  "+u.Check, u.Needs)
	}
	return Section{Title: "Not checked, because the spec does not say:", Drawing: list}
}

func postTable(posts []layout.Post, t Table) Table {
	type row = layout.Post
	return Build(t, posts, []Col[row]{
		{Column{Key: "string", Header: "string", Kind: KindCount}, func(p row) Cell { return Count(p.String) }},
		{Column{Key: "side", Header: "side"}, func(p row) Cell { return Text(p.Side) }},
		oneMM("x_mm", "x", func(p row) Cell { return MM(p.XMM) }),
		oneMM("y_mm", "y", func(p row) Cell { return MM(p.YMM) }),
		oneMM("pitch_mm", "pitch", func(p row) Cell { return Maybe(p.PitchMM, MM) }),
		oneMM("edge_mm", "edge", func(p row) Cell { return Maybe(p.EdgeMM, MM) }),
		{Column{Key: "edge_part", Header: "edge is", SheetOnly: true}, func(p row) Cell { return Text(p.EdgePart) }},
		oneMM("off_string_mm", "off string", func(p row) Cell { return MM(p.OffStringMM) }),
	})
}

// sheetHole is one row of the drilling sheet.
type sheetHole struct {
	layout.Hole
	no         int
	edge, last *float64
	bit        string
}

// DrillingSheet is what is next to the drill press.
func DrillingSheet(r *workshop.PlanResult) Report {
	out := ofPlan(r, "layout-"+strings.ToLower(r.Neck), "Drilling sheet of "+r.NeckName)
	out.Headline = []string{fmt.Sprintf("%s: plan %s, version %d, %s, %s.", out.Title, r.Code, r.Version, r.ModeText(), r.State())}
	if r.OutOfDate != "" {
		out.Headline = append(out.Headline, upper(r.OutOfDate)+".")
	}
	bits := map[string]string{}
	for _, b := range r.Bits {
		bits[b.Drills] = b.Bit
	}
	var rows []sheetHole
	for i, q := range r.Holes {
		h := sheetHole{Hole: q, no: i + 1, bit: bits[jobs.DrillsPosts]}
		post, _ := r.PostOf(q.String)
		if q.Kind == "pilot" {
			h.bit = bits[jobs.DrillsHidden]
		} else {
			h.edge = post.EdgeMM
		}
		if q.Kind == "post" {
			h.last = post.PitchMM
		}
		rows = append(rows, h)
	}
	holes := Build(Table{Name: "holes", Title: "Holes in the order to drill them", Wide: true}, rows, []Col[sheetHole]{
		{Column{Key: "hole", Header: "hole", Kind: KindCount}, func(h sheetHole) Cell { return Count(h.no) }},
		{Column{Key: "string", Header: "string", Kind: KindCount}, func(h sheetHole) Cell { return Count(h.String) }},
		{Column{Key: "kind", Header: "sort"}, func(h sheetHole) Cell { return Text(h.Kind) }},
		{Column{Key: "from", Header: "from"}, func(h sheetHole) Cell { return Text(h.From) }},
		oneMM("x_mm", "x", func(h sheetHole) Cell { return MM(h.XMM) }),
		oneMM("y_mm", "y", func(h sheetHole) Cell { return MM(h.YMM) }),
		oneMM("last_mm", "to last", func(h sheetHole) Cell { return Maybe(h.last, MM) }),
		oneMM("edge_mm", "edge", func(h sheetHole) Cell { return Maybe(h.edge, MM) }),
		oneMM("diameter_mm", "dia", func(h sheetHole) Cell { return MM(h.DiameterMM) }),
		oneMM("depth_mm", "depth", func(h sheetHole) Cell { return MM(h.CutMM()) }),
		{Column{Key: "backing_mm", Header: "into backing", Unit: "mm", Kind: KindMM, Digits: 1, SheetOnly: true}, func(h sheetHole) Cell { return MM(h.BackingMM) }},
		{Column{Key: "bit", Header: "bit", SheetOnly: true}, func(h sheetHole) Cell { return Text(h.bit) }},
	})
	u := unitsOf(r)
	holes.Note("A paper is of this plan only if it says %s. Both of its bars are 100.0 mm.", r.Code)
	if len(r.Holes) > 0 && r.Holes[0].Assumed {
		holes.Note("Assumed depth. Set the stack in the spec, or the thickness of the neck.")
	}
	if len(r.Holes) > 0 && r.Holes[0].BackingMM > 0 {
		holes.Note("Stick the backing on tight. Through holes go %s into it.", u.length("", r.Holes[0].BackingMM))
	}
	for _, c := range r.Drilling {
		bit := bits[jobs.DrillsPosts]
		if c.Kind == "pilot" {
			bit = bits[jobs.DrillsHidden]
		}
		if bit != "" {
			bit = " Bit: " + bit + "."
		}
		holes.Note("%s of %s from the %s, %s of cut in all.%s", jobs.CountText(c.Holes, c.Kind+" hole"), u.length("", c.DiameterMM), c.From, u.length("%.0f", c.CutMM), bit)
	}
	out.Cautions = append(slices.Clone(r.Cautions), "Product labels, the machine's manual and local rules come first.")
	out.Add(holes)
	posts, checks := postTable(r.Posts, Table{Name: "posts", Title: "Posts"}), checkTable(r.Findings)
	out.Sections = append(out.Sections, Section{At: Why | Full, Table: &posts}, Section{At: Why | Full, Table: &checks})
	more := unchecked(r.Unchecked)
	more.At = Why | Full
	out.Sections = append(out.Sections, more)
	out.Next = append(out.Next, "layout check "+r.NeckName, "layout show "+r.NeckName+" --why")
	if len(r.Versions) > 1 {
		type row = workshop.PlanVersion
		versions := Build(Table{Name: "versions", Title: "Versions"}, r.Versions, []Col[row]{
			{Column{Key: "version", Header: "version", Kind: KindCount}, func(v row) Cell { return Count(v.Version) }},
			{Column{Key: "code", Header: "code"}, func(v row) Cell { return Text(v.Code) }},
			{Column{Key: "mode", Header: "mode"}, func(v row) Cell { return Text(v.Mode) }},
			{Column{Key: "made", Header: "made", Kind: KindInstant}, func(v row) Cell { return Instant(v.Made) }},
			{Column{Key: "frozen", Header: "frozen", Kind: KindInstant}, func(v row) Cell { return Maybe(v.Frozen, Instant) }},
		})
		out.Sections = append(out.Sections, Section{At: Why | Full, Table: &versions})
	}
	return out
}

func checkTable(findings []layout.Finding) Table {
	type row = layout.Finding
	cols := []Col[row]{
		{Column{Key: "check", Header: "check", Max: 18}, func(f row) Cell { return Text(f.Check) }},
		{Column{Key: "result", Header: "result"}, func(f row) Cell { return Text(f.Result).When(f.Result == layout.Fail, Bad) }},
		{Column{Key: "where", Header: "where", Max: 34}, func(f row) Cell { return Text(f.Where) }},
		oneMM("clearance_mm", "left", func(f row) Cell { return MM(f.ClearanceMM) }),
		{Column{Key: "text", Header: "what", Max: 36, At: Full | Why}, func(f row) Cell { return Text(f.Text) }},
	}
	if failing(findings) > 0 {
		cols = append(cols, Col[row]{Column{Key: "text", Header: "what", Max: 36, At: First}, func(f row) Cell {
			if f.Result == layout.Fail {
				return Text(f.Text)
			}
			return Cell{}
		}})
	}
	t := Build(Table{Name: "checks", Title: "Checks"}, findings, cols)
	t.Note("Left: what remains before the limit, at the nearest place. Below zero: beyond.")
	return t
}

// PlanChecks is every check of a plan.
func PlanChecks(r *workshop.CheckPlanResult) Report {
	out := ofPlan(&r.PlanResult, "layout-checks", "Checks of "+r.NeckName)
	out.Headline = []string{fmt.Sprintf("Plan %s for %s, version %d, %s: %s.", r.Code, r.NeckName, r.Version, r.ModeText(), checksText(r.Findings))}
	if r.OutOfDate != "" {
		out.Headline = append(out.Headline, "It is out of date: "+r.OutOfDate+". Its paper is void.")
		out.Next = []string{"layout solve " + r.NeckName, "layout freeze " + r.NeckName}
	}
	t := checkTable(r.Findings)
	t.Title = ""
	out.Add(t)
	out.Sections = append(out.Sections, unchecked(r.Unchecked))
	out.Sections = append(out.Sections, Section{At: Full | Why, Notes: r.Notes})
	return out
}

// PlanFrozen is a plan that is fixed for drilling now.
func PlanFrozen(r *workshop.PlanResult) Report {
	out := ofPlan(r, "layout", "")
	out.Subject = ""
	posts := 0
	for _, h := range r.Holes {
		if h.Kind == "post" {
			posts++
		}
	}
	out.Headline = []string{fmt.Sprintf("FROZEN plan %s for %s, version %d: %s.", r.Code, r.NeckName, r.Version, jobs.CountText(posts, "post hole"))}
	return out
}

// Drawn says where the template of a plan is, and how to print it.
func Drawn(r *workshop.DrawResult) Report {
	out := ofPlan(&r.PlanResult, "layout", "")
	out.Subject = ""
	out.Headline = []string{fmt.Sprintf("DRAWN plan %s for %s in %s. Print it at 100 %%: both bars must be 100.0 mm.", r.Code, r.NeckName, r.Out)}
	return out
}
