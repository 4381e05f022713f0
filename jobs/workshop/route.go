package workshop

import (
	"strings"

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
}

// RouteResult is one route with its steps at their usual quantities.
type RouteResult struct {
	Meta
	jobs.Route
	Lines []RouteLine `json:"lines"`
}

// RouteLine is one step of a route. StandardMin is setup and run time at the
// usual quantity.
type RouteLine struct {
	Step        int     `json:"step"`
	Operation   string  `json:"operation"`
	Title       string  `json:"title"`
	Quantity    float64 `json:"quantity"`
	Per         string  `json:"per"`
	StandardMin float64 `json:"standard_min"`
	CureMin     float64 `json:"cure_min"`
}

// RouteSetAsk changes a route, or makes one.
type RouteSetAsk struct {
	Asked
	Route      string             `json:"route" word:"ROUTE"`
	Steps      string             `json:"steps,omitempty" flag:"steps" help:"operations in order, comma between"`
	Title      string             `json:"title,omitempty" flag:"title" help:"what it is"`
	Quantities map[string]float64 `json:"quantities,omitempty" flag:"quantity" arg:"WHAT=N" help:"usual quantity, such as inlay=14"`
}

// RouteList lists the routes, RouteShow shows one, RouteSet changes or makes one.
var (
	RouteList = Define("route list", "", Reads, (*Book).routeList)
	RouteShow = Define("route show", "", Reads, (*Book).routeShow)
	RouteSet  = Define("route set", "NOT CHANGED", Writes, (*Book).routeSet)
)

func (b *Book) routeList(_ *RouteListAsk, res *RouteListResult) error {
	routes, err := store.All(b.Tx, store.Routes)
	res.Routes = append([]jobs.Route{}, routes...)
	return err
}

func (b *Book) routeShow(ask *RouteShowAsk, res *RouteResult) error {
	r, err := b.FindRoute(ask.Route)
	if err == nil {
		b.routeLines(res, r)
	}
	return err
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

func (b *Book) routeLines(res *RouteResult, r jobs.Route) {
	res.Route, res.Lines = r, []RouteLine{}
	for i, s := range r.Steps {
		o := b.Operations[s.Operation]
		q, ok := r.Quantities[o.Per]
		if !ok {
			q = 1
		}
		res.Lines = append(res.Lines, RouteLine{i + 1, s.Operation, o.Title, q, o.Per, jobs.Round2(o.StandardMin(q)), o.CureMin})
	}
}

func (b *Book) routeSet(ask *RouteSetAsk, res *RouteResult) error {
	r, ok, err := store.Get(b.Tx, store.Routes, ask.Route)
	if err != nil {
		return err
	}
	if !ok {
		if err := jobs.ValidName("route", ask.Route); err != nil {
			return err
		}
		if ask.Steps == "" {
			_, err := b.FindRoute(ask.Route)
			return err
		}
		r = jobs.Route{Name: ask.Route, Title: ask.Route, Quantities: map[string]float64{"neck": 1, "choice": 1}}
	}
	if ask.Steps != "" {
		r.Steps = nil
		for _, word := range strings.Split(ask.Steps, ",") {
			o, err := jobs.FindOperation(strings.TrimSpace(word), b.Operations, nil)
			if err != nil {
				return err
			}
			r.Steps = append(r.Steps, jobs.RouteStep{Operation: o.Name})
		}
	}
	if ask.Title != "" {
		r.Title = ask.Title
	}
	for name, q := range ask.Quantities {
		unit, known := jobs.PerNamed(name)
		if !known {
			return &jobs.FieldError{Field: "quantity", Value: name, Want: "a unit that a run grows with, such as inlay=14"}
		}
		r.Quantities[unit.Name] = q
	}
	b.routeLines(res, r)
	return store.Put(b.Tx, store.Routes, r)
}
