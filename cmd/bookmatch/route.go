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
		{Path: "route add", Help: "add a step to a route", Example: "route add headstock ease-holes-2 --operation ease-holes --after drill", Verb: workshop.RouteAdd, View: reports.View(reports.RouteChanged)},
		{Path: "route set", Help: "change a route or make a new one", Example: "route set headstock inlay-cut --after choose-veneer", Verb: workshop.RouteSet, View: reports.View(reports.RouteChanged)},
	}
}
