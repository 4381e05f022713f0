package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

// paperVerbs are the one-page papers. Without --out each is written under its own
// name into this folder.
func paperVerbs() []words.Command {
	quoteAs := func(set func(*workshop.QuoteShowAsk)) func(*words.Env, *workshop.Workshop, workshop.Ask) error {
		return func(_ *words.Env, _ *workshop.Workshop, ask workshop.Ask) error {
			a := ask.(*workshop.QuoteShowAsk)
			a.Letter = true
			set(a)
			return nil
		}
	}
	list := []words.Command{
		{Path: "paper card", Help: "the card that hangs on a neck, with boxes to tick", Example: "paper card ada", Verb: workshop.NeckShow, View: reports.View(reports.JobCard)},
		{Path: "paper wall", Help: "the queue for the wall: what is promised, what holds", Example: "paper wall", Verb: workshop.NeckQueue, View: reports.View(reports.WallQueue)},
		{Path: "paper labels", Help: "labels for the boxes of bits", Example: "paper labels", Verb: workshop.BitLabels, View: reports.View(reports.BitLabels)},
		{Path: "paper shopping", Help: "the shopping list, by supplier", Example: "paper shopping", Verb: workshop.Shopping, View: reports.View(reports.ShoppingSheet)},
		{Path: "paper drill", Help: "the drilling sheet of a neck", Example: "paper drill ada", Verb: workshop.LayoutShow, View: reports.View(reports.DrillSheet)},
		{Path: "paper quote", Help: "a quote for the customer", Example: "paper quote Q1", Verb: workshop.QuoteShow, View: reports.View(reports.QuoteLetter), Without: []string{"customer", "change", "bill"}, Before: quoteAs(func(a *workshop.QuoteShowAsk) { a.Customer, a.Bill, a.Order = true, false, 0 })},
		{Path: "paper invoice", Help: "the figures for an invoice of an accepted quote", Example: "paper invoice Q1", Verb: workshop.QuoteShow, View: reports.View(reports.InvoiceFigures), Without: []string{"customer", "change", "bill"}, Before: quoteAs(func(a *workshop.QuoteShowAsk) { a.Customer, a.Bill, a.Order = false, true, 0 })},
		{Path: "paper change", Help: "a change of an accepted quote, to sign", Example: "paper change Q1 --change 1", Verb: workshop.QuoteShow, View: reports.View(reports.ChangePaper), Without: []string{"customer", "bill"}, Before: quoteAs(func(a *workshop.QuoteShowAsk) { a.Customer, a.Bill, a.Order = true, false, max(a.Order, 1) })},
		{Path: "paper evening", Help: "a card to write the evening on by hand", Example: "paper evening", Verb: workshop.EveningShow, View: reports.View(reports.EveningPaper), Before: func(_ *words.Env, _ *workshop.Workshop, ask workshop.Ask) error {
			a := ask.(*workshop.EveningAsk)
			a.Planned, a.Blank = !a.Blank, true
			return nil
		}},
		{Path: "paper cost", Help: "what a neck cost", Example: "paper cost ada", Verb: workshop.NeckShow, View: reports.View(reports.CostPaper)},
		{Path: "paper care", Help: "what a neck is made of, and how to look after it", Example: "paper care ada", Verb: workshop.NeckCare, View: reports.View(reports.CarePaper)},
		{Path: "paper bits", Help: "how long bits last, and what each is good for", Example: "paper bits", Verb: workshop.BitList, View: reports.View(reports.BitLifePaper), Before: func(_ *words.Env, _ *workshop.Workshop, ask workshop.Ask) error {
			ask.(*workshop.BitListAsk).Press = true
			return nil
		}},
		{Path: "paper year", Help: "the year on paper", Example: "paper year 2026", Verb: workshop.Year, View: reports.View(reports.YearPaper)},
	}
	for i := range list {
		list[i].Out, list[i].Depth, list[i].Paper = true, reports.Full, true
	}
	return list
}
