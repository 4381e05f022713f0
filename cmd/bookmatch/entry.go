package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

const amendHelp = `Times are on the shop's clock, on the evening of the entry (past midnight is
understood), or RFC 3339. Holes on bits and supplies of the recipe follow: a
count changes them, another operation takes them back. A step that is not done
takes the supplies back, and its holes stay drilled.`

func entryVerbs() []words.Command {
	return []words.Command{
		{Path: "entry list", Help: "log entries in order of time", Example: "entry list --evening 2027-02-01", Verb: workshop.EntryList, View: reports.View(reports.Entries)},
		{Path: "entry amend", Help: "correct an entry; the old version is kept", More: amendHelp, Example: `entry amend 12 --to 20:45 --why "read off the wall clock"`, Verb: workshop.EntryAmend, View: reports.View(reports.EntryCorrected)},
		{Path: "entry move", Help: "book an entry to another neck", Example: `entry move 12 --to-neck finch --why "the wrong neck"`, Verb: workshop.EntryMove, View: reports.View(reports.EntryMoved)},
		{Path: "entry drop", Help: "remove an entry, with its holes and supplies", Example: `entry drop 12 --why "logged twice"`, Verb: workshop.EntryDrop, View: reports.View(reports.EntryDropped)},
	}
}
