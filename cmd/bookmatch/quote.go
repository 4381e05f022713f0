package main

import (
	"bufio"
	"errors"
	"fmt"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

func quoteVerbs() []words.Command {
	shown := reports.View(reports.QuoteShown)
	held := &words.Command{Path: "quote review", Verb: workshop.QuoteHeld, View: reports.View(reports.QuoteHeld), Out: true}
	return []words.Command{
		{Path: "quote draft", Help: "write a quote, or change one that is not sent", Example: `quote draft Q1 --for "a customer" --quantity holes=6 --margin 25`, Verb: workshop.QuoteDraft, View: shown, Before: ownEstimate},
		{Path: "quote try", Help: "what a quote would be with other wishes; nothing is kept", Example: "quote try Q1 --margin 30", Verb: workshop.QuoteTry, View: shown},
		{Path: "quote show", Help: "one quote: price, hours, dates", Example: "quote show Q1", Verb: workshop.QuoteShow, View: shown, Parts: reports.Lines, Out: true, Picture: true},
		{Path: "quote list", Help: "all quotes", Example: "quote list", Verb: workshop.QuoteList, View: reports.View(reports.QuoteList), Out: true},
		{Path: "quote send", Help: "mark a quote as sent; its figures no longer change", Example: "quote send Q1", Verb: workshop.QuoteSend, View: reports.View(reports.QuoteSent)},
		{Path: "quote accept", Help: "the customer said yes: make the neck", Example: "quote accept Q1 --deposit-on 2027-01-15", Verb: workshop.QuoteAccept, View: reports.View(reports.QuoteAccepted)},
		{Path: "quote decline", Help: "the customer said no", Example: `quote decline Q1 --why "found another"`, Verb: workshop.QuoteDecline, View: reports.View(reports.QuoteDeclined)},
		{Path: "quote revise", Help: "write a new revision at today's figures", Example: "quote revise Q1", Verb: workshop.QuoteRevise, View: reports.View(reports.QuoteCompared)},
		{Path: "quote change", Help: "change an accepted quote: price it, accept or decline it", Example: `quote change Q1 --ask "four more dots" --quantity inlay=7`, Verb: workshop.QuoteChange, View: reports.View(reports.QuoteOrder)},
		{Path: "quote review", Help: "compare quoted and actual, and say why they differ", Example: "quote review Q1", Verb: workshop.QuoteReview, View: reports.View(reports.QuoteReviewed), Parts: reports.Steps, Out: true, Bare: held},
		{Path: "report quote", Help: "a quote for yourself; --customer for the customer", Example: "report quote Q1 --customer", Verb: workshop.QuoteShow, View: shown, Depth: reports.Full, Out: true, Picture: true},
	}
}

// ownEstimate asks once, before any figure is shown, what the builder would have
// said: only of a new quote, only a person at a terminal.
func ownEstimate(e *words.Env, shop *workshop.Workshop, asked workshop.Ask) error {
	ask := asked.(*workshop.QuoteDraftAsk)
	if ask.Own != nil || e.Columns == 0 {
		return nil
	}
	if _, err := shop.Do(workshop.QuoteShow, &workshop.QuoteShowAsk{Quote: ask.Quote}); !errors.Is(err, jobs.ErrNotFound) {
		return nil
	}
	fmt.Fprint(e.ErrOut, "bookmatch: your own estimate in hours (Enter for none): ")
	line, _ := bufio.NewReader(e.In).ReadString('\n')
	if line = strings.TrimSpace(line); line == "" {
		return nil
	}
	hours, err := jobs.ParseNumber("own", line, 0.1, 100000)
	ask.Own = &hours
	return err
}
