package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// YearPaper is the year on one page: money, hours by month, necks.
func YearPaper(r *workshop.YearResult) Report {
	out := Year(r)
	f := formOf(r)
	x := letterSheet(fmt.Sprintf("year %d", r.Year))
	out.flow(x, func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, out.Title)
		}
		title := fmt.Sprintf("The year %d", r.Year)
		if r.Running {
			title += ", up to " + f.day(jobs.DayOf(r.Made.In(out.Location())))
		}
		p.fit(0, 16, p.room, title, noteType)
		t := draw.Type{Points: 16.5, Bold: true}
		y := 23.5
		for _, l := range p.wrapped(yearSentence(r, f), t, p.room, 3) {
			p.text(0, y, l, t)
			y += 7.2
		}
		return y - 2
	}, func(p *pen) []block { return yearBlocks(p, r, f) })
	return out
}

var countWords = []string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"}

// countWord begins a sentence with a number: "Two necks".
func countWord(n int, noun string) string {
	text := jobs.CountText(n, noun)
	if n >= 0 && n < len(countWords) {
		_, rest, _ := strings.Cut(text, " ")
		if n == 0 {
			return "No " + noun
		}
		return countWords[n] + " " + rest
	}
	return text
}

// yearSentence says what was sold, what an hour of it brought, and what is tied up.
func yearSentence(r *workshop.YearResult, f countryForm) string {
	m := r.Money
	var out []string
	if len(m.SoldNecks) == 0 {
		out = append(out, fmt.Sprintf("No neck was sold. %s hours at the bench.", f.number(fmt.Sprintf("%.1f", r.LoggedMin/60))))
	} else {
		s := fmt.Sprintf("%s sold for %s %s before tax", countWord(len(m.SoldNecks), "neck"), f.money(m.Sold), f.currency)
		if r.EarnedPerHour != nil {
			s += fmt.Sprintf(": %s earned for each hour on them", f.money(*r.EarnedPerHour))
		}
		out = append(out, s+".")
	}
	if n := len(m.OpenNecks); n > 0 && m.InProgress != nil {
		verb := "hold"
		if n == 1 {
			verb = "holds"
		}
		out = append(out, fmt.Sprintf("%s %s %s %s.", strings.Replace(countWord(n, "neck"), " ", " unfinished ", 1), verb, f.money(*m.InProgress), f.currency))
	}
	return strings.Join(out, " ")
}

func yearBlocks(p *pen, r *workshop.YearResult, f countryForm) []block {
	above, below := []block{yearMoneyBlock(p, r, f), yearHeld(r, f)}, append([]block{yearFacts(p, r, f)}, yearNeckRows(r, f)...)
	for _, scale := range barScales {
		all := slices.Concat(above, []block{yearHours(r, f, scale)}, below)
		if high := group(all...).high; high < p.floor()-42 || scale == barScales[len(barScales)-1] {
			return all
		}
	}
	return nil
}

// nameList joins names, cut off after so many.
func nameList(names []string, most int) string {
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}

func yearMoneyBlock(p *pen, r *workshop.YearResult, f countryForm) block {
	m := r.Money
	type row struct {
		what, amount, basis string
		strong              bool
	}
	sold := cmp.Or(nameList(m.SoldNecks, 6), "none handed over")
	rows := []row{{"Necks sold", f.money(m.Sold), sold, true},
		{"Parts", f.money(m.Parts.Neg()), "those that came this year, freight and tax that stays with them", false},
		{"Supplies and wood", f.money(m.Supplies.Neg()), "bought this year, whether used up or not", false},
		{"Bits", f.money(m.Bits.Neg()), "new bits and fresh edges", false},
		{"Left before rent and tools", f.money(m.Left), fmt.Sprintf("rent, insurance and tools are %s a year", f.money(r.Overhead.Yearly)), true}}
	var lines []block
	for i, x := range rows {
		lines = append(lines, block{high: 5.8, draw: func(p *pen, y float64) {
			t := bodyType
			t.Bold = x.strong
			ink := draw.Hair
			if i == 0 || i == len(rows)-1 {
				ink = draw.Rule
			}
			p.rule(y, ink, 0.25)
			p.text(0, y+4.1, x.what, t)
			p.text(65, y+4.1, x.amount, right(t))
			p.fit(70, y+4.1, p.room-70, x.basis, noteType)
		}})
	}
	b := group(append([]block{subhead("Money, in " + string(f.currency) + ", without tax")}, lines...)...)
	if len(m.NoPrice) > 0 {
		b = group(b, p.paragraph(0, p.room, "No price on record, so in no sum: "+nameList(m.NoPrice, 12)+".", noteType))
	}
	return b
}

