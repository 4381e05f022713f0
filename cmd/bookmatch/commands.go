package main

import (
	"slices"

	"bookmatch/cmd/words"
)

// groups lists the nouns with their help, in the order of the help.
var groups = []words.Group{
	{Name: "neck", Help: "the necks: add, list, show, hold, finish"},
	{Name: "operation", Help: "operations: setup and run time, cures, recipes"},
	{Name: "route", Help: "routes: which steps a neck goes through, in order"},
	{Name: "entry", Help: "the log: list entries and correct them"},
	{Name: "evening", Help: "one evening: show it, or enter it from a paper card"},
	{Name: "supply", Help: "glue, finish, abrasives: stock, value, what to order"},
	{Name: "shopping", Help: "what to order by when: supplies, parts, bits"},
	{Name: "overhead", Help: "yearly costs, and the overhead for each logged hour"},
	{Name: "part", Help: "parts you buy for a neck: tuners, nut, frets"},
	{Name: "piece", Help: "veneers and blanks, one by one, with their thickness"},
	{Name: "wood", Help: "woods: bit wear, tear-out, dust, trade rules"},
	{Name: "bit", Help: "drill bits: wear, and when to retire one"},
	{Name: "layout", Help: "the headstock: post positions, checks, template"},
	{Name: "stack", Help: "headstock thickness, layer by layer"},
	{Name: "quote", Help: "quotes: price, hours and a date you can keep"},
	{Name: "customer", Help: "who the necks are for, with addresses for letters"},
	{Name: "report", Help: "print a report, or save it with --out (.pdf, .xlsx, .csv)"},
	{Name: "paper", Help: "one-page PDFs to hang up, hand over or write on"},
	{Name: "page", Help: "the bench page for a phone, a tablet or the desk"},
	{Name: "shop", Help: "the shop: currency, rates, evenings, settings"},
	{Name: "data", Help: "the file: backup, check, export, history"},
}

// verbs lists every command, in the order of the help. Each noun's come from its file.
func verbs() []words.Command {
	return slices.Concat(
		words.Bench(),
		tonightVerbs(),
		neckVerbs(),
		operationVerbs(),
		routeVerbs(),
		entryVerbs(),
		eveningVerbs(),
		supplyVerbs(),
		shoppingVerbs(),
		overheadVerbs(),
		partVerbs(),
		pieceVerbs(),
		woodVerbs(),
		bitVerbs(),
		layoutVerbs(),
		quoteVerbs(),
		customerVerbs(),
		findVerbs(),
		shopVerbs(),
		yearVerbs(),
		calendarVerbs(),
		paperVerbs(),
		dataVerbs(),
		apartVerbs(),
		pageVerbs(),
	)
}
