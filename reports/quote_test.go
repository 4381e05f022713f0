package reports

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"

	"github.com/shopspring/decimal"
)

// quoteSample is an invented quote with every part filled in.
func quoteSample() *workshop.QuoteResult {
	eur := money.MustParse
	chance := 0.02
	group := func(name string, hours float64, amount string) workshop.QuoteGroup {
		return workshop.QuoteGroup{Group: name, Lines: 1, Hours: hours, Amount: eur(amount)}
	}
	f := &workshop.QuoteFigures{Quote: "Q5", Revision: 1, Status: jobs.QuoteDraft, Customer: "R. Thistlewood", Ask: jobs.QuoteAsk{Margin: decimal.NewFromInt(25)},
		Lines:   []jobs.QuoteLine{{Group: quote.LineLabour, Operation: "drill", What: "drill the posts, 6 holes", Quantity: money.QtyOf(1), Unit: "h", Rate: eur("34.00"), Amount: eur("34.00"), Basis: "from 15 past jobs"}},
		Summary: []workshop.QuoteGroup{group("labour", 17.96, "610.64"), group("rework", 0.47, "15.98"), group("unlogged", 2.94, "99.96"), group("overhead", 0, "138.23"), group("parts", 0, "84.00"), group("supplies, bits", 0, "3.96"), group("scrap allowance", 0, "8.65")},
		Short:   []workshop.QuoteGroup{group("labour, rework", 18.43, "626.62"), group("unlogged", 2.94, "99.96"), group("overhead", 0, "138.23"), group("parts, supplies, bits", 0, "87.96"), group("scrap allowance", 0, "8.65")},
		Price: quote.Price{Cost: eur("961.42"), Margin: eur("320.47"), MarginPercent: decimal.NewFromInt(25), MarkupPercent: decimal.RequireFromString("33.33"), Before: eur("1281.89"), Net: eur("1281.89"),
			TaxPercent: decimal.NewFromInt(21), Tax: eur("269.20"), Gross: eur("1551.09"), Deposit: eur("465.33")},
		DepositPct: decimal.NewFromInt(30), Stages: []quote.Stage{{When: "with the order", Amount: eur("465.33")}, {When: "on delivery", Amount: eur("1085.76")}},
		Hours: workshop.QuoteHours{P50: 17.8, P80: 21.7, P90: 24.1, Mean: 18.4, Draws: 20000, Seed: 1, Curve: []float64{12, 18, 24}}, LossChance: 0.07,
		Promise: workshop.QuotePromise{Likely: "2027-05-20", Safe: "2027-06-17", Starts: "2026-12-08", LikelyWeeks: 23.5, SafeWeeks: 27.5, Due: "2027-03-31", DueChance: &chance,
			Moves: []schedule.Move{{What: "this neck put before 4 others", Days: -75}, {What: "one evening in five missed", Days: 49}, {What: "a fifth more hours on it", Days: 14}}},
		Notes: []string{"4 steps are bigger than any you have done. Their times are less certain."}}
	return &workshop.QuoteResult{Meta: workshop.Meta{Currency: "EUR", Zone: "UTC"}, QuoteFigures: f}
}

// The first screen of a quote: at most 24 lines at 80 and at 60 columns, nothing
// wider, and no statistics in its first line.
func TestQuoteScreenFits(t *testing.T) {
	r := QuoteShown(quoteSample()).At(First)
	for _, width := range []int{80, 60} {
		lines := len(r.Headline) + 2 // a blank line and what comes next
		if width == 60 {
			lines++
		}
		for _, s := range r.Sections {
			text := s.Drawing.Text(width)
			lines += 1 + len(strings.Split(text, "\n"))
			for _, l := range strings.Split(text, "\n") {
				if len([]rune(l)) > width {
					t.Errorf("%d columns: %q is %d wide", width, l, len([]rune(l)))
				}
			}
		}
		for _, n := range r.Notes {
			lines += 1 + len(n)/width
		}
		if lines > 24 {
			t.Errorf("%d columns: %d lines, at most 24", width, lines)
		}
	}
	if bad := regexp.MustCompile(`P50|P80|P90|Weibull|median`); bad.MatchString(r.Headline[0]) {
		t.Errorf("headline %q", r.Headline[0])
	}
	if got, want := r.Headline[0], "Quote Q5 draft for R. Thistlewood: EUR 1551.09 with tax"; got != want {
		t.Errorf("headline %q, want %q", got, want)
	}
	if got, want := r.Headline[1], "Promise 17 Jun 2027. Wanted 31 Mar 2027: 2 % chance."; got != want {
		t.Errorf("second line %q, want %q", got, want)
	}
}

