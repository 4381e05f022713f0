package reports

import (
	"fmt"
	"math"
	"slices"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// CostPaper is what a neck cost, against its quote where it has one: how the one became
// the other, and what is left of the price.
func CostPaper(r *workshop.NeckShowResult) Report {
	out := NeckShow(r)
	f := formOf(r)
	out.flow(letterSheet("cost of "+r.Neck), func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, "Cost of "+r.Full())
		}
		p.fit(0, 16, p.room, "Cost of "+r.Full()+", in "+string(f.currency), noteType)
		t := draw.Type{Points: 16.5, Bold: true}
		y := 23.5
		for _, l := range p.wrapped(costSentence(r, f), t, p.room, 3) {
			p.text(0, y, l, t)
			y += 7.2
		}
		return y - 1
	}, func(p *pen) []block { return costBlocks(p, r, f) })
	return out
}

func costSentence(r *workshop.NeckShowResult, f countryForm) string {
	name := r.Name()
	if len([]rune(name)) > 24 {
		name = r.Neck
	}
	if r.Review == nil {
		s := fmt.Sprintf("%s cost %s", name, f.money(r.Cost.Total))
		if !closedNeck(r) {
			s = fmt.Sprintf("%s cost %s so far, about %s h are left", name, f.money(r.Cost.Total), f.number(fmt.Sprintf("%.1f", r.Hours.LeftH)))
		}
		return s + "."
	}
	v := r.Review
	s := fmt.Sprintf("%s cost %s", name, f.money(v.Actual))
	if !v.Finished {
		s += " so far"
	}
	switch v.Difference.Sign() {
	case 1:
		s += fmt.Sprintf(", %s more than quoted", f.money(v.Difference))
	case -1:
		s += fmt.Sprintf(", %s less than quoted", f.money(v.Difference.Neg()))
	default:
		s += ", as quoted"
	}
	if worst, ok := worstPart(v); ok {
		s += ", mostly " + worst.Part
	}
	return s + "."
}

func closedNeck(r *workshop.NeckShowResult) bool {
	return r.Status == jobs.Finished || r.Status == jobs.Scrapped
}

// worstPart is the cause that weighs most in the direction of the difference.
func worstPart(v *quote.Review) (best quote.ReviewPart, ok bool) {
	for _, x := range v.Parts {
		if x.Amount.Sign() == v.Difference.Sign() && x.Amount.Sign() != 0 && (!ok || math.Abs(x.Amount.Float()) > math.Abs(best.Amount.Float())) {
			best, ok = x, true
		}
	}
	return best, ok
}

// costBar is a row of the waterfall: from where to where it goes.
type costBar struct {
	what, because, amount string
	from, to              float64
	total                 bool
}

func costBlocks(p *pen, r *workshop.NeckShowResult, f countryForm) []block {
	var blocks []block
	if v := r.Review; v != nil {
		bars := []costBar{{what: "quoted", amount: f.money(v.Quoted), to: v.Quoted.Float(), total: true}}
		at := v.Quoted.Float()
		for _, x := range v.Parts {
			if x.Amount.Sign() == 0 {
				continue
			}
			amount := f.money(x.Amount)
			if x.Amount.Sign() > 0 {
				amount = "+" + amount
			}
			bars = append(bars, costBar{what: x.Part, because: x.Because, amount: amount, from: at, to: at + x.Amount.Float()})
			at += x.Amount.Float()
		}
		name := "actual"
		if !v.Finished {
			name = "so far"
		}
		bars = append(bars, costBar{what: name, amount: f.money(v.Actual), to: v.Actual.Float(), total: true})
		blocks = append(blocks, subhead("From the quote to what it cost"), waterfall(bars))
	}
	var rows []amountRow
	for _, g := range quote.CostGroups() {
		a := r.Cost.Group(g)
		if a.Sign() != 0 {
			rows = append(rows, amountRow{what: upper(string(g)), amount: f.money(a)})
		}
	}
	total := r.Cost.Total
	if v := r.Review; v != nil && v.Actual.Cmp(total) != 0 {
		rows = append(rows, amountRow{what: "Evening time that no entry holds", amount: f.money(v.Actual.Sub(total))})
		total = v.Actual
	}
	rows = append(rows, amountRow{"Cost", f.money(total), totalRow})
	blocks = append(blocks, group(subhead("What it cost"), groupBars(p, r, rows)))
	var kept []amountRow
	net, left := r.Sale.Net, r.Sale.Net.Sub(r.Cost.Total)
	if r.Review != nil {
		net, left = r.Review.Net, r.Review.Kept
	}
	if net.Sign() > 0 {
		kept = append(kept, amountRow{what: "Price without tax", amount: f.money(net)}, amountRow{what: fmt.Sprintf("Left of it, %.0f %%", 100*left.Float()/net.Float()), amount: f.money(left), look: boldRow})
		if r.Sale.PerHour.Sign() != 0 {
			kept = append(kept, amountRow{what: "For each hour, once parts, supplies and bits are paid", amount: f.money(r.Sale.PerHour)})
		}
		blocks = append(blocks, group(subhead("Price"), p.amounts(0, p.room, kept)))
	}
	for _, most := range []int{14, 11, 8, 5} {
		all := append(slices.Clone(blocks), costHours(p, r, f, most)...)
		if group(all...).high < p.floor()-40 || most == 5 {
			return all
		}
	}
	return nil
}

