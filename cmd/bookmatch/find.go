package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func findVerbs() []words.Command {
	return []words.Command{
		{Path: "find", Help: "find text in notes, titles, customers and quotes", Example: `find "fifth fret"`, Verb: workshop.Find, View: reports.View(reports.Found)},
	}
}
