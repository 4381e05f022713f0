package workbook

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
)

// costSample is a neck with every kind of line.
func costSample() (quote.NeckCost, quote.RateCard) {
	rates := quote.RateCard{Currency: "EUR", Labour: money.MustParse("34.00"), Overhead: money.MustParse("7.50"), ByOperation: []quote.OperationRate{{Operation: "inlay-cut", Labour: money.MustParse("40.00")}}}
	glue := glueUsed()
	return quote.CostNeck(quote.NeckInput{
		Neck: jobs.Neck{Code: "N1", Status: jobs.Open}, Rates: rates,
		Work: []quote.WorkShare{
			{Entry: 1, Operation: "flush-sand", Class: jobs.First, Span: 8*time.Hour + 20*time.Minute},
			{Entry: 2, Operation: "inlay-cut", Class: jobs.First, Span: 77 * time.Minute, Assumed: true},
			{Entry: 3, Operation: "drill", Class: jobs.Rework, Span: 95*time.Minute + 20*time.Second, Cause: "bit"},
			{Entry: 4, Operation: "choose-veneer", Class: jobs.Deciding, Span: 25 * time.Minute},
		},
		Issues: glue.ForNeck("N1"), Units: map[string]jobs.Supply{"glue": glue.Supply},
		Bits:  []quote.BitWear{{Bit: "S10-1", Edge: 1, CutM: 0.114, LifeM: 2, Change: money.MustParse("14.00"), Basis: "rated life 2.00 m of cut"}},
		Parts: []jobs.Part{{ID: 2, Name: "=tuners", Quantity: 6, Price: money.MustParse("78.00"), Freight: money.MustParse("6.50")}},
	}), rates
}

// glueUsed is the account of a glue of which the neck took from two lots.
func glueUsed() stock.SupplyLedger {
	day := func(s string) time.Time { t, _ := time.Parse(time.DateOnly, s); return t }
	qty := func(s string) money.Qty { q, _ := money.ParseQty(s); return q }
	lots := []jobs.Lot{
		{ID: 1, Supply: "glue", Source: jobs.SourceBought, Received: day("2026-01-05"), Quantity: qty("200"), Price: money.MustParse("18.00")},
		{ID: 2, Supply: "glue", Source: jobs.SourceBought, Received: day("2026-02-10"), Quantity: qty("150"), Price: money.MustParse("16.50")},
	}
	uses := []jobs.SupplyUse{{ID: 1, Supply: "glue", Kind: jobs.UseIssue, Quantity: qty("250"), On: day("2026-03-01"), Neck: "N1"}}
	return stock.Fifo(jobs.Supply{Name: "glue", Unit: jobs.UnitML}, lots, uses, reporttest.Made, time.UTC)
}

func costReport() (reports.Report, quote.NeckCost) {
	c, rates := costSample()
	return reports.Report{Name: "neck-n1", Title: "Neck N1 ada", Currency: "EUR", Paper: reports.A4, Zone: time.UTC, Made: reporttest.Made, Shop: "Bench",
		Sections: reports.Sections(reports.CostTables(c, rates)...), Inputs: reports.CostInputs(rates)}, c
}

// The total on the terminal, in JSON and in the workbook (as stored and as
// LibreOffice computes it anew from the live cells) is one figure, and it is
// the sum of the printed lines.
func TestNeckCostAlike(t *testing.T) {
	r, c := costReport()
	want := c.Total.Fixed(2)
	var out bytes.Buffer
	if err := (screen.Screen{}).PrintTable(&out, r, "cost"); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
	found := false
	for _, l := range lines {
		if f := strings.Fields(l); len(f) > 1 && f[0] == "total" && f[len(f)-1] == want {
			found = true
		}
		if n := plain.Width(l); n > screen.Usual {
			t.Errorf("%d columns: %s", n, l)
		}
	}
	if !found {
		t.Errorf("the terminal does not show the total %s:\n%s", want, out.String())
	}
	sum := money.Zero
	for _, l := range c.Lines {
		sum = sum.Add(money.MustParse(l.Amount.Fixed(2)))
	}
	if sum.Fixed(2) != want {
		t.Errorf("printed lines add to %s, the total is %s", sum.Fixed(2), want)
	}
	file := writeBook(t, r)
	if n := sameRecalculated(t, file); n < len(c.Lines) {
		t.Errorf("only %d live cells", n)
	}
	f := openBook(t, file)
	for _, sheet := range []string{"cost", "groups"} {
		if got := cellByText(t, f, sheet, "total", "amount (EUR)"); strings.ReplaceAll(got, ",", "") != want {
			t.Errorf("sheet %s: total %q, want %s", sheet, got, want)
		}
	}
}
