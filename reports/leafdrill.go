package reports

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// DrillSheet is what is next to the drill press: which plan, which bit, how deep and
// how fast, what to look at first, and a row for each hole to write on.
func DrillSheet(r *workshop.PlanResult) Report {
	out := DrillingSheet(r)
	out.flow(letterSheet("drilling sheet "+r.Neck+", plan "+r.Code), func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, "Drilling sheet "+r.Neck+", plan "+r.Code)
		}
		drillHead(p, r)
		return 49
	}, func(p *pen) []block {
		blocks := []block{drillSettings(r), drillMiddle(p, r, drillCautions(r, out.Cautions))}
		return append(blocks, drillRows(p, r)...)
	})
	return out
}

// postHoles are the holes that show.
func postHoles(r *workshop.PlanResult) (post layout.Hole, n int) {
	for _, h := range r.Holes {
		if h.Kind == "post" {
			if n++; n == 1 {
				post = h
			}
		}
	}
	return post, n
}

func drillHead(p *pen, r *workshop.PlanResult) {
	p.text(0, 16, "Drilling sheet", noteType)
	p.big(0, 29, 84, r.NeckName, true, 40, 32, 26, 20)
	post, n := postHoles(r)
	title := r.Neck
	if r.Title != "" {
		title += ", " + r.Title
	}
	p.fit(0, 36, 84, title, bold(bodyType))
	p.fit(0, 41, 84, fmt.Sprintf("%s from the %s, %s", jobs.CountText(n, "post hole"), post.From, unitsOf(r).length("%.1f", post.DiameterMM)), bodyType)
	const x, y, w, h = 92, 12.5, 83, 31
	p.box(x, y, w, h, draw.Look{Stroke: draw.Black, Width: 1})
	middle := noteType
	middle.Anchor = draw.Middle
	p.text(x+w/2, y+5, "plan code: the template must say the same", middle)
	code := draw.Type{Points: 56, Bold: true, Anchor: draw.Middle}
	for code.Points > 20 && p.s.Width(r.Code, code) > w-6 {
		code.Points -= 2
	}
	p.text(x+w/2, y+23.5, r.Code, code)
	state := fmt.Sprintf("version %d, %s, %s", r.Version, r.PlanMade.Format("2 January 2006"), r.State())
	if r.OutOfDate != "" {
		p.box(x+2, y+9.5, w-4, 12, draw.Look{Fill: draw.White, Stroke: draw.Black, Width: 0.6})
		p.text(x+w/2, y+18.5, "DO NOT USE", draw.Type{Points: 26, Bold: true, Anchor: draw.Middle})
		state = "out of date: " + r.OutOfDate
	}
	p.text(x+w/2, y+h-2, draw.Cut(p.s, state, middle, w-4), middle)
	p.rule(46.5, draw.Rule, 0.3)
}

// bigFigure is a small label, a large figure and lines under it.
func bigFigure(p *pen, x, y, width float64, label, figure string, lines ...string) {
	p.fit(x, y+4, width, label, noteType)
	p.big(x, y+12.5, width, figure, true, 22, 18, 15, 12, 10)
	for i, l := range lines {
		p.fit(x, y+17.5+float64(i)*noteLineMM, width, l, draw.Type{Points: 9})
	}
}

