package main

import (
	"io"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	papers "bookmatch/reports/paper"
)

func layoutVerbs() []words.Command {
	return []words.Command{
		{Path: "layout begin", Help: "write a spec from a few answers", Example: "layout begin ada --posts 3+3 --nut-width 42mm --hole 10mm --width 0=43mm --width 30=76mm --width 160=60mm --out ada.toml", Verb: workshop.LayoutBegin, View: reports.View(reports.NewSpec), Before: beginQuestions, Draw: writeSpec, Then: thenSolve},
		{Path: "layout solve", Help: "place the posts for straight string pull and keep the plan", Example: "layout solve ada --spec head.toml --mode balanced", More: "A spec is a TOML file. layout begin writes one with a remark behind each key.\nWhat it does not say is not checked, and the plan names it.", Verb: workshop.LayoutSolve, View: reports.View(reports.Solved)},
		{Path: "layout move", Help: "push posts along their strings and keep the plan", Example: "layout move ada 2=65.7", Verb: workshop.LayoutMove, View: reports.View(reports.Solved)},
		{Path: "layout try", Help: "what a move would do, and where a post fits", Example: "layout try ada 2=65.7 --string 2", Verb: workshop.LayoutTry, View: reports.View(reports.MoveTried)},
		{Path: "layout compare", Help: "compare the four ways to place the posts", Example: "layout compare ada", Verb: workshop.LayoutCompare, View: reports.View(reports.Compared)},
		{Path: "layout check", Help: "all checks of a plan, and whether it is out of date", Example: "layout check ada --spec head.toml", Verb: workshop.LayoutCheck, View: reports.View(reports.PlanChecks)},
		{Path: "layout show", Help: "the drilling sheet", Example: "layout show ada --out sheet.xlsx", Verb: workshop.LayoutShow, View: reports.View(reports.DrillingSheet), Out: true},
		{Path: "layout draw", Help: "draw the template at full size (.pdf or .svg)", Example: "layout draw ada --out ada.pdf", Verb: workshop.LayoutDraw, View: reports.View(reports.Drawn), Draw: drawTemplate},
		{Path: "layout freeze", Help: "fix a plan for drilling", Example: "layout freeze ada --code ECE3P", Verb: workshop.LayoutFreeze, View: reports.View(reports.PlanFrozen)},
		{Path: "layout marks", Help: "check the pricked marks or drilled holes against the plan", Example: "layout marks ada 1 end 50.1, 1 edge 13.4, 2 1 26.0, 2 edge 13.6", Verb: workshop.LayoutMarks, View: reports.View(reports.Marks), Out: true},
		{Path: "stack show", Help: "thickness against the tuners, and which veneers fit", Example: "stack show ada", Verb: workshop.StackShow, View: reports.View(reports.StackCard)},
	}
}

// drawTemplate writes the template of a plan.
func drawTemplate(e *words.Env, a workshop.Ask, res workshop.Result) error {
	ask, r := a.(*workshop.LayoutDrawAsk), res.(*workshop.DrawResult)
	t := papers.TemplateOf(r)
	t.Side = ask.Side
	var warnings []jobs.Warning
	err := reports.WriteFile(ask.Out, ask.Force, func(w io.Writer) (err error) {
		warnings, err = papers.WriteTemplate(w, ask.Out, t)
		return err
	})
	for _, w := range warnings {
		e.Warn(w)
	}
	return err
}
