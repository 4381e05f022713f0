package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func customerVerbs() []words.Command {
	return []words.Command{
		{Path: "customer set", Help: "enter an address for letters", Example: `customer set "A. Bee" --address "Alder Court 14, 04998 Lower Marsh"`, Verb: workshop.CustomerSet, View: reports.View(reports.CustomerChanged)},
		{Path: "customer list", Help: "who has necks and quotes, with their addresses", Example: "customer list", Verb: workshop.CustomerList, View: reports.View(reports.CustomerList)},
	}
}
