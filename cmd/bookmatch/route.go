package main

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func routeCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "route", Usage: "the ordered steps a neck passes through",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "all routes", Action: e.routeList},
			{Name: "show", Usage: "the steps of one route", ArgsUsage: "ROUTE", Action: e.routeShow},
			{Name: "set", Usage: "change a route, or make one: route set headstock --steps choose-veneer,glue-face,drill --quantity holes=6", ArgsUsage: "ROUTE",
				Flags: []cli.Flag{
					&cli.StringFlag{Name: "steps", Usage: "operations in order, comma between"},
					&cli.StringFlag{Name: "title", Usage: "what it is"},
					&cli.StringSliceFlag{Name: "quantity", Usage: "default quantity, `WHAT=N`, repeatable"},
				}, Action: e.routeSet},
		},
	}
}

func (e *env) routeList(c *cli.Context) error {
	var routes []jobs.Route
	if err := e.view(c, func(tx *workshop.Book) (err error) { routes, err = store.All(tx.Tx, store.Routes); return err }); err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"routes": routes})
	}
	t := reports.Table{Name: "routes", Columns: []reports.Column{{Key: "route", Header: "route"}, {Key: "steps", Header: "steps", Kind: reports.KindCount}, {Key: "title", Header: "title"}}}
	for _, r := range routes {
		t.Add(reports.Text(r.Name), reports.Count(len(r.Steps)), reports.Text(r.Title))
	}
	return e.print(reports.Report{Name: "routes", Title: "Routes", Sections: reports.Sections(t)})
}

// findRoute resolves a typed route.
func findRoute(tx *workshop.Book, word string) (jobs.Route, error) {
	routes, err := store.All(tx.Tx, store.Routes)
	if err != nil {
		return jobs.Route{}, err
	}
	var names []string
	for _, r := range routes {
		names = append(names, r.Name)
	}
	if hits := jobs.Candidates(word, names); len(hits) == 1 {
		r, _, err := store.Get(tx.Tx, store.Routes, hits[0])
		return r, err
	}
	return jobs.Route{}, &jobs.NotFoundError{Noun: "route", Value: word, Near: jobs.Nearest(word, names)}
}

func (e *env) routeShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var route jobs.Route
	var operations map[string]jobs.Operation
	err = e.view(c, func(tx *workshop.Book) (err error) {
		if route, err = findRoute(tx, w[0]); err != nil {
			return err
		}
		operations, err = tx.OperationMap()
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(route)
	}
	t := reports.Table{Name: "steps", Columns: []reports.Column{
		{Key: "step", Header: "step", Kind: reports.KindCount}, {Key: "operation", Header: "operation"}, {Key: "quantity", Header: "usual", Kind: reports.KindNumber}, {Key: "per", Header: "per"},
		{Key: "standard_min", Header: "standard", Unit: "min", Kind: reports.KindMinutes}, {Key: "cure_h", Header: "cure", Unit: "h", Kind: reports.KindHours}, {Key: "title", Header: "what"},
	}}
	for i, s := range route.Steps {
		k := operations[s.Operation]
		q, ok := route.Quantities[k.Per]
		if !ok {
			q = 1
		}
		cure := reports.Empty()
		if k.CureMin > 0 {
			cure = reports.HoursOf(k.CureMin / 60)
		}
		t.Add(reports.Count(i+1), reports.Text(s.Operation), reports.Number(q), reports.Text(k.Per), reports.MinutesOf(k.StandardMin(q)), cure, reports.Text(k.Title))
	}
	t.Note("a step whose quantity is 0 falls away; neck add --quantity inlay=14 brings it in")
	t.Note("standard is set-up + run x usual quantity, a starting guess until your own log says better")
	return e.print(reports.Report{Name: "route-" + route.Name, Title: "Route " + route.Name, Subject: route.Title, Sections: reports.Sections(t)})
}

func (e *env) routeSet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	quantities, err := jobs.ParseQuantities(c.StringSlice("quantity"))
	if err != nil {
		return err
	}
	var route jobs.Route
	err = e.update(c, func(tx *workshop.Book) error {
		operations, err := tx.OperationMap()
		if err != nil {
			return err
		}
		var ok bool
		if route, ok, err = store.Get(tx.Tx, store.Routes, w[0]); err != nil {
			return err
		}
		if !ok {
			if err := jobs.ValidName("route", w[0]); err != nil {
				return err
			}
			if c.String("steps") == "" {
				_, err := findRoute(tx, w[0])
				return err
			}
			route = jobs.Route{Name: w[0], Title: w[0], Quantities: map[string]float64{"neck": 1, "choice": 1}}
		}
		if s := c.String("steps"); s != "" {
			route.Steps = nil
			for _, word := range strings.Split(s, ",") {
				k, err := jobs.FindOperation(strings.TrimSpace(word), operations, nil)
				if err != nil {
					return err
				}
				route.Steps = append(route.Steps, jobs.RouteStep{Operation: k.Name})
			}
		}
		if t := c.String("title"); t != "" {
			route.Title = t
		}
		for d, q := range quantities {
			route.Quantities[d] = q
		}
		return store.Put(tx.Tx, store.Routes, route)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(route)
	}
	e.Say("route %s: %s", route.Name, fmt.Sprintf("%d steps", len(route.Steps)))
	return nil
}
