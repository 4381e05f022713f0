package workshop

import (
	"cmp"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// LayoutMarksAsk compares pricked marks or drilled holes with the plan.
type LayoutMarksAsk struct {
	PlanAsk
	// Text is "1 end 50.1, 1 edge 13.4, 2 1 26.0, 3 at -5.5 100.1".
	Text       string    `json:"marks,omitempty" word:"[HOLE end|edge|HOLE MM]..."`
	PointsFile string    `json:"points_file,omitempty" flag:"points" arg:"FILE" help:"columns hole,x_mm,y_mm or hole,from,mm; x_in, y_in, in"`
	Points     *Document `json:"points,omitempty"`
	Drilled    bool      `json:"drilled,omitempty" flag:"drilled" help:"the holes are drilled already"`
}

// Load reads the points that are named.
func (a *LayoutMarksAsk) Load(l Loader) error {
	if a.PointsFile == "" {
		return nil
	}
	raw, err := l.File(a.PointsFile, specLimit)
	a.Points = &Document{Name: a.PointsFile, Text: string(raw)}
	return err
}

// MarksResult is the hole check.
type MarksResult struct {
	Meta
	layout.MarksResult
	NeckName  string        `json:"neck_name"`
	Posts     []layout.Post `json:"posts"`
	OutOfDate string        `json:"out_of_date"`
}

// Found says that the marks do not agree with the plan.
func (r *MarksResult) Found() bool { return !r.Pass }

// LayoutMarks compares marks or holes with the plan.
var LayoutMarks = Define("layout marks", "", Reads, (*Book).layoutMarks)

func (b *Book) layoutMarks(ask *LayoutMarksAsk, res *MarksResult) error {
	var marks []layout.Mark
	var readings []layout.Reading
	var err error
	if ask.Points != nil {
		if marks, readings, err = layout.ReadPoints(ask.Points.Text, func(s, unit string) (float64, error) { return jobs.ParseMeasured("marks", s, unit) }); err != nil {
			return specRefusal(ask.Points.Name, err)
		}
	}
	m, r, err := typedMarks(ask.Text, cmp.Or(b.Shop.Units, jobs.Millimetres))
	if err != nil {
		return err
	}
	marks, readings = append(marks, m...), append(readings, r...)
	if len(marks)+len(readings) == 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "no marks were given", Type: []string{"layout marks " + ask.Neck + " 1 end 50.1, 1 edge 13.4, 2 1 26.0, 2 edge 13.6", "layout marks " + ask.Neck + " --points marks.csv"}}
	}
	var plan PlanResult
	n, _, err := b.readPlan(ask.Neck, ask.Version, &plan)
	if err != nil {
		return err
	}
	drilled := ask.Drilled
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	for _, v := range st.Steps {
		drilled = drilled || b.Operations[v.Operation].Drills == jobs.DrillsPosts && v.State == jobs.Done
	}
	if res.MarksResult, err = layout.CompareMarks(plan.Plan, marks, readings, drilled); err != nil {
		return specRefusal("marks", err)
	}
	res.NeckName, res.Posts, res.OutOfDate = plan.NeckName, plan.Posts, plan.OutOfDate
	return nil
}

// typedMarks reads "1 end 50.1, 1 edge 13.4, 2 1 26.0, 3 at -5.5 100.1". A length that
// does not say its unit is in that of the shop.
func typedMarks(text, unit string) (marks []layout.Mark, readings []layout.Reading, err error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil, nil
	}
	for part := range strings.SplitSeq(text, ", ") {
		f := strings.Fields(strings.TrimSuffix(part, ","))
		want := &jobs.FieldError{Field: "mark", Value: part, Want: "HOLE end|edge|HOLE MM or HOLE at X Y"}
		if len(f) < 3 {
			return nil, nil, want
		}
		hole, err := strconv.Atoi(f[0])
		if err != nil {
			return nil, nil, want
		}
		num := make([]float64, 0, 2)
		for _, s := range lengthsOf(f[2:]) {
			v, err := jobs.ParseMeasured("mark", s, unit)
			if err != nil {
				return nil, nil, err
			}
			num = append(num, v)
		}
		switch {
		case f[1] == "at" && len(num) == 2:
			marks = append(marks, layout.Mark{Hole: hole, XMM: num[0], YMM: num[1]})
		case len(num) == 1 && layout.ReadingOf(hole, f[1], num[0]).From != "":
			readings = append(readings, layout.ReadingOf(hole, f[1], num[0]))
		default:
			return nil, nil, want
		}
	}
	return marks, readings, nil
}

// lengthsOf puts the words of each length together: "1 1/8 in" is one.
func lengthsOf(words []string) (out []string) {
	for _, w := range words {
		last := len(out) - 1
		if last >= 0 && (strings.Trim(w, "inchesm\"") == "" || strings.Contains(w, "/") && strings.Trim(out[last], "+-0123456789") == "") {
			out[last] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

// planVersions gives every version of a neck's plan, oldest first.
func (b *Book) planVersions(code string) ([]jobs.Plan, error) {
	return store.AllOf(b.Tx, store.Plans, code)
}
