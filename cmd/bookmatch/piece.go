package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func pieceVerbs() []words.Command {
	return []words.Command{
		{Path: "piece add", Help: "add a veneer or a blank", Example: "piece add V1 --wood walnut --thickness 0.6 --price 4.00", Verb: workshop.PieceAdd, View: reports.View(reports.PieceAdded)},
		{Path: "piece set", Help: "enter a new measurement", Example: "piece set V1 --thickness 0.55", Verb: workshop.PieceSet, View: reports.View(reports.PieceChanged)},
		{Path: "piece use", Help: "use a piece on a neck", Example: "piece use V1 ada", Verb: workshop.PieceUse, View: reports.View(reports.PieceUsed)},
		{Path: "piece offcut", Help: "keep the offcut of a used piece", Example: "piece offcut V1 V2 --value 2.00", Verb: workshop.PieceOffcut, View: reports.View(reports.OffcutKept)},
		{Path: "piece list", Help: "pieces in stock; --fits 0.5-0.7 for a thickness", Example: "piece list --fits 0.5-0.7", Verb: workshop.PieceList, View: reports.View(reports.PieceList)},
	}
}
