package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func supplyVerbs() []words.Command {
	return []words.Command{
		{Path: "supply add", Help: "add a supply", Example: "supply add wood-glue --unit ml", Verb: workshop.SupplyAdd, View: reports.View(reports.SupplyAdded)},
		{Path: "supply set", Help: "change the order level, pack size or label of a supply", Example: "supply set wood-glue --reorder 150", Verb: workshop.SupplySet, View: reports.View(reports.SupplySet)},
		{Path: "supply receive", Help: "book in a delivery; --price is for all of it", Example: "supply receive wood-glue 250 --price 12.50", Verb: workshop.SupplyReceive, View: reports.View(reports.LotAdded)},
		{Path: "supply open", Help: "mark the oldest unopened lot as opened", Example: "supply open wood-glue", Verb: workshop.SupplyOpen, View: reports.View(reports.LotOpened)},
		{Path: "supply use", Help: "book a use to a neck, or to overhead", Example: "supply use wood-glue 10 --neck ada", Verb: workshop.SupplyUse, View: reports.View(reports.StockTaken)},
		{Path: "supply count", Help: "enter a stock count; the difference goes to overhead", Example: "supply count wood-glue 200", Verb: workshop.SupplyCount, View: reports.View(reports.StockTaken)},
		{Path: "supply write-off", Help: "write off what was spilled or spoiled, to overhead", Example: "supply write-off wood-glue 20 --why spilled", Verb: workshop.SupplyWriteOff, View: reports.View(reports.StockTaken)},
		{Path: "supply offcut", Help: "take something back from a neck into stock", Example: "supply offcut veneer-sheet 300 --neck ada --value 4", Verb: workshop.SupplyOffcut, View: reports.View(reports.LotBack)},
		{Path: "supply amend", Help: "correct a use or a lot", Example: "supply amend use 12 --quantity 8", Verb: workshop.SupplyAmend, View: reports.View(reports.StockAmended)},
		{Path: "supply drop", Help: "remove a use or a lot", Example: "supply drop use 12", Verb: workshop.SupplyDrop, View: reports.View(reports.StockRemoved)},
		{Path: "supply list", Help: "stock on hand, what to order and what expires", Example: "supply list", Verb: workshop.SupplyList, View: reports.View(reports.Supplies)},
		{Path: "supply show", Help: "one supply: stock, lots and uses", Example: "supply show wood-glue", Verb: workshop.SupplyShow, View: reports.View(reports.SupplyCard)},
		{Path: "supply lot", Help: "which necks used a lot", Example: "supply lot 7", Verb: workshop.SupplyLot, View: reports.View(reports.LotUsers)},
		{Path: "report supplies", Help: "stock by lot, what to order, what expires", Example: "report supplies --out stock.xlsx", Verb: workshop.SupplyList, View: reports.View(reports.Supplies), Depth: reports.Full, Out: true},
	}
}