// waterfall draws how one total becomes another: rises solid, falls hatched, totals
// outlined.
func waterfall(bars []costBar) block {
	const step, left, right0 = 10.0, 34.0, 26.0
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, b := range bars {
		lo, hi = min(lo, b.to), max(hi, b.to)
		if !b.total {
			lo, hi = min(lo, b.from), max(hi, b.from)
		}
	}
	// Differences are small next to the totals: the bars of totals begin well before
	// them and are broken there.
	span := max(hi-lo, 0.01)
	start := max(lo-span, 0)
	return block{high: step*float64(len(bars)) + 2, draw: func(p *pen, y float64) {
		x := func(v float64) float64 { return left + (p.room-left-right0)*(v-start)/(hi-start) }
		for i, b := range bars {
			mid := y + 4
			p.fit(0, mid+1.3, left-3, b.what, bold(bodyType))
			from, to := b.from, b.to
			if b.total {
				from = start
			}
			a, z := x(min(from, to)), x(max(from, to))
			shape := draw.Box(p.left+a, mid-2.4, max(z-a, 0.3), 4.8)
			switch {
			case b.total:
				p.s.Path(shape, draw.Look{Fill: draw.Tint, Stroke: draw.Black, Width: 0.35})
				if start > 0 {
					p.s.Path(draw.Poly([]draw.Point{{X: p.left + left + 3, Y: mid - 3}, {X: p.left + left + 4.4, Y: mid - 3}, {X: p.left + left + 3.4, Y: mid + 3}, {X: p.left + left + 2, Y: mid + 3}}, true), draw.Look{Fill: draw.White})
				}
			case to >= from:
				p.s.Path(shape, draw.Look{Fill: draw.Brown})
			default:
				hatchedBox(p, a, mid-2.4, max(z-a, 0.3), 4.8)
			}
			t := bodyType
			t.Bold = b.total
			p.text(p.room, mid+1.3, b.amount, right(t))
			if !b.total && b.because != "" {
				p.fit(0, mid+5.2, p.room-right0, b.because, noteType)
			}
			if i < len(bars)-1 {
				p.line(x(to), mid+2.4, x(to), mid+step-2.4, draw.Rule, 0.2)
			}
			y += step
		}
	}}
}

// groupBars are the groups of a cost with a bar each.
func groupBars(p *pen, r *workshop.NeckShowResult, rows []amountRow) block {
	most := money.Zero
	for _, g := range quote.CostGroups() {
		if a := r.Cost.Group(g); a.Cmp(most) > 0 {
			most = a
		}
	}
	amounts := p.amounts(0, 100, rows)
	return block{high: amounts.high, draw: func(p *pen, y float64) {
		amounts.draw(p, y)
		k := 0
		for _, g := range quote.CostGroups() {
			a := r.Cost.Group(g)
			if a.Sign() == 0 {
				continue
			}
			if a.Sign() > 0 && most.Sign() > 0 {
				p.box(106, y+0.8+5.2*float64(k), (p.room-106)*a.Float()/most.Float(), 3.4, draw.Look{Fill: draw.Brown})
			}
			k++
		}
	}}
}

// costHours are the hours by operation, the longest first, at most so many.
func costHours(p *pen, r *workshop.NeckShowResult, f countryForm, most int) []block {
	type row struct {
		what string
		min  float64
	}
	by := map[string]float64{}
	for _, k := range r.Cost.Operations {
		what := k.Operation
		if k.Class == jobs.Rework {
			what += ", again"
		}
		by[what] += k.Minutes
	}
	var rows []row
	all := 0.0
	for _, what := range jobs.SortedKeys(by) {
		rows = append(rows, row{what, by[what]})
		all += by[what]
	}
	if len(rows) == 0 {
		return []block{p.paragraph(0, p.room, "Nothing is logged yet.", bodyType)}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return int(math.Copysign(1, b.min-a.min)) })
	if len(rows) > most {
		rest := row{fmt.Sprintf("%d more", len(rows)-most+1), 0}
		for _, x := range rows[most-1:] {
			rest.min += x.min
		}
		rows = append(rows[:most-1], rest)
	}
	longest := 1.0
	for _, x := range rows {
		longest = max(longest, x.min)
	}
	var out []block
	for i, x := range rows {
		b := block{high: 5, draw: func(p *pen, y float64) {
			p.fit(0, y+3.8, 48, x.what, bodyType)
			p.text(66, y+3.8, f.number(fmt.Sprintf("%.1f", x.min/60))+" h", right(bodyType))
			p.box(70, y+0.8, (p.room-70)*x.min/longest, 3.2, draw.Look{Fill: draw.Rule})
		}}
		if i == 0 {
			b = group(subhead(fmt.Sprintf("Hours, %s in all", f.number(fmt.Sprintf("%.1f", all/60)))), b)
		}
		out = append(out, b)
	}
	note := p.paragraph(0, p.room, "Labour "+f.money(r.Rates.Labour)+" and overhead "+f.money(r.Rates.Overhead)+" for an hour at the bench. A new rate prices past necks again. What was quoted stays.", noteType)
	note.gap = 3
	return append(out, note)
}
