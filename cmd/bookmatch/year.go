package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func yearVerbs() []words.Command {
	return []words.Command{
		{Path: "report year", Help: "the year: hours, earnings per hour, overhead, rework", Example: "report year 2026 --out year.xlsx", Verb: workshop.Year, View: reports.View(reports.Year), Out: true},
	}
}
