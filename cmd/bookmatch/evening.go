package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

const cardHelp = `A card is one line with commas between its items:
  1910 flush ada            work from 19:10 until the next time
  1945 drill bo 6           with a count: the step is done, 6 holes
  1930-1950 glue cy done    a range. Done alone: as planned
  2000 drill ada+bo 6+8     one session over two necks, a count each
  2030 drill ada 4 open     four holes, the step stays open
  2040 drill ada+bo 6+3 left bo    bo dropped out midway
  2050 away, 2105 back      a break
  2115 end                  you left the bench
  spent 25 choose ada       work without a clock
A count or the word done ends the step. Without either it stays open.
More words after the count: grade 0 to 3, bit CODE, temp DEGREES,
rework CAUSE, payer WHO, by PERSON, note ...
Times run on past midnight. Nothing is written if one item cannot be.`

func eveningVerbs() []words.Command {
	return []words.Command{
		{Path: "evening show", Help: "what you did on an evening", Example: "evening show 2027-02-01", Verb: workshop.EveningShow, View: reports.View(reports.Evening)},
		{Path: "evening enter", Help: "enter a whole evening from a paper card, in one line", More: cardHelp, Example: `evening enter 2027-02-01 "1910 flush ada, 1945 drill bo 6, 2115 end"`, Verb: workshop.EveningEnter, View: reports.View(reports.Entered)},
		{Path: "report evening", Help: "time log by evening and week", Example: "report evening 2027-02-01 --out evening.xlsx", Verb: workshop.EveningShow, View: reports.View(reports.Evening), Depth: reports.Full, Out: true},
	}
}
