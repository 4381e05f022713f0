package page

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/html"
	"bookmatch/reports/paper"
)

// layoutPath is the screen of a neck's layout.
func layoutPath(neck string) string { return "/layout/" + strings.ToLower(neck) }

// push is what the address of a layout says: the string in question, the mode and
// the kept plan it begins from, and the places of the posts that were pushed.
type push struct {
	str   int
	asked workshop.MovesAsk
}

// pushed reads it. y is the place of the string in question, y3 that of string 3.
func (q *request) pushed() (p push, err error) {
	if err := q.r.ParseForm(); err != nil {
		return p, &jobs.FieldError{Field: "address", Value: q.r.URL.RawQuery, Want: "what this page put there"}
	}
	get := func(name string) string { return strings.TrimSpace(q.r.Form.Get(name)) }
	p.asked = workshop.MovesAsk{Neck: q.r.PathValue("neck"), Mode: get("mode"), Base: get("base")}
	if s := get("string"); s != "" {
		if p.str, err = strconv.Atoi(s); err != nil {
			return p, &jobs.FieldError{Field: "string", Value: s, Want: "the number of a string"}
		}
	}
	for _, name := range sortedKeys(q.r.Form) {
		str, ok := strings.CutPrefix(name, "y")
		if str == "" && p.str != 0 {
			str = strconv.Itoa(p.str)
		}
		if v := get(name); ok && v != "" {
			p.asked.Moves = append(p.asked.Moves, str+"="+strings.TrimSuffix(v, "mm")+"mm")
		}
	}
	return p, nil
}

// query is the address of a layout with moves, for a string.
func (p push) query(base string, moves []layout.Move, str int) string {
	parts := []string{"string=" + strconv.Itoa(str)}
	for _, f := range p.fields(base, moves) {
		parts = append(parts, f.Name+"="+f.Value)
	}
	return "?" + strings.Join(parts, "&")
}

// fields are the base, the mode that was asked for and the moves, as an address or
// a form has them.
func (p push) fields(base string, moves []layout.Move) []html.Field {
	out := []html.Field{{Name: "base", Value: base}}
	if p.asked.Mode != "" {
		out = append(out, html.Field{Name: "mode", Value: p.asked.Mode})
	}
	for _, m := range moves {
		out = append(out, html.Field{Name: fmt.Sprintf("y%d", m.String), Value: jobs.NumberText(m.YMM)})
	}
	return out
}

func (q *request) layoutScreen() error {
	p, err := q.pushed()
	if err != nil {
		return err
	}
	x, err := q.layoutOf(p, false)
	if r, ok := jobs.RefusalOf("NOT SHOWN", err); ok && r.Code == "no-plan" {
		http.Redirect(q.w, q.r, "/do/layout/begin?neck="+q.r.PathValue("neck"), http.StatusSeeOther)
		return nil
	}
	if err != nil {
		return err
	}
	return q.show(http.StatusOK, html.Frame{Title: "layout of " + x.Name, Tab: "more", Screen: *x})
}

// layoutTry answers while a post moves: the screen's parts that follow it.
func (q *request) layoutTry() error {
	p, err := q.pushed()
	if err != nil {
		return err
	}
	x, err := q.layoutOf(p, true)
	if err != nil {
		return err
	}
	body, err := html.Frame{Screen: *x}.In(q.units).Body()
	if err != nil {
		return err
	}
	q.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, err = q.w.Write([]byte(body))
	return err
}