// A quote in any state makes a report that every output can draw, at any depth.
func TestQuoteReportsInEveryState(t *testing.T) {
	for _, status := range []jobs.QuoteStatus{jobs.QuoteDraft, jobs.QuoteSent, jobs.QuoteAccepted, jobs.QuoteDeclined, jobs.QuoteSuperseded} {
		q := quoteSample()
		q.Status, q.Sent, q.Until = status, "2026-11-24", "2026-12-24"
		if status == jobs.QuoteAccepted {
			q.Promised, q.Necks = "2027-06-22", []string{"N7"}
			q.Changes = []jobs.ChangeOrder{{No: 1, What: "more dots", Status: jobs.OrderOpen, Gross: money.MustParse("12.00")}}
		}
		for _, d := range []Depth{First, Full, First | Why, Lines} {
			r := QuoteShown(q).At(d)
			if err := r.Check(); err != nil {
				t.Errorf("%s at %d: %v", status, d, err)
			}
			if d == Full && len(r.Tables()) < 6 {
				t.Errorf("%s: %d tables in the full report", status, len(r.Tables()))
			}
		}
	}
}

// What leaves the shop says nothing of its figures and has a date without a time
// of day.
func TestCustomerPapersKeepTheShopsFigures(t *testing.T) {
	eur := money.MustParse
	offer := &workshop.QuoteResult{Meta: workshop.Meta{Currency: "EUR", Zone: "Europe/Berlin", ShopName: "Lime Tree Lane"}, Offer: &quote.CustomerSheet{Quote: "Q5", Revision: 2, For: "R. Thistlewood", Date: "2026-11-24", Until: "2026-12-24",
		Currency: "EUR", Lines: []quote.CustomerLine{{What: "a headstock", Quantity: 1, Net: eur("1281.89")}}, Net: eur("1281.89"), Tax: eur("269.20"), Gross: eur("1551.09"), TaxPercent: decimal.NewFromInt(21),
		Stages: []quote.Stage{{When: "with the order", Amount: eur("465.33")}}, Wording: []string{"Delivery about 28 weeks after the deposit."}}}
	order := &workshop.QuoteResult{Meta: offer.Meta, Order: &workshop.OrderPaper{Quote: "Q5", Customer: "R. Thistlewood", ForOutside: true, TaxPercent: decimal.NewFromInt(21), Before: eur("1551.09"), After: eur("1563.19"),
		Order: jobs.ChangeOrder{No: 1, What: "more dots", Asked: "2027-01-07", Net: eur("10.00"), Tax: eur("2.10"), Gross: eur("12.10"), Status: jobs.OrderOpen}}}
	for _, r := range []Report{QuoteShown(offer), QuoteShown(order)} {
		if !r.ForCustomer || len(r.Inputs) > 0 || len(r.Counted) > 0 || r.Made.IsZero() {
			t.Errorf("%s: for the customer %v, %d inputs, made %v", r.Name, r.ForCustomer, len(r.Inputs), r.Made)
		}
		text := fmt.Sprint(r.Title, r.Subject)
		for _, table := range r.Tables() {
			for _, row := range table.Rows {
				for i, c := range row.Cells {
					text += " " + r.Format().Show(c, table.Columns[i])
				}
			}
		}
		if regexp.MustCompile(`(?i)margin|hour|labour|overhead|rework|P80|basis|loss`).MatchString(text) {
			t.Errorf("%s holds the shop's own figures: %s", r.Name, text)
		}
	}
	if s := fmt.Sprint(QuoteShown(order).Tables()[0].Rows); !strings.Contains(s, "new total with tax") || !strings.Contains(s, "tax 21 %") {
		t.Errorf("the change does not state tax and new total: %s", s)
	}
}
