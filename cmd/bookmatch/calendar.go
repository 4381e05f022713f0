package main

import (
	"io"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func calendarVerbs() []words.Command {
	return []words.Command{
		{Path: "calendar", Help: "cures and dates as a calendar file (.ics)", Example: "calendar --out shop.ics", Verb: workshop.Calendar, View: reports.View(reports.CalendarShown), Draw: writeCalendar,
			Form: words.Form{Kind: "text/calendar; charset=utf-8", Ending: ".ics", File: func(w io.Writer, r workshop.Result) error {
				return reports.WriteCalendar(w, r.(*workshop.CalendarResult))
			}}},
	}
}

func writeCalendar(_ *words.Env, a workshop.Ask, res workshop.Result) error {
	ask := a.(*workshop.CalendarAsk)
	if ask.Out == "" {
		return nil
	}
	if !strings.HasSuffix(strings.ToLower(ask.Out), ".ics") {
		return &jobs.FieldError{Field: "out", Value: ask.Out, Want: "a name that ends in .ics, such as shop.ics"}
	}
	return reports.WriteFile(ask.Out, ask.Force, func(w io.Writer) error {
		return reports.WriteCalendar(w, res.(*workshop.CalendarResult))
	})
}
