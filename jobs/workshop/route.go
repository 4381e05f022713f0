package workshop

import (
	"math"
	"slices"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// RouteListAsk asks for all routes.
type RouteListAsk struct{ Asked }

// RouteListResult is all routes, by name.
type RouteListResult struct {
	Meta
	Routes []jobs.Route `json:"routes"`
}

// RouteShowAsk asks for the steps of one route.
type RouteShowAsk struct {
	Asked
	Route string `json:"route" word:"ROUTE"`
	Path  bool   `json:"path,omitempty" flag:"path" help:"only the longest path"`
}

// RouteResult is one route with its steps at their usual quantities.
type RouteResult struct {
	Meta
	jobs.Route
	Lines    []RouteLine `json:"lines"`
	Count    int         `json:"usual_steps"` // at the usual quantities
	Hours    float64     `json:"standard_h"`
	Evenings int         `json:"least_evenings"` // by its cures, with the bench to itself
	Path     []string    `json:"path"`           // the longest
	OnlyPath bool        `json:"only_path,omitempty"`
	Changed  string      `json:"changed,omitempty"` // the step that was changed
}

// RouteLine is one step of a route. StandardMin is setup and run time at the
// usual quantity, 0 where that takes the step out.
type RouteLine struct {
	Step        string   `json:"step"`
	Operation   string   `json:"operation"`
	Title       string   `json:"title"`
	Group       string   `json:"group"`
	After       []string `json:"after"`
	Nearest     []string `json:"nearest_needs"` // without those that follow from others
	When        string   `json:"when,omitempty"`
	Repeat      string   `json:"repeat,omitempty"`
	Quantity    float64  `json:"quantity"`
	Per         string   `json:"per"`
	Unit        string   `json:"unit"`
	SetupMin    float64  `json:"setup_min"`
	RunMin      float64  `json:"run_min"`
	StandardMin float64  `json:"standard_min"`
	HandledH    float64  `json:"handled_h"`
	CuredH      float64  `json:"cured_h"`
	Place       string   `json:"place"`
	Marks       string   `json:"marks"`
}

// RouteList lists the routes, RouteShow shows one, RouteSet changes or makes
// one, RouteAdd adds a step.
var (
	RouteList = Define("route list", "", Reads, (*Book).routeList)
	RouteShow = Define("route show", "", Reads, (*Book).routeShow)
	RouteSet  = Define("route set", "NOT CHANGED", Writes, (*Book).routeSet)
	RouteAdd  = Define("route add", "NOT ADDED", Writes, (*Book).routeAdd)
)

func (b *Book) routeList(_ *RouteListAsk, res *RouteListResult) error {
	routes, err := store.All(b.Tx, store.Routes)
	res.Routes = append([]jobs.Route{}, routes...)
	return err
}

func (b *Book) routeShow(ask *RouteShowAsk, res *RouteResult) error {
	r, err := b.FindRoute(ask.Route)
	if err != nil {
		return err
	}
	res.OnlyPath = ask.Path
	return b.routeLines(res, r)
}

// FindRoute resolves a typed route.
func (b *Book) FindRoute(word string) (jobs.Route, error) {
	routes, err := store.All(b.Tx, store.Routes)
	if err != nil {
		return jobs.Route{}, err
	}
	var names []string
	for _, r := range routes {
		names = append(names, r.Name)
	}
	if hits := jobs.Candidates(word, names); len(hits) == 1 {
		r, _, err := store.Get(b.Tx, store.Routes, hits[0])
		return r, err
	}
	return jobs.Route{}, &jobs.NotFoundError{Noun: "route", Value: word, Near: jobs.Nearest(word, names)}
}

// routeLines gives the steps of a route, and what it takes at the usual
// quantities.
func (b *Book) routeLines(res *RouteResult, r jobs.Route) error {
	res.Route, res.Lines = r, []RouteLine{}
	operation := func(s jobs.GraphStep) jobs.Operation {
		return b.Operations[jobs.PresentName(s.Operation, b.Operations)]
	}
	for _, s := range r.Steps {
		o := operation(s)
		q, ok := r.Quantities[o.Per]
		if !ok {
			q = 1
		}
		if s.When != "" && r.Quantities[s.When] == 0 {
			q = 0
		}
		l := RouteLine{Step: s.Name, Operation: s.Operation, Title: o.Title, Group: o.Group, After: []string{}, Nearest: nearestNeeds(r.Steps, s), When: s.When, Repeat: s.Repeat, Quantity: q, Per: o.Per, Unit: o.Unit(),
			SetupMin: o.SetupMin + o.BenchWaitMin, RunMin: o.RunMin, HandledH: jobs.Round2(o.UnclampMin / 60), CuredH: jobs.Round2(max(o.CureMin, o.UnclampMin) / 60), Place: string(o.At()), Marks: o.Graph().Marks.String()}
		if q > 0 {
			l.StandardMin = jobs.Round2(o.StandardMin(q))
			if s.Repeat != "" {
				l.StandardMin = jobs.Round2(q * o.StandardMin(1))
			}
		}
		for _, n := range s.After {
			l.After = append(l.After, n.String())
		}
		res.Lines = append(res.Lines, l)
	}
	steps, _, err := jobs.PlanSteps(r, b.Operations, nil)
	if err != nil {
		return err
	}
	return b.routeSum(res, jobs.Neck{Steps: steps}, operation)
}

// routeSum adds up a route at its usual quantities.
func (b *Book) routeSum(res *RouteResult, n jobs.Neck, operation func(jobs.GraphStep) jobs.Operation) error {
	minutes := 0.0
	for _, s := range n.Steps {
		minutes += b.Operations[jobs.PresentName(s.Operation, b.Operations)].StandardMin(s.Quantity)
	}
	res.Count, res.Hours = len(n.Steps), jobs.Round2(minutes/60)
	evening, err := b.evening(b.Now, b.Now, 1)
	if err != nil {
		return err
	}
	steps, _, err := b.planSteps(jobs.Derive(n, nil, b.Operations, b.Shop, b.Now), b.Now)
	if err != nil {
		return err
	}
	_, _, r, _ := schedule.Remaining(schedule.Neck{Steps: steps}, evening)
	res.Evenings = int(math.Ceil(r))
	g := n.Graph()
	quantity := map[string]float64{}
	for i, s := range g {
		quantity[s.Name] = n.Steps[i].Quantity
	}
	res.Path, _ = g.LongestPath(func(s jobs.GraphStep) float64 { return operation(s).StandardMin(quantity[s.Name]) }, func(need jobs.Need, on jobs.GraphStep) float64 {
		o := operation(on)
		return need.Wait(o.UnclampMin, max(o.CureMin, o.UnclampMin))
	})
	return nil
}

// nearestNeeds gives the needs of a step without those that follow from its
// other needs.
func nearestNeeds(g jobs.Graph, s jobs.GraphStep) []string {
	out := []string{}
	for _, n := range s.After {
		follows := slices.ContainsFunc(s.After, func(o jobs.Need) bool { return o.Step != n.Step && leadsTo(g, o.Step, n.Step, len(g)) })
		if !follows {
			out = append(out, n.Step)
		}
	}
	return out
}

// leadsTo says whether a step needs another, directly or not.
func leadsTo(g jobs.Graph, from, to string, depth int) bool {
	i, err := g.Step(from)
	if err != nil || depth == 0 {
		return false
	}
	return slices.ContainsFunc(g[i].After, func(n jobs.Need) bool { return n.Step == to || leadsTo(g, n.Step, to, depth-1) })
}