// yearHeld are five figures side by side.
func yearHeld(r *workshop.YearResult, f countryForm) block {
	m := r.Money
	amount := func(a *money.Amount) string {
		if a == nil {
			return "not known"
		}
		return f.money(*a)
	}
	now := "held today"
	if !r.Running {
		now = "the year is over"
	}
	columns := []struct {
		what, figure string
		basis        [2]string
	}{
		{"Tax charged", f.money(m.Tax), [2]string{"on what was", "sold"}},
		{"Deposits held", amount(m.Deposits), [2]string{"for necks that are", "not finished"}},
		{"Stock", amount(m.Stock), [2]string{"supplies and wood,", now}},
		{"Work in progress", amount(m.InProgress), [2]string{jobs.CountText(len(m.OpenNecks), "open neck") + ",", "at cost so far"}},
		{"Written off", f.money(m.WrittenOff), [2]string{"supplies lost or", "past their date"}},
	}
	return block{high: 23, gap: 5, draw: func(p *pen, y float64) {
		w := (p.room - 4*3) / 5
		for i, c := range columns {
			x := float64(i) * (w + 3)
			p.line(x, y, x+w, y, draw.Black, 0.35)
			p.fit(x, y+4.4, w, c.what, noteType)
			p.big(x, y+11, w, c.figure, true, 14, 12, 10)
			for k, l := range c.basis {
				p.fit(x, y+15.5+float64(k)*noteLineMM, w, l, noteType)
			}
		}
	}}
}

// barScales are the heights of the longest bar of the year in mm, the best first: one
// page comes before long bars.
var barScales = []float64{24, 20, 16, 12, 9, 6}

// yearHours are small charts of the hours by month, on one scale.
func yearHours(r *workshop.YearResult, f countryForm, barScaleMM float64) block {
	months := slices.Clone(r.Months)
	for len(months) > 1 && months[0].Evenings == 0 {
		months = months[1:]
	}
	for len(months) > 1 && months[len(months)-1].Evenings == 0 {
		months = months[:len(months)-1]
	}
	type m = workshop.YearMonth
	rows := []struct {
		what string
		get  func(m) float64
		look draw.Look
	}{
		{"on necks for customers", func(x m) float64 { return x.PaidMin / 60 }, draw.Look{Fill: draw.Brown}},
		{"on necks for stock", func(x m) float64 { return (x.LoggedMin - x.PaidMin) / 60 }, draw.Look{Fill: draw.Rule}},
		{"of that, decisions", func(x m) float64 { return x.DecidingMin / 60 }, draw.Look{Fill: draw.Grey}},
		{"of that, done again", func(x m) float64 { return x.ReworkMin / 60 }, draw.Look{Stroke: draw.Black, Width: 0.3}},
	}
	most := 0.1
	for _, x := range months {
		for _, row := range rows {
			most = max(most, row.get(x))
		}
	}
	highs, all := make([]float64, len(rows)), 0.0
	for i, row := range rows {
		top := 0.0
		for _, x := range months {
			top = max(top, row.get(x))
		}
		highs[i] = 8 + barScaleMM*top/most
		all += highs[i]
	}
	const from, to = 44.0, 158.0
	step := min((to-from)/float64(len(months)), 16)
	return block{high: 6 + all + 16, gap: 4, draw: func(p *pen, y float64) {
		p.text(0, y+4, "Hours at the bench, by month", headType)
		y += 6
		middle, strong := draw.Type{Points: 9, Anchor: draw.Middle}, draw.Type{Points: 11, Bold: true, Anchor: draw.End}
		for i, row := range rows {
			y += highs[i]
			sum := 0.0
			for k, x := range months {
				h := row.get(x)
				sum += h
				left := from + float64(k)*step
				p.line(left, y, left+step*0.8, y, draw.Rule, 0.2)
				if h >= 0.05 {
					tall := barScaleMM * h / most
					p.box(left, y-tall, step*0.8, tall, row.look)
					p.text(left+step*0.4, y-tall-1.2, f.number(fmt.Sprintf("%.1f", h)), middle)
				}
			}
			p.text(0, y-0.5, row.what, bodyType)
			p.text(p.room, y-0.5, f.number(fmt.Sprintf("%.1f", sum))+" h", strong)
		}
		grey := middle
		grey.Ink = draw.Grey
		count := func(y float64, what string, get func(m) int) {
			p.rule(y-4, draw.Hair, 0.2)
			p.text(0, y, what, bodyType)
			sum := 0
			for k, x := range months {
				words := "·"
				if n := get(x); n > 0 {
					words, sum = fmt.Sprint(n), sum+n
				}
				p.text(from+float64(k)*step+step*0.4, y, words, middle)
			}
			p.text(p.room, y, fmt.Sprint(sum), strong)
		}
		for k, x := range months {
			p.text(from+float64(k)*step+step*0.4, y+4, jobs.Day(x.Month+"-01").Noon().Format("Jan"), grey)
		}
		count(y+9.5, "evenings worked", func(x m) int { return x.Evenings })
		count(y+15, "necks finished", func(x m) int { return x.Finished })
	}}
}

