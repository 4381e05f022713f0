package reports

import (
	"fmt"
	"time"

	"bookmatch/costing/money"
)

// made is the clock of the tests.
var made = time.Date(2026, 3, 29, 19, 12, 0, 0, time.UTC)

const sampleNote = "@home, with a note that is rather long and has to wrap in its column on paper"

func moneyOf(s string) money.Amount { return money.MustParse(s) }

// sample is a report with every kind of cell, live formulas, inputs, charts
// and text that begins like a formula.
func sample() Report {
	rate, hours := money.MustParse("36.50"), 95*time.Minute
	r := Report{Name: "sample", Title: "Cost of a sample neck", Subject: "N12 ada & friends", Currency: "EUR", Paper: A4,
		Zone: berlin(), Made: made, Shop: "Evening bench"}
	r.Inputs = []Input{
		{Name: "labour_rate", Label: "own pay per hour", Unit: "EUR/h", Value: Money(rate), Max: 500, Basis: "shop setting"},
		{Name: "over_head", Label: "overhead per bench hour", Unit: "EUR/h", Value: Money(money.MustParse("7.88")), Max: 500, Basis: "2600 a year over 330 h"},
	}
	work := Table{Name: "Work", Title: "Work on the sample neck", Subtitle: "every sitting, in order",
		Columns: []Column{
			{Key: "evening", Header: "evening", Kind: KindDate}, {Key: "operation", Header: "operation"},
			{Key: "from", Header: "from", Kind: KindClock}, {Key: "written", Header: "written", Kind: KindInstant, SheetOnly: true},
			{Key: "elapsed_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true},
			{Key: "elapsed_h", Header: "time", Unit: "h", Kind: KindHours, Sum: true},
			{Key: "labour", Header: "labour", Unit: "EUR", Kind: KindMoney, Sum: true},
			{Key: "holes", Header: "holes", Kind: KindCount}, {Key: "edge_mm", Header: "edge", Unit: "mm", Kind: KindMM, SheetOnly: true},
			{Key: "dull", Header: "chance dull", Kind: KindChance}, {Key: "share", Header: "share", Kind: KindShare, SheetOnly: true},
			{Key: "ok", Header: "seen", Kind: KindFlag, SheetOnly: true}, {Key: "note", Header: "note"},
		},
		Charts: []Chart{{Kind: ChartColumns, Title: "Time by operation", X: "operation", XTitle: "operation", YTitle: "minutes", Series: []Series{{Y: "elapsed_min"}}}},
		Notes:  []string{"Times are elapsed times."},
	}
	for i, k := range []string{"flush-sand", "drill", "inlay-cut", "décor 日本 👩‍🔧", "=1+1"} {
		at := made.Add(time.Duration(i*26) * time.Hour)
		span := hours + time.Duration(i)*7*time.Minute
		c := Chance(0.004 + 0.3*float64(i))
		if i == 2 {
			c = NotRecorded()
		}
		work.Add(Date(at), Text(k), Clock(at), Instant(at.Add(time.Hour)), Minutes(span), Hours(span).Live("{elapsed_min}/60"),
			Money(rate.Times(span)).Live("ROUND({elapsed_min}/60*labour_rate,2)"), Count(6*i), MM(10.25+float64(i)/3), c, Share(float64(i)/4),
			Flag(i%2 == 0), Text(sampleNote))
	}
	r.Tables = append(r.Tables, work)
	w := NewWaterfall("Cost", "How the cost comes together", "EUR", "cost (EUR)")
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
	r.Tables = append(r.Tables, w.Table())
	life := Table{Name: "Bit's life", Title: "Edge lives and the model", Columns: []Column{
		{Key: "age_m", Header: "age", Unit: "m", Kind: KindNumber}, {Key: "alive", Header: "still sharp", Kind: KindChance}, {Key: "model", Header: "model", Kind: KindChance}},
		Charts: []Chart{{Kind: ChartScatter, Title: "Edges still sharp", X: "age_m", XTitle: "cut (m)", YTitle: "share still sharp", YMax: 1,
			Series: []Series{{Y: "alive", Name: "edges"}, {Y: "model", Name: "model", Line: true}}}}}
	for i := range 6 {
		life.Add(Number(float64(i)*0.8), Chance(1-float64(i)*0.17), Chance(1-float64(i*i)*0.03))
	}
	r.Tables = append(r.Tables, life)
	weeks := Table{Name: "Weeks", Title: "Weeks", Columns: []Column{{Key: "week", Header: "week"}, {Key: "sand_h", Header: "flush-sand", Unit: "h", Kind: KindHours, Sum: true}, {Key: "drill_h", Header: "drill", Unit: "h", Kind: KindHours, Sum: true}},
		Charts: []Chart{{Kind: ChartStacked, Title: "Bench hours by week", X: "week", XTitle: "ISO week", YTitle: "hours", Series: []Series{{Y: "sand_h"}, {Y: "drill_h"}}},
			{Kind: ChartStackedBars, Title: "The same, lying", X: "week", XTitle: "ISO week", YTitle: "hours", Series: []Series{{Y: "sand_h"}, {Y: "drill_h"}}}}}
	for i := range 40 {
		weeks.Add(Text(fmt.Sprintf("2026-W%02d", i+1)), Hours(time.Duration(3+i%4)*time.Hour), Hours(time.Duration(i%3)*time.Hour))
	}
	r.Tables = append(r.Tables, weeks)
	r.Count("labour", "logged time x own pay")
	return r
}

func berlin() *time.Location {
	z, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		panic(err)
	}
	return z
}