// layoutOf asks what a push would do and makes its screen. quick leaves out what
// does not follow the post.
func (q *request) layoutOf(p push, quick bool) (*html.Layout, error) {
	if p.str == 0 {
		p.str = 1
	}
	r, err := do[*workshop.LayoutTryResult](q, workshop.LayoutTry, &workshop.LayoutTryAsk{MovesAsk: p.asked, String: p.str, Quick: quick})
	if err != nil {
		return nil, err
	}
	path := layoutPath(r.NeckName)
	post, _ := r.PostOf(p.str)
	x := &html.Layout{Code: r.Neck, Name: r.NeckName, About: r.Neck + ", seen from the front, bass left", State: "draft", Plan: r.Code, Path: path, String: p.str,
		Place: fmt.Sprintf("%.1f mm", post.YMM), Value: jobs.NumberText(post.YMM), Moved: r.Draft, Print: path + "/template.pdf"}
	x.Handle = r.Frozen == nil || q.r.Form.Get("successor") != "" || r.Draft
	if r.Frozen != nil {
		x.State = "frozen"
		x.Frozen = "Drilled from " + shortDay(jobs.DayOf(*r.Frozen), r.Made) + " on by this plan. A change makes a successor. Then this paper is void."
		x.Successor = path + "?successor=1"
	}
	if r.OutOfDate != "" {
		x.OutOfDate = "Out of date: " + r.OutOfDate + ". Keep a new plan before you drill."
	}
	if t := r.Track; t != nil {
		x.Low, x.Top, x.Track = jobs.NumberText(t.FromMM), jobs.NumberText(t.ToMM), reports.TrackRule(*t)
	}
	for _, s := range slices.Sorted(slices.Values(stringsOf(r.Posts))) {
		x.Strings = append(x.Strings, html.Choice{Text: strconv.Itoa(s), Path: path + p.query(r.Base, r.ByHand, s), On: s == p.str})
	}
	others := slices.DeleteFunc(slices.Clone(r.ByHand), func(m layout.Move) bool { return m.String == p.str })
	x.Keep = append([]html.Field{{Name: "string", Value: strconv.Itoa(p.str)}}, p.fields(r.Base, others)...)
	x.Moves = p.fields(r.Base, r.ByHand)
	for _, by := range []float64{-0.5, -0.1, 0.1, 0.5} {
		to := append(slices.Clone(others), layout.Move{String: p.str, YMM: math.Round((post.YMM+by)*1000) / 1000})
		x.Nudges = append(x.Nudges, html.Choice{Text: strings.Replace(fmt.Sprintf("%+.1f", by), "-", "−", 1), By: fmt.Sprintf("%.1f", by), Path: path + p.query(r.Base, to, p.str)})
	}
	x.Head, x.Small = reports.MeasuredHeads(r.Plan, p.str)
	x.Gauges = gauges(r.Plan, post)
	for _, m := range r.Modes {
		x.Modes = append(x.Modes, modeBox(r, m, path, p.str))
	}
	checks(x, r.Plan)
	if x.Moved {
		x.KeepForm = q.form(path + "/keep")
		x.MovedText = "Nothing of this is kept yet."
	} else if x.Ask = q.r.Form.Get("ask") == "freeze" && r.Frozen == nil; x.Ask {
		x.FreezeForm = q.form(path + "/freeze")
	}
	return x, nil
}

func stringsOf(posts []layout.Post) (out []int) {
	for _, p := range posts {
		out = append(out, p.String)
	}
	return out
}

// gauges are the three distances of a post that a push changes.
func gauges(p layout.Plan, post layout.Post) (out []html.Gauge) {
	e := p.Spec.Edge
	add := func(label string, v *float64, low, top float64) {
		if v == nil {
			return
		}
		g := reports.Gauge{Value: *v, Low: low, Top: top, From: *v - 4, To: *v + 4}
		if low > 0 {
			g.From = low - 2
			g.To = low + 6
		}
		out = append(out, html.Gauge{Label: label, Value: fmt.Sprintf("%.1f mm", *v), Rule: g})
	}
	add("to the edge", post.EdgeMM, e.MinMM, e.MaxMM)
	add("pitch before", post.PitchMM, e.PitchMinMM, 0)
	for _, next := range p.Posts {
		if next.Side == post.Side && next.Place == post.Place+1 {
			add("pitch after", next.PitchMM, e.PitchMinMM, 0)
		}
	}
	return out
}

