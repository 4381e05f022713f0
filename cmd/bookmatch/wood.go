package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func woodVerbs() []words.Command {
	return []words.Command{
		{Path: "wood list", Help: "all woods", Example: "wood list", Verb: workshop.WoodList, View: reports.View(reports.Woods)},
		{Path: "wood show", Help: "one wood with its cautions and sources", Example: "wood show hard-maple", Verb: workshop.WoodShow, View: reports.View(reports.WoodCard)},
		{Path: "wood set", Help: "change a wood; --new adds one", Example: "wood set myrtle --new --abrasion 0.8", Verb: workshop.WoodSet, View: reports.View(reports.WoodCard)},
	}
}
