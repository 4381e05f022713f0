// Package reporttest has what the tests of the outputs share: a report with
// everything in it, and a second reader.
package reporttest

import (
	"fmt"
	"time"

	"bookmatch/costing/money"
	"bookmatch/reports"
)

// Made is the clock of the tests.
var Made = time.Date(2026, 3, 29, 19, 12, 0, 0, time.UTC)

// Note is a text that a spreadsheet would take for a formula.
const Note = "@home, with a note that is rather long and has to wrap in its column on paper"

// Example is a report with every kind of cell, live formulas, inputs, charts
// and text that begins like a formula.
func Example() reports.Report {
	rate, hours := money.MustParse("36.50"), 95*time.Minute
	r := reports.Report{Name: "example", Title: "Cost of an invented neck", Subject: "N12 ada & friends", Currency: "EUR", Paper: reports.A4,
		Zone: Berlin(), Made: Made, Shop: "Evening bench"}
	r.Inputs = []reports.Input{
		{Name: "labour_rate", Label: "own pay per hour", Unit: "EUR/h", Value: reports.Money(rate), Max: 500, Basis: "shop setting"},
		{Name: "over_head", Label: "overhead per bench hour", Unit: "EUR/h", Value: reports.Money(money.MustParse("7.88")), Max: 500, Basis: "2600 a year over 330 h"},
	}
	work := reports.Table{Name: "Work", Title: "Work on the invented neck", Subtitle: "every session, in order",
		Columns: []reports.Column{
			{Key: "evening", Header: "evening", Kind: reports.KindDate}, {Key: "operation", Header: "operation"},
			{Key: "from", Header: "from", Kind: reports.KindClock}, {Key: "written", Header: "written", Kind: reports.KindInstant, SheetOnly: true},
			{Key: "elapsed_min", Header: "time", Unit: "min", Kind: reports.KindMinutes, Sum: true},
			{Key: "elapsed_h", Header: "time", Unit: "h", Kind: reports.KindHours, Sum: true},
			{Key: "labour", Header: "labour", Unit: "EUR", Kind: reports.KindMoney, Sum: true},
			{Key: "holes", Header: "holes", Kind: reports.KindCount}, {Key: "edge_mm", Header: "edge", Unit: "mm", Kind: reports.KindMM, SheetOnly: true},
			{Key: "dull", Header: "chance dull", Kind: reports.KindChance}, {Key: "share", Header: "share", Kind: reports.KindShare, SheetOnly: true},
			{Key: "ok", Header: "seen", Kind: reports.KindFlag, SheetOnly: true}, {Key: "note", Header: "note"},
		},
		Charts: []reports.Chart{{Kind: reports.ChartColumns, Title: "Time by operation", X: "operation", XTitle: "operation", YTitle: "minutes", Series: []reports.Series{{Y: "elapsed_min"}}}},
		Notes:  []string{"Times are elapsed times."},
	}
	for i, k := range []string{"flush-sand", "drill", "inlay-cut", "décor 日本 👩‍🔧", "=1+1"} {
		at := Made.Add(time.Duration(i*26) * time.Hour)
		span := hours + time.Duration(i)*7*time.Minute
		c := reports.Chance(0.004 + 0.3*float64(i))
		if i == 2 {
			c = reports.NotRecorded()
		}
		work.Add(reports.Date(at), reports.Text(k), reports.Clock(at), reports.Instant(at.Add(time.Hour)), reports.Minutes(span), reports.HoursOf(span.Hours()).Live("{elapsed_min}/60"),
			reports.Money(rate.Times(span)).Live("ROUND({elapsed_min}/60*labour_rate,2)"), reports.Count(6*i), reports.MM(10.25+float64(i)/3), c, reports.Share(float64(i)/4),
			reports.Flag(i%2 == 0), reports.Text(Note))
	}
	r.Add(work)
	w := reports.NewWaterfall("Cost", "How the cost comes together", "EUR", "cost (EUR)")
	labour := money.Zero
	over := money.Zero
	for i := range 5 {
		span := hours + time.Duration(i)*7*time.Minute
		labour = labour.Add(rate.Times(span).Round(2))
		over = over.Add(money.MustParse("7.88").Times(span))
	}
	w.Step("labour", "labour", labour, "{Work/labour@total}")
	w.Step("overhead", "overhead", over, "ROUND({Work/elapsed_min@total}/60*over_head,2)")
	w.Step("scrap", "scrap given back", money.MustParse("-12.40"), "")
	w.Total("cost", "cost")
	r.Add(w.Table())
	life := reports.Table{Name: "Bit's life", Title: "Edge lives and the model", Columns: []reports.Column{
		{Key: "age_m", Header: "age", Unit: "m", Kind: reports.KindNumber}, {Key: "alive", Header: "still sharp", Kind: reports.KindChance}, {Key: "model", Header: "model", Kind: reports.KindChance}},
		Charts: []reports.Chart{{Kind: reports.ChartScatter, Title: "Edges still sharp", X: "age_m", XTitle: "cut (m)", YTitle: "share still sharp", YMax: 1,
			Series: []reports.Series{{Y: "alive", Name: "edges"}, {Y: "model", Name: "model", Line: true}}}}}
	for i := range 6 {
		life.Add(reports.Number(float64(i)*0.8), reports.Chance(1-float64(i)*0.17), reports.Chance(1-float64(i*i)*0.03))
	}
	r.Add(life)
	weeks := reports.Table{Name: "Weeks", Title: "Weeks", Columns: []reports.Column{{Key: "week", Header: "week"}, {Key: "sand_h", Header: "flush-sand", Unit: "h", Kind: reports.KindHours, Sum: true}, {Key: "drill_h", Header: "drill", Unit: "h", Kind: reports.KindHours, Sum: true}},
		Charts: []reports.Chart{{Kind: reports.ChartStacked, Title: "Bench hours by week", X: "week", XTitle: "ISO week", YTitle: "hours", Series: []reports.Series{{Y: "sand_h"}, {Y: "drill_h"}}},
			{Kind: reports.ChartStackedBars, Title: "The same, lying", X: "week", XTitle: "ISO week", YTitle: "hours", Series: []reports.Series{{Y: "sand_h"}, {Y: "drill_h"}}}}}
	for i := range 40 {
		weeks.Add(reports.Text(fmt.Sprintf("2026-W%02d", i+1)), reports.HoursOf(float64(3+i%4)), reports.HoursOf(float64(i%3)))
	}
	r.Add(weeks)
	r.Count("labour", "logged time x own pay")
	return r
}

// Berlin is the zone of the example.
func Berlin() *time.Location {
	z, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		panic(err)
	}
	return z
}
