package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func partVerbs() []words.Command {
	return []words.Command{
		{Path: "part add", Help: "add a part to a neck", Example: "part add ada tuners --price 84.00", Verb: workshop.PartAdd, View: reports.View(reports.PartAdded)},
		{Path: "part set", Help: "change a part", Example: "part set 1 --here", Verb: workshop.PartSet, View: reports.View(reports.PartChanged)},
		{Path: "part freight", Help: "share the freight of a delivery over its parts", Example: "part freight 9.90 1,2", Verb: workshop.PartFreight, View: reports.View(reports.FreightShared)},
		{Path: "part drop", Help: "remove a part", Example: "part drop 1", Verb: workshop.PartDrop, View: reports.View(reports.PartDropped)},
		{Path: "part list", Help: "the parts of a neck, or of all open necks", Example: "part list ada", Verb: workshop.PartList, View: reports.View(reports.PartList)},
	}
}
