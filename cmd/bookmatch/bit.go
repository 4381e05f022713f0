package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func bitVerbs() []words.Command {
	return []words.Command{
		{Path: "bit add", Help: "add a bit", Example: "bit add S10-1 --diameter 10 --point brad --keep show --price 14.00 --life 133", Verb: workshop.BitAdd, View: reports.View(reports.BitAdded)},
		{Path: "bit set", Help: "change price, expected life, label or note of a bit", Example: "bit set S10-1 --price 14.00", Verb: workshop.BitSet, View: reports.View(reports.BitChanged)},
		{Path: "bit use", Help: "log holes drilled with a bit", Example: "bit use S10-1 --holes 6", Verb: workshop.BitUse, View: reports.View(reports.HolesLogged)},
		{Path: "bit test", Help: "log a test hole in an offcut", Example: "bit test S10-1 --wood hard-maple --grade clean", Verb: workshop.BitTest, View: reports.View(reports.HolesLogged)},
		{Path: "bit drop", Help: "remove a logged use", Example: "bit drop 13", Verb: workshop.BitDrop, View: reports.View(reports.HolesRemoved)},
		{Path: "bit sharpen", Help: "log a sharpening: wear starts again at zero", Example: "bit sharpen S10-1 --why dull", Verb: workshop.BitSharpen, View: reports.View(reports.BitSharpened)},
		{Path: "bit move", Help: "keep a bit for show holes, general use or scrap", Example: "bit move S10-1 --to general --why dull", Verb: workshop.BitMove, View: reports.View(reports.BitMoved)},
		{Path: "bit list", Help: "all bits: wear, holes left, verdict", Example: "bit list", Verb: workshop.BitList, View: reports.View(reports.Bits), Out: true},
		{Path: "bit show", Help: "one bit: each life, its holes and its rims", Example: "bit show S10-1", Verb: workshop.BitShow, View: reports.View(reports.Bit), Out: true, Picture: true},
		{Path: "bit verdict", Help: "is this bit good for the next holes?", Example: "bit verdict S10-1 --neck ada", Verb: workshop.BitVerdict, View: reports.View(reports.Verdict)},
		{Path: "bit compare", Help: "cost per show hole, by type of bit", Example: "bit compare", Verb: workshop.BitCompare, View: reports.View(reports.BitTypes), Out: true},
		{Path: "report bits", Help: "all bits: wear, lives, tear-out", Example: "report bits --out bits.xlsx", Verb: workshop.BitList, View: reports.View(reports.Bits), Depth: reports.Full, Out: true},
	}
}
