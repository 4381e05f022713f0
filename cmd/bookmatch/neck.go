package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func neckVerbs() []words.Command {
	queue := words.Command{Path: "report neck", Verb: workshop.NeckQueue, View: reports.View(reports.Queue), Depth: reports.Full, Out: true}
	return []words.Command{
		{Path: "neck add", Help: "add a neck with the steps of its route", Example: "neck add N7 --nickname wren", Verb: workshop.NeckAdd, View: reports.View(reports.NeckAdded)},
		{Path: "neck list", Help: "the open necks; --all adds finished and scrapped ones", Example: "neck list", Verb: workshop.NeckList, View: reports.View(reports.NeckList)},
		{Path: "neck show", Help: "progress, next steps, cost and plan of one neck", Example: "neck show ada", Verb: workshop.NeckShow, View: reports.View(reports.NeckShow), Parts: reports.Steps | reports.Cost, Out: true, Picture: true},
		{Path: "neck set", Help: "change the title, nickname, customer or date of a neck", Example: "neck set ada --due 2027-06-01", Verb: workshop.NeckSet, View: reports.View(reports.NeckChanged)},
		{Path: "neck step", Help: "change, skip or add a step", Example: "neck step ada inlay-cut --quantity 9", Verb: workshop.NeckStepChange, View: reports.View(reports.StepChanged)},
		{Path: "neck note", Help: "add a note, or a photo by its path", Example: `neck note ada "two voids at the fifth fret"`, Verb: workshop.NeckNote, View: reports.View(reports.NoteSaved)},
		{Path: "neck hold", Help: "put a neck on hold", Example: `neck hold ada --why "waits for wood"`, Verb: workshop.NeckHold, View: reports.View(reports.NeckTurned)},
		{Path: "neck resume", Help: "reopen a neck that is on hold, finished or scrapped", Example: "neck resume ada", Verb: workshop.NeckResume, View: reports.View(reports.NeckTurned)},
		{Path: "neck finish", Help: "mark a neck as delivered or kept", Example: "neck finish ada --price 640.00", Verb: workshop.NeckFinish, View: reports.View(reports.NeckTurned)},
		{Path: "neck pay", Help: "log a payment", Example: "neck pay ada 200.00", Verb: workshop.NeckPay, View: reports.View(reports.PaymentSaved)},
		{Path: "neck scrap", Help: "give a neck up; its hours and money stay on record", Example: `neck scrap ada --why "torn face"`, Verb: workshop.NeckScrap, View: reports.View(reports.NeckTurned)},
		{Path: "report neck", Help: "route card and cost of a neck; without one, the queue", Example: "report neck ada", Verb: workshop.NeckShow, View: reports.View(reports.NeckShow), Depth: reports.Full, Out: true, Picture: true, Bare: &queue},
	}
}