// modeBox is one mode and what gives way in it.
func modeBox(r *workshop.LayoutTryResult, m layout.ModeSum, path string, str int) html.Mode {
	x := html.Mode{Name: strings.ReplaceAll(m.Mode, "-", " "), On: m.Mode == r.Mode, Path: fmt.Sprintf("%s?string=%d&base=%s&mode=%s", path, str, r.Base, m.Mode)}
	switch {
	case m.Error != "":
		x.Fails, x.About = true, "no place for a row"
		return x
	case m.Worst == layout.Fail:
		x.Fails, x.About = true, "FAILS at "+m.FailsAt()
		return x
	}
	var pitch, edge [2]float64
	off := 0.0
	widen := func(to *[2]float64, lo, hi *float64) {
		if lo != nil && (to[0] == 0 || *lo < to[0]) {
			to[0] = *lo
		}
		if hi != nil {
			to[1] = math.Max(to[1], *hi)
		}
	}
	for _, row := range m.Rows {
		widen(&pitch, row.PitchMinMM, row.PitchMaxMM)
		widen(&edge, row.EdgeMinMM, row.EdgeMaxMM)
		off = math.Max(off, row.OffMaxMM)
	}
	var gives []string
	between := func(word string, v [2]float64) {
		if v[1]-v[0] >= 0.05 {
			gives = append(gives, fmt.Sprintf("%s %.1f to %.1f", word, v[0], v[1]))
		}
	}
	between("pitch", pitch)
	between("edge", edge)
	if off >= 0.05 {
		gives = append(gives, fmt.Sprintf("%.1f off", off))
	}
	if x.About = strings.Join(gives, ", "); x.About == "" {
		x.About = "all even"
	}
	return x
}

// worstChecks is how many clearances are shown.
const worstChecks = 6

// checks puts what the checks say into the screen: what fails in words, and the
// closest clearances.
func checks(x *html.Layout, p layout.Plan) {
	closest := p.Closest()
	fails := 0
	for _, f := range closest {
		if f.Result == layout.Fail {
			fails++
		}
	}
	x.Checks = fmt.Sprintf("all %d checks pass, the closest:", len(closest))
	if fails > 0 {
		x.Checks = fmt.Sprintf("%d of %d checks fail", fails, len(closest))
	}
	for _, f := range closest[:min(max(worstChecks, fails), len(closest))] {
		c := html.Clear{Name: f.Check, Value: fmt.Sprintf("%.1f", f.ClearanceMM), Bar: reports.Bar{Done: f.ClearanceMM / 6}}
		if f.Result == layout.Fail {
			c.Fails, c.Name, c.Text = true, f.Check+" FAILS at "+f.Where, f.Text
		}
		x.Worst = append(x.Worst, c)
	}
}

// layoutKeep keeps what was pushed as the neck's next plan.
func (q *request) layoutKeep() error {
	p, err := q.pushed()
	if err != nil {
		return err
	}
	return q.change(workshop.LayoutMove, &workshop.LayoutMoveAsk{MovesAsk: p.asked}, layoutPath(p.asked.Neck))
}

// layoutFreeze freezes the kept plan. Moves that are kept nowhere stop it.
func (q *request) layoutFreeze() error {
	p, err := q.pushed()
	if err != nil {
		return err
	}
	if len(p.asked.Moves) > 0 || p.asked.Mode != "" {
		return &jobs.Refusal{Code: "not-kept", Class: jobs.Conflict, What: "NOT SAVED", Why: "what you pushed is not kept yet, and only a kept plan can be frozen. Keep it as a new plan first"}
	}
	return q.change(workshop.LayoutFreeze, &workshop.LayoutFreezeAsk{Neck: p.asked.Neck, Code: q.value("code"), Anyway: q.value("anyway")}, layoutPath(p.asked.Neck))
}

// layoutPrint gives the template of the kept plan, face and back, as PDF.
func (q *request) layoutPrint() error {
	r, err := do[*workshop.DrawResult](q, workshop.LayoutDraw, &workshop.LayoutDrawAsk{PlanAsk: workshop.PlanAsk{Neck: q.r.PathValue("neck")}, Out: "template.pdf"})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if _, err := paper.WriteTemplate(&b, "template.pdf", paper.TemplateOf(r)); err != nil {
		return err
	}
	return q.file("application/pdf", "inline", r.NeckName+"-"+r.Code+".pdf", b.Bytes())
}
