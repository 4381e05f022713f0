package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func overheadVerbs() []words.Command {
	return []words.Command{
		{Path: "overhead show", Help: "yearly costs divided by logged and by planned hours", Example: "overhead show", Verb: workshop.OverheadShow, View: reports.View(reports.Overhead)},
	}
}