func yearFacts(p *pen, r *workshop.YearResult, f countryForm) block {
	var facts []string
	if r.LoggedMin > 0 {
		facts = append(facts, fmt.Sprintf("%.0f of 100 hours were for customers.", 100*r.PaidMin/r.LoggedMin))
	}
	if r.Unlogged.Evenings > 0 {
		facts = append(facts, fmt.Sprintf("An evening lasts %s times its logged work.", f.number(fmt.Sprintf("%.2f", r.Unlogged.Measured))))
	}
	if r.TrueOverhead != nil {
		facts = append(facts, fmt.Sprintf("Rent and tools cost %s for every logged hour. Quotes charge %s.", f.money(*r.TrueOverhead), f.money(r.Charged)))
	}
	if len(facts) == 0 {
		return space(1)
	}
	b := p.paragraph(0, p.room, strings.Join(facts, " "), draw.Type{Points: 9})
	b.gap = 5
	return b
}

// yearNeckRows are the necks with a price first; those for stock share a line.
func yearNeckRows(r *workshop.YearResult, f countryForm) []block {
	type row struct {
		name, code, what, hours, price, perHour string
	}
	var rows []row
	var stock []string
	stockMin, allMin := 0.0, 0.0
	necks := slices.Clone(r.Necks)
	slices.SortStableFunc(necks, func(x, y workshop.YearNeck) int {
		rank := func(n workshop.YearNeck) int {
			switch {
			case n.Net != nil:
				return 0
			case n.Paid:
				return 1
			}
			return 2
		}
		return cmp.Compare(rank(x), rank(y))
	})
	for _, n := range necks {
		allMin += n.YearMin
		if n.Net == nil && !n.Paid {
			stock = append(stock, cmp.Or(n.Nickname, n.Neck))
			stockMin += n.YearMin
			continue
		}
		what := "for a customer"
		if n.Net != nil {
			what = "sold"
		}
		if n.Finished != nil {
			what += ", finished " + n.Finished.Format("2 January")
		} else {
			what += ", " + string(n.Status)
		}
		x := row{cmp.Or(n.Nickname, n.Neck), n.Neck, what, f.number(fmt.Sprintf("%.1f", n.YearMin/60)), "no price", ""}
		if n.Net != nil {
			x.price = f.money(*n.Net)
			if n.AllMin > 0 {
				x.perHour = f.money(n.Net.Sub(*n.Bought).MulInt(60).Div(Number(n.AllMin).Decimal()))
			}
		} else if n.Status != jobs.Finished {
			x.price = "open"
		}
		rows = append(rows, x)
	}
	if len(stock) > 0 {
		rows = append(rows, row{fmt.Sprintf("%d more", len(stock)), "", nameList(stock, 7), f.number(fmt.Sprintf("%.1f", stockMin/60)), "for stock", ""})
	}
	if len(rows) == 0 {
		return nil
	}
	rows = append(rows, row{jobs.CountText(len(necks), "neck"), "", "", f.number(fmt.Sprintf("%.1f", allMin/60)), "", ""})
	head := group(subhead("Necks"), block{high: 5, draw: func(p *pen, y float64) {
		for _, h := range []struct {
			x    float64
			head string
		}{{118, "hours this year"}, {146, "price, no tax"}, {p.room, "earned an hour"}} {
			p.text(h.x, y+3.5, h.head, right(noteType))
		}
		p.rule(y+4.8, draw.Black, 0.35)
	}})
	var out []block
	for i, x := range rows {
		b := block{high: 5.4, draw: func(p *pen, y float64) {
			last := i == len(rows)-1
			p.fit(0, y+4, 20, x.name, bold(bodyType))
			p.fit(21, y+4, 14, x.code, noteType)
			p.fit(36, y+4, 62, x.what, draw.Type{Points: 9})
			t := bodyType
			t.Bold = last
			p.text(118, y+4, x.hours, right(t))
			p.text(146, y+4, x.price, right(t))
			p.text(p.room, y+4, x.perHour, right(t))
			if !last {
				p.rule(y+5.3, draw.Hair, 0.2)
			}
		}}
		if i == 0 {
			b = group(head, b)
		}
		out = append(out, b)
	}
	return out
}
