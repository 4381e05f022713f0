package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func shopVerbs() []words.Command {
	return []words.Command{
		{Path: "shop setup", Help: "set up the shop, or change several settings", Example: "shop setup --currency EUR --zone Europe/Berlin", Verb: workshop.ShopSetup, View: reports.View(reports.ShopReady)},
		{Path: "shop show", Help: "all settings", Example: "shop show", Verb: workshop.ShopShow, View: reports.View(reports.ShopSettings)},
		{Path: "shop set", Help: "change one setting", Example: "shop set labour 36", Verb: workshop.ShopSet, View: reports.View(reports.ShopChanged)},
	}
}
