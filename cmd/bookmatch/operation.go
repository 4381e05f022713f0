package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func operationVerbs() []words.Command {
	return []words.Command{
		{Path: "operation list", Help: "all operations with their times", Example: "operation list", Verb: workshop.OperationList, View: reports.View(reports.Operations)},
		{Path: "operation show", Help: "the times of one operation and where they come from", Example: "operation show drill", Verb: workshop.OperationShow, View: reports.View(reports.OperationCard)},
		{Path: "operation set", Help: "change an operation, or write your own times for it", Example: "operation set drill --setup 8", Verb: workshop.OperationSet, View: reports.View(reports.OperationSaid)},
		{Path: "operation add", Help: "add an operation of your own", Example: "operation add bind-edge --setup 12 --run 0.3 --per edge_cm", Verb: workshop.OperationAdd, View: reports.View(reports.OperationAdded)},
	}
}
