package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func routeVerbs() []words.Command {
	return []words.Command{
		{Path: "route list", Help: "all routes", Example: "route list", Verb: workshop.RouteList, View: reports.View(reports.Routes)},
		{Path: "route show", Help: "the steps of one route", Example: "route show headstock", Verb: workshop.RouteShow, View: reports.View(reports.RouteSteps)},
		{Path: "route set", Help: "change a route or make a new one", Example: "route set headstock --quantity inlay=14", Verb: workshop.RouteSet, View: reports.View(reports.RouteChanged)},
	}
}
