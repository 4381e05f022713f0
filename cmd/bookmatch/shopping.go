package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func shoppingVerbs() []words.Command {
	return []words.Command{
		{Path: "shopping", Help: "what to order by when: supplies, parts, bits", Example: "shopping", Verb: workshop.Shopping, View: reports.View(reports.Shopping), Out: true},
		{Path: "shopping order", Help: "tick something off the list: it is ordered", Example: "shopping order wood-glue", Verb: workshop.ShoppingOrder, View: reports.View(reports.ShoppingOrdered)},
	}
}