// drillSettings are the bit, the depth stop and the speed of the show holes, and a line
// for each other sort of hole.
func drillSettings(r *workshop.PlanResult) block {
	post, n := postHoles(r)
	bit, lines := "no bit", []string{}
	speed, under := "by the label", []string{"the bit's label comes first"}
	for _, b := range r.Bits {
		if b.Drills != jobs.DrillsPosts {
			continue
		}
		bit = b.Bit
		if v := b.Verdict; v != nil {
			lines = append(lines, strings.TrimSpace(v.DiameterText+" "+v.Point)+": "+strings.ToLower(v.VerdictText))
			if c := v.Next.ChanceDull; c != nil {
				lines = append(lines, fmt.Sprintf("%.0f %% to go dull in these %s", 100**c, jobs.CountText(n, "hole")))
			}
			if v.Drilling.Step > 0 {
				speed, under = fmt.Sprintf("%d a minute", v.Drilling.Step), []string{"or less: the bit's label comes first"}
			}
		} else {
			bit, lines = "no bit", []string{b.Bit}
		}
	}
	u := unitsOf(r)
	depth := fmt.Sprintf("%s of wood + %s of backing", u.length("%.1f", post.DepthMM), u.length("%.1f", post.BackingMM))
	if !post.Through {
		depth = "not through"
	}
	if post.Assumed {
		depth += ", assumed"
	}
	var others []string
	for _, c := range r.Drilling {
		if c.Kind != "post" || c.DiameterMM != post.DiameterMM || c.From != post.From {
			others = append(others, fmt.Sprintf("%s of %s from the %s", jobs.CountText(c.Holes, c.Kind+" hole"), u.length("%.1f", c.DiameterMM), c.From))
		}
	}
	high := 28.0
	if len(others) > 0 {
		high += 5
	}
	return block{high: high, draw: func(p *pen, y float64) {
		bigFigure(p, 0, y, 56, "bit", bit, lines...)
		bigFigure(p, 60, y, 56, "depth stop", u.length("%.1f", post.CutMM()), depth)
		bigFigure(p, 120, y, p.room-120, "spindle", speed, under...)
		if len(others) > 0 {
			p.fit(0, y+28, p.room, "Also: "+strings.Join(others, "; ")+". Depths are in the table.", draw.Type{Points: 9})
		}
		p.rule(y+high-2, draw.Rule, 0.3)
	}}
}

// drillCautions puts what the wood does to people in between, at most three in all.
func drillCautions(r *workshop.PlanResult, all []string) []string {
	for _, b := range r.Bits {
		if b.Verdict != nil && b.Drills == jobs.DrillsPosts {
			for _, c := range b.Verdict.Drilling.Cautions {
				if c != bitlife.CautionWide {
					all = slices.Insert(slices.Clone(all), min(1, len(all)), c)
				}
			}
		}
	}
	if len(all) > 3 {
		all = append(slices.Clone(all[:2]), all[len(all)-1])
	}
	return all
}

// drillMiddle is the headstock with the order of drilling, next to what is looked at
// before the first hole.
func drillMiddle(p *pen, r *workshop.PlanResult, cautions []string) block {
	const wide, column = 62.0, 70.0
	width := p.room - column
	var side []block
	for i, line := range []string{"the template says " + r.Code, "both bars of the template read 100.0 mm", "drawn side up, bass on the left", "backing stuck on tight", "one test hole in an offcut, its rim clean", "work clamped or against a fence", "chuck key out, eyes covered, no gloves"} {
		b := block{high: 6.6, draw: func(p *pen, y float64) {
			p.tick(column, y+0.8, 3.8, false)
			p.fit(column+6.5, y+4, width-6.5, line, bodyType)
		}}
		if i == 0 {
			b = group(block{high: 6, draw: func(p *pen, y float64) { p.text(column, y+4, "Before the first hole", headType) }}, b)
		}
		side = append(side, b)
	}
	probe := *p
	probe.s, probe.left, probe.room = unseen{p.s}, p.left+column, width
	side = append(side, block{gap: 2, high: probe.warn(0, cautions), draw: func(p *pen, y float64) {
		q := *p
		q.left, q.room = p.left+column, width
		q.warn(y, cautions)
	}})
	say := func(head, words string) {
		text := p.paragraph(column, width, words, draw.Type{Points: 9})
		h := block{gap: 3, high: 5.5, draw: func(p *pen, y float64) { p.text(column, y+4, head, headType) }}
		side = append(side, group(h, text))
	}
	if near := closeChecks(r.Findings); near != "" {
		say("Close together here", near)
	}
	say("If the wood says no", "A chip that the flange will not hide: stop, change the bit, write it below. A hole off its mark: leave it, finish the row, then check the marks.")
	all := group(side...)
	all.high = max(all.high, 92)
	inner := all.draw
	all.draw = func(p *pen, y float64) {
		inner(p, y)
		p.code(p.room-24, y-1, 24, 0.8, codeWord(r.Page, "J", r.Neck))
		if h, ok := plainHeadstock(&r.Plan, wide, 84); ok {
			h.Numbers = drillOrder(r)
			w, tall := h.Size()
			h.Draw(draw.Moved(p.s, p.left+(wide-w)/2, y+1))
			middle := noteType
			middle.Anchor = draw.Middle
			p.text(wide/2, y+tall+5, "From the front. Numbers: the order to drill.", middle)
			p.text(wide/2, y+tall+5+noteLineMM, "Not to scale: the template is.", middle)
		}
	}
	return all
}

