package reports

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
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// nowhere measures words roughly and draws nothing.
type nowhere struct{}

func (nowhere) Page(_, _ float64)                        {}
func (nowhere) Path(*draw.Path, draw.Look)               {}
func (nowhere) Text(_, _ float64, _ string, _ draw.Type) {}
func (nowhere) Clip(*draw.Path)                          {}
func (nowhere) Unclip()                                  {}
func (nowhere) Width(words string, t draw.Type) float64 {
	return float64(plain.Width(words)) * t.Points * draw.MMPerPoint * 0.5
}

// ruler looks at every word and line of a leaf.
type ruler struct {
	nowhere
	t             *testing.T
	name          string
	width, height float64
	words         []string
}

func (r *ruler) Text(x, y float64, words string, t draw.Type) {
	if words == "" {
		return
	}
	r.words = append(r.words, words)
	if t.Points < 9 {
		r.t.Errorf("%s: %q in %g points", r.name, words, t.Points)
	}
	w := r.Width(words, t)
	left := x - map[int]float64{draw.Middle: w / 2, draw.End: w}[t.Anchor]
	if left < 8 || left+w > r.width-8 || y < 8 || y > r.height-5 {
		r.t.Errorf("%s: %q at %.0f..%.0f, %.0f leaves a page of %.0f x %.0f", r.name, words, left, left+w, y, r.width, r.height)
	}
}

func (r *ruler) Path(p *draw.Path, _ draw.Look) {
	lo, hi := p.Bounds()
	if len(p.Steps) > 0 && (lo.X < 8 || hi.X > r.width-8 || lo.Y < 5 || hi.Y > r.height-5) {
		r.t.Errorf("%s: a line from %.0f,%.0f to %.0f,%.0f leaves the page", r.name, lo.X, lo.Y, hi.X, hi.Y)
	}
}

// leafCases are shops with nothing, a little and too much.
func leafCases() map[string]Report {
	made := time.Date(2026, 11, 24, 19, 20, 0, 0, time.UTC)
	meta := func(p Paper) workshop.Meta {
		return workshop.Meta{Currency: "EUR", Zone: "UTC", Made: made, Paper: string(p), ShopName: strings.Repeat("Nightjar Lane workshop ", 4)}
	}
	long := strings.Repeat("longnickname-", 6) + "\u202eevil\x1b[31m"
	neck := func(p Paper, steps, done int) *workshop.NeckShowResult {
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
	queue := &workshop.NeckQueueResult{Meta: meta(A4), Date: "2026-11-24", Load: &workshop.Load{LeftH: 212, Evenings: 90, Weeks: 44}}
	bits := &workshop.BitsResult{Meta: meta(Letter)}
	list := &workshop.ShoppingResult{Meta: meta(A4), Headline: strings.Repeat("a long headline ", 10)}
	for i := range 30 {
		q := workshop.QueueRow{Neck: fmt.Sprintf("N%d", i), Nickname: long, Customer: "JC", Next: long, Waits: long, Due: "2027-02-01", Likely: "2027-01-02", Safe: "2027-03-04", SpareDays: &spare}
		queue.Necks = append(queue.Necks, q)
		bits.Bits = append(bits.Bits, workshop.BitRow{Verdict: bitlife.Verdict{Bit: long, Keep: jobs.KeepShow, Edge: 2}, DiameterText: "25/64in", Point: "brad", RetireAt: &age, Wear: float64(i), Since: made})
		list.Items = append(list.Items, stock.Item{What: long, For: long, Quantity: money.Qty{Decimal: money.MustParse("1234.5").Decimal()}, Unit: "ml", Supplier: long, OrderBy: "2026-12-01", Reason: long, Cost: money.MustParse("123456.78")})
	}
	none := &workshop.ShoppingResult{Meta: meta(Letter), Headline: "Nothing to order."}
	return map[string]Report{
		"card": JobCard(neck(A4, 24, 9)), "card without steps": JobCard(neck(Letter, 0, 0)), "card all done": JobCard(neck(A4, 20, 20)), "card of 80 steps": JobCard(neck(Letter, 80, 30)),
		"wall": WallQueue(queue), "empty wall": WallQueue(&workshop.NeckQueueResult{Meta: meta(Letter), Date: "2026-11-24"}),
		"labels": BitLabels(&workshop.BitLabelsResult{BitsResult: *bits}), "no labels": BitLabels(&workshop.BitLabelsResult{BitsResult: workshop.BitsResult{Meta: meta(A4)}}),
		"shopping": ShoppingSheet(list), "nothing to buy": ShoppingSheet(none),
	}
}

// Nothing on a leaf is below 9 points or beyond the margins, and every row is on some
// page, however much or little there is.
func TestLeaves(t *testing.T) {
	pages := map[string]int{"card": 1, "card without steps": 1, "card all done": 1, "empty wall": 1, "no labels": 1, "nothing to buy": 1, "wall": 6}
	for name, r := range leafCases() {
		leaves := r.Leaves(nowhere{})
		if want := pages[name]; want > 0 && len(leaves) != want {
			t.Errorf("%s: %d pages, want %d", name, len(leaves), want)
		}
		all := ""
		for i, l := range leaves {
			s := &ruler{t: t, name: fmt.Sprintf("%s, page %d", name, i+1), width: l.Width, height: l.Height}
			l.Draw(s)
			text := strings.Join(s.words, "\n")
			if !strings.Contains(text, fmt.Sprintf("page %d of %d", i+1, len(leaves))) {
				t.Errorf("%s has no number", s.name)
			}
			if strings.ContainsAny(text, "\x1b\u202e") {
				t.Errorf("%s writes control characters", s.name)
			}
			all += text + "\n"
		}
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
