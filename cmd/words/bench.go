package words

import (
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"slices"
	"strings"
)

// Bench lists the bench words in the order of the help. What can be inferred is
// not asked.
func Bench() []Command {
	out := []Command{
		{Path: "on", Help: "start work: on drill ada (stops what was running)", Example: "on drill ada", Verb: workshop.On, View: reports.View(reports.Started), Bare: &Command{Path: "on", Bench: true, Verb: workshop.Now, View: reports.View(reports.WhatRuns)}},
		{Path: "off", Help: "stop; the step stays open", Example: "off", Verb: workshop.Off, View: reports.View(reports.Stopped)},
		{Path: "done", Help: "finish the step: done, done 6, done ada 6, bo 8", Example: "done 6", Verb: workshop.Done, View: reports.View(reports.Finished)},
		{Path: "away", Help: "start a break", Example: "away", Verb: workshop.Away, View: reports.View(reports.WentAway)},
		{Path: "back", Help: "end the break", Example: "back", Verb: workshop.Back, View: reports.View(reports.CameBack)},
		{Path: "go", Help: "setup is over, the work itself begins (optional)", Example: "go", Verb: workshop.Go, View: reports.View(reports.SetupOver)},
		{Path: "oops", Help: "undo the last change; oops --redo brings it back", Example: "oops", Verb: workshop.Oops, View: reports.View(reports.Undone)},
		{Path: "spent", Help: "log time without the clock: spent 25 choose ada", Example: "spent 25 choose ada", Verb: workshop.Spent, View: reports.View(reports.Finished)},
		{Path: "now", Help: "what is running, since when, and on which neck", Example: "now", Verb: workshop.Now, View: reports.View(reports.WhatRuns)},
	}
	for i := range out {
		out[i].Bench = true
	}
	return out
}

// IsBench says whether the first word that is no flag is a bench word and nobody
// asks for help. The value of --file is no word.
func IsBench(args []string) bool {
	found := false
	for i := 0; i < len(args); i++ {
		switch a := args[i]; {
		case a == "--help" || a == "-h" || a == "-help":
			return false
		case isFlag(a):
			if a == "--file" || a == "-file" {
				i++
			}
		case !found:
			found = true
			if !slices.ContainsFunc(Bench(), func(c Command) bool { return c.Path == strings.ToLower(a) }) {
				return false
			}
		}
	}
	return found
}
