package reports_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
)

// nowhere measures words roughly and draws nothing.
type nowhere struct{}

func (nowhere) Page(_, _ float64)                        {}
func (nowhere) Path(*draw.Path, draw.Look)               {}
func (nowhere) Text(_, _ float64, _ string, _ draw.Type) {}
func (nowhere) Clip(*draw.Path)                          {}
func (nowhere) Image(_, _, _, _ float64, _ string) bool  { return true }
func (nowhere) Unclip()                                  {}
func (nowhere) Width(words string, t draw.Type) float64 {
	return float64(plain.Width(words)) * t.Points * draw.MMPerPoint * 0.5
}

// leafCases are shops with nothing, a little and too much.
func leafCases() map[string]reports.Report {
	made := time.Date(2026, 11, 24, 19, 20, 0, 0, time.UTC)
	meta := func(p reports.Paper) workshop.Meta {
		return workshop.Meta{Currency: "EUR", Zone: "UTC", Made: made, Paper: string(p), ShopName: strings.Repeat("Nightjar Lane workshop ", 4)}
	}
	long := strings.Repeat("longnickname-", 6) + "\u202eevil\x1b[31m"
	neck := func(p reports.Paper, steps, done int) *workshop.NeckShowResult {
		r := &workshop.NeckShowResult{Meta: meta(p), NeckHead: workshop.NeckHead{Neck: "N1", Nickname: long, Title: long, Customer: long, Wood: "hard-maple", Due: "2027-03-15"},
			Cautions: []string{strings.Repeat("dust irritates, ", 12), "ebony", "rosewood"}, Layout: &workshop.NeckPlan{Code: "WWWWW"}}
		for i := range steps {
			s := workshop.NeckStep{Step: i + 1, Order: i, Operation: fmt.Sprintf("operation-with-a-long-name-%d", i), QuantityText: "140 cm2", LikelyMin: 123, CureH: 24, State: jobs.Waiting}
			if i < done {
				s.DoneAt, s.State = &made, jobs.Done
			}
			r.Steps = append(r.Steps, s)
		}
		return r
	}
	spare, age := -12, 72.0
	queue := &workshop.NeckQueueResult{Meta: meta(reports.A4), Date: "2026-11-24", Load: &workshop.Load{LeftH: 212, Evenings: 90, Weeks: 44}}
	bits := &workshop.BitsResult{Meta: meta(reports.Letter)}
	list := &workshop.ShoppingResult{Meta: meta(reports.A4), Headline: strings.Repeat("a long headline ", 10)}
	for i := range 30 {
		q := workshop.QueueRow{Neck: fmt.Sprintf("N%d", i), Nickname: long, Customer: "JC", Next: long, Waits: long, Due: "2027-02-01", Likely: "2027-01-02", Safe: "2027-03-04", SpareDays: &spare}
		queue.Necks = append(queue.Necks, q)
		bits.Bits = append(bits.Bits, workshop.BitRow{Verdict: bitlife.Verdict{Bit: long, Keep: jobs.KeepShow, Edge: 2}, DiameterText: "25/64in", Point: "brad", RetireAt: &age, Wear: float64(i), Since: made})
		list.Items = append(list.Items, stock.Item{What: long, For: long, Quantity: money.Qty{Decimal: money.MustParse("1234.5").Decimal()}, Unit: "ml", Supplier: long, OrderBy: "2026-12-01", Reason: long, Cost: money.MustParse("123456.78")})
	}
	none := &workshop.ShoppingResult{Meta: meta(reports.Letter), Headline: "Nothing to order."}
	return map[string]reports.Report{
		"card": reports.JobCard(neck(reports.A4, 24, 9)), "card without steps": reports.JobCard(neck(reports.Letter, 0, 0)), "card all done": reports.JobCard(neck(reports.A4, 20, 20)), "card of 80 steps": reports.JobCard(neck(reports.Letter, 80, 30)),
		"wall": reports.WallQueue(queue), "empty wall": reports.WallQueue(&workshop.NeckQueueResult{Meta: meta(reports.Letter), Date: "2026-11-24"}),
		"labels": reports.BitLabels(&workshop.BitLabelsResult{BitsResult: *bits}), "no labels": reports.BitLabels(&workshop.BitLabelsResult{BitsResult: workshop.BitsResult{Meta: meta(reports.A4)}}),
		"shopping": reports.ShoppingSheet(list), "nothing to buy": reports.ShoppingSheet(none),
	}
}

// Nothing on a leaf is below 9 points or beyond the margins, and every row is on some
// page, however much or little there is.
func TestLeaves(t *testing.T) {
	pages := map[string]int{"card": 1, "card without steps": 1, "card all done": 1, "empty wall": 1, "no labels": 1, "nothing to buy": 1, "wall": 6}
	for name, r := range leafCases() {
		got := reporttest.CheckLeaves(t, name, r, nowhere{}, false)
		if want := pages[name]; want > 0 && len(got) != want {
			t.Errorf("%s: %d pages, want %d", name, len(got), want)
		}
		all := strings.Join(got, "\n") + "\n"
		switch name {
		case "card of 80 steps":
			for i := 30; i < 80; i++ {
				if !strings.Contains(all, fmt.Sprintf("\n%d\n", i+1)) {
					t.Errorf("%s: step %d is on no page", name, i+1)
				}
			}
		case "wall":
			for i := range 30 {
				if !strings.Contains(all, fmt.Sprintf("N%d, ", i)) {
					t.Errorf("N%d is on no wall", i)
				}
			}
			if !strings.Contains(all, "LATE 12 days") || !strings.Contains(all, "will be late") {
				t.Errorf("the wall does not say who is late")
			}
		case "shopping":
			if n := strings.Count(all, "1234.5 ml"); n != 30 {
				t.Errorf("%d of 30 things are on the list", n)
			}
		case "labels":
			if n := strings.Count(all, "SHOW"); n != 30 {
				t.Errorf("%d of 30 labels", n)
			}
		}
	}
}
