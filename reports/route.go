package reports

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Routes lists all routes.
func Routes(r *workshop.RouteListResult) Report {
	out := Report{Name: "routes", Title: "Routes", Made: r.Made, Headline: []string{jobs.CountText(len(r.Routes), "route") + "."}, Next: []string{"route show headstock"}}
	out.Add(Build(Table{Name: "routes"}, r.Routes, []Col[jobs.Route]{
		{Column{Key: "route", Header: "route"}, func(x jobs.Route) Cell { return Text(x.Name) }},
		{Column{Key: "steps", Header: "steps", Kind: KindCount}, func(x jobs.Route) Cell { return Count(len(x.Steps)) }},
		{Column{Key: "title", Header: "title"}, func(x jobs.Route) Cell { return Text(x.Title) }},
	}))
	return out
}

// RouteSteps lists the steps of one route.
func RouteSteps(r *workshop.RouteResult) Report {
	sum := 0.0
	for _, l := range r.Lines {
		sum += l.StandardMin
	}
	out := Report{Name: "route-" + r.Name, Title: "Route " + r.Name, Subject: r.Title, Made: r.Made,
		Headline: []string{fmt.Sprintf("Route %s: %s, %.1f h standard at the usual quantities.", r.Name, jobs.CountText(len(r.Lines), "step"), sum/60)},
		Notes:    []string{"A step whose quantity is 0 is skipped. neck add --quantity inlay=14 brings it in.", "The standard is a starting guess until your own log says better."}}
	type l = workshop.RouteLine
	out.Add(Build(Table{Name: "steps"}, r.Lines, []Col[l]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(x l) Cell { return Count(x.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(x l) Cell { return Text(x.Operation) }},
		{Column{Key: "quantity", Header: "usual", Kind: KindNumber}, func(x l) Cell { return Number(x.Quantity) }},
		{Column{Key: "per", Header: "per"}, func(x l) Cell { return Text(x.Per) }},
		{Column{Key: "standard_min", Header: "standard", Unit: "min", Kind: KindMinutes}, func(x l) Cell { return MinutesOf(x.StandardMin) }},
		{Column{Key: "cure_h", Header: "cure", Unit: "h", Kind: KindHours}, func(x l) Cell {
			if x.CureMin == 0 {
				return Empty()
			}
			return HoursOf(x.CureMin / 60)
		}},
		{Column{Key: "title", Header: "what"}, func(x l) Cell { return Text(x.Title) }},
	}))
	return out
}

// RouteChanged is the echo of a route that was changed or made.
func RouteChanged(r *workshop.RouteResult) Report {
	return Report{Name: "route", Headline: []string{fmt.Sprintf("CHANGED route %s: %s.", r.Name, jobs.CountText(len(r.Lines), "step"))}}
}
