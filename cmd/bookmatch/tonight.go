package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func tonightVerbs() []words.Command {
	return []words.Command{
		{Path: "tonight", Help: "what to do tonight, and what to glue last", Example: "tonight --until 22:00", Verb: workshop.Tonight, View: reports.View(reports.Tonight), Parts: reports.Why, Bench: true, Out: true},
	}
}