// drillOrder numbers the posts of a plan by the order of their holes.
func drillOrder(r *workshop.PlanResult) []string {
	out := make([]string, len(r.Posts))
	for i, post := range r.Posts {
		for k, h := range r.Holes {
			if h.Kind == "post" && h.String == post.String {
				out[i] = fmt.Sprint(k + 1)
			}
		}
	}
	return out
}

// closeMM is how little room is worth a word at the press.
const closeMM = 1.0

func closeChecks(findings []layout.Finding) string {
	var out []string
	for _, f := range findings {
		if (f.ClearanceMM < closeMM && f.Check != "kink" || f.Result != layout.Pass) && len(out) < 4 {
			out = append(out, f.Where+": "+f.Text)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return upper(strings.Join(out, "; ")) + "."
}

// drillRows are the holes with boxes and rims to ring, and a line to close with.
func drillRows(p *pen, r *workshop.PlanResult) []block {
	length := func(mm float64) string { return lengthFigure(r.Units, mm) }
	type column struct {
		x    float64
		head string
	}
	head := []column{{8, "hole"}, {19, "string"}, {41, "across"}, {56, "along"}, {71, "from last"}, {83, "edge"}, {97, "deep"}}
	sorts := map[float64]bool{}
	for _, h := range r.Holes {
		sorts[h.DiameterMM] = true
	}
	top := block{high: 6, gap: 2, draw: func(p *pen, y float64) {
		for _, c := range head {
			p.text(c.x, y+4, c.head, right(noteType))
		}
		for _, c := range []column{{99, "pricked"}, {113, "drilled"}, {126, "rim front"}, {144, "rim back"}, {160, "note"}} {
			p.text(c.x, y+4, c.head, noteType)
		}
		p.rule(y+5.6, draw.Black, 0.35)
	}}
	var rows []block
	for i, h := range r.Holes {
		post, _ := r.PostOf(h.String)
		side := "bass "
		x := -h.XMM
		if h.XMM >= 0 {
			side, x = "treble ", h.XMM
		}
		edge, last := "", ""
		if h.Kind != "pilot" && post.EdgeMM != nil {
			edge = length(*post.EdgeMM)
		}
		if h.Kind == "post" && post.PitchMM != nil {
			last = length(*post.PitchMM)
		}
		deep := length(h.CutMM())
		if len(sorts) > 1 {
			deep = length(h.DiameterMM) + " x " + deep
		}
		row := block{high: 7, draw: func(p *pen, y float64) {
			base := y + 4.8
			p.text(8, base, fmt.Sprint(i+1), right(draw.Type{Points: 12, Bold: true}))
			for k, words := range []string{fmt.Sprint(h.String), side + length(x), length(h.YMM), last, edge, deep} {
				p.text(head[k+1].x, base, words, right(bodyType))
			}
			p.tick(103, y+1.6, 3.6, false)
			p.tick(116, y+1.6, 3.6, false)
			if h.Kind != "pilot" {
				p.text(126, base, "0  1  2  3", bodyType)
				p.text(144, base, "0  1  2  3", bodyType)
			}
			p.rule(y+6.9, draw.Hair, 0.3)
			p.line(159, y, 159, y+6.9, draw.Hair, 0.3)
		}}
		if i == 0 {
			row = group(top, row)
		}
		rows = append(rows, row)
	}
	unit := "Millimetres"
	if !Metric(r.Units) {
		unit = "Inches"
	}
	rows = append(rows, p.paragraph(0, p.room, unit+" from the fretboard end and the centre line. Edge: from the middle of the hole. Deep: the backing is in it. Rim, ring one: 0 clean, 1 fuzz, 2 a chip that the flange hides, 3 one that shows. Ring nothing if you did not look.", noteType))
	return append(rows, block{gap: 5, high: 9, draw: func(p *pen, y float64) {
		x := 0.0
		for _, f := range []struct {
			label string
			line  float64
		}{{"Drilled on", 30}, {"with bit", 26}, {"worst rim", 14}, {"thickness", 18}} {
			p.text(x, y+6, f.label, bodyType)
			x += p.s.Width(f.label, bodyType) + 2
			p.line(x, y+6.5, x+f.line, y+6.5, draw.Black, 0.25)
			x += f.line + 4
		}
	}})
}
