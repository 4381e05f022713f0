package reports

import (
	"fmt"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// InvoiceFigures is what whoever does the books needs for an invoice: both sides, the
// lines as agreed, tax by rate, what was received and what is due. It is no invoice.
func InvoiceFigures(r *workshop.QuoteResult) Report {
	out := quoteBill(r)
	b, f := r.Bill, formOf(r)
	what := "Invoice figures of quote " + b.Quote
	x := letterSheet(what + ", " + f.day(b.Date))
	x.undated = true
	out.flow(x, func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, what)
		}
		supplied := f.day(b.Supplied)
		if supplied == "" {
			supplied = "not finished yet"
		}
		y := letterHead(p, out.Shop, r.Letter, b.For, [][2]string{{"Quote", b.Quote}, {"As of", f.day(b.Date)}, {"Supplied", supplied}}) + 4
		p.big(0, y, p.room, "Figures for the invoice, not an invoice", true, 20, 18, 16)
		for i, label := range []string{"Invoice number", "Invoice date"} {
			left := float64(i) * 62
			p.text(left, y+9, label, noteType)
			p.box(left+26, y+4.5, 32, 7, draw.Look{Stroke: draw.Rule, Width: 0.25})
		}
		return y + 16
	}, func(p *pen) []block { return billBlocks(p, r, f) })
	return out
}

func billBlocks(p *pen, r *workshop.QuoteResult, f countryForm) []block {
	b := r.Bill
	columns := []float64{p.room - 56, p.room - 28, p.room}
	taxed := !b.TaxPercent.IsZero()
	row := func(what string, t draw.Type, amounts ...string) block {
		if !taxed {
			amounts = amounts[len(amounts)-1:]
		}
		lines := p.wrapped(what, t, columns[0]-28, 4)
		return block{high: max(float64(len(lines)), 1)*lineMM + 1.2, draw: func(p *pen, y float64) {
			for i, l := range lines {
				p.text(0, y+3.9+float64(i)*lineMM, l, t)
			}
			for i, a := range amounts {
				p.text(columns[len(columns)-len(amounts)+i], y+3.9, a, right(t))
			}
		}}
	}
	rule := func(width float64) block {
		return block{high: 0.4, draw: func(p *pen, y float64) { p.rule(y, draw.Black, width) }}
	}
	line := func(l quote.BillLine) block {
		return row(upper(l.What), bodyType, f.money(l.Net), f.money(l.Tax), f.money(l.Gross))
	}
	head := row("As agreed, in "+string(b.Currency), headType, "without tax", "tax", "with tax")
	if !taxed {
		head = row("As agreed, in "+string(b.Currency), headType, "price")
	}
	blocks := []block{group(head, rule(0.35), line(b.Lines[0]))}
	for _, l := range b.Lines[1:] {
		blocks = append(blocks, line(l))
	}
	total := bold(bodyType)
	sums := []block{rule(0.35), row("Total", total, f.money(b.Net), f.money(b.Tax), f.money(b.Gross))}
	if taxed {
		sums = append(sums, row(fmt.Sprintf("Of this, tax at %s %% on %s", f.number(b.TaxPercent.String()), f.money(b.Net)), bodyType, "", f.money(b.Tax), ""))
	} else if r.Letter.Exemption != "" {
		sums = append(sums, p.paragraph(0, p.room, r.Letter.Exemption, noteType))
	}
	rows := []amountRow{}
	for _, x := range b.Payments {
		rows = append(rows, amountRow{what: fmt.Sprintf("Received %s, %s", f.day(x.On), x.What), amount: f.money(x.Amount.Neg())})
	}
	rows = append(rows, amountRow{"Still to pay", f.money(b.Due), totalRow})
	sums = append(sums, space(3), p.amounts(0, p.room, rows))
	if r.Letter.Bank != "" {
		sums = append(sums, p.paragraph(0, p.room, r.Letter.Bank+", reference "+b.Quote, noteType))
	}
	blocks = append(blocks, group(sums...))
	note := p.paragraph(0, p.room, "Figures only. Number, date, date of supply and the tax on a deposit follow your local rules.", noteType)
	note.gap = 6
	return append(blocks, note)
}

// mostOnHalf is how many lines a change may have on half a sheet.
const mostOnHalf = 8

// ChangePaper is a change of an accepted quote, to be signed before its work starts.
func ChangePaper(r *workshop.QuoteResult) Report {
	out := orderForCustomer(r)
	c, f := r.Order.Order, formOf(r)
	what := fmt.Sprintf("Change %d of quote %s", c.No, r.Order.Quote)
	x := sheet{what: what + ", " + f.day(c.Asked), half: len(r.Order.Becomes)+len(c.Parts) <= mostOnHalf, left: 11.5, right: 11.5, undated: true}
	if !x.half {
		x.left, x.right = 20, 15
	}
	out.flow(x, func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, what)
		}
		p.big(0, 20, p.room*0.6, out.Shop, true, 14, 12)
		for i, l := range jobs.Lines(strings.Join(r.Letter.Contact, ",")) {
			if i < 2 {
				p.text(p.room, 16+float64(i)*noteLineMM, draw.Cut(p.s, l, noteType, p.room*0.38), right(noteType))
			}
		}
		p.rule(24, draw.Brown, 0.5)
		p.fit(0, 35, p.room, what, draw.Type{Points: 18, Bold: true})
		p.fit(0, 41, p.room, fmt.Sprintf("For %s. Asked by %s on %s.", r.Order.Customer, c.AskedBy, f.day(c.Asked)), bodyType)
		return 46
	}, func(p *pen) []block { return changeBlocks(p, r, f) })
	return out
}

func changeBlocks(p *pen, r *workshop.QuoteResult, f countryForm) []block {
	o := r.Order
	c := o.Order
	blocks := []block{group(subhead("What changes"), p.paragraph(0, p.room, upper(c.What), bold(bodyType)))}
	third := p.room / 3
	for i, x := range o.Becomes {
		b := block{high: 5.4, draw: func(p *pen, y float64) {
			p.fit(0, y+4, third-2, x.What, bodyType)
			p.fit(third, y+4, third-2, x.Was, bodyType)
			p.fit(2*third, y+4, third, x.Becomes, bold(bodyType))
			p.rule(y+5.2, draw.Hair, 0.25)
		}}
		if i == 0 {
			b = group(block{high: 5, draw: func(p *pen, y float64) {
				p.text(third, y+4, "was", noteType)
				p.text(2*third, y+4, "becomes", noteType)
			}}, b)
		}
		blocks = append(blocks, b)
	}
	for _, x := range c.Parts {
		blocks = append(blocks, p.paragraph(0, p.room, "With it: "+x.Name, bodyType))
	}
	if c.Undo.Sign() > 0 {
		blocks = append(blocks, p.paragraph(0, p.room, "Work that is done already is undone and done again. The price holds it.", bodyType))
	}
	signed := func(s string) string {
		if c.Gross.Sign() > 0 {
			return "+" + s
		}
		return s
	}
	var rows []amountRow
	if o.TaxPercent.IsZero() {
		rows = append(rows, amountRow{what: "Price of the change", amount: signed(f.money(c.Gross)), look: boldRow})
	} else {
		rows = append(rows, amountRow{what: "Price of the change, without tax", amount: signed(f.money(c.Net))},
			amountRow{what: fmt.Sprintf("Tax, %s %%", f.number(o.TaxPercent.String())), amount: signed(f.money(c.Tax))},
			amountRow{what: "Price of the change, with tax", amount: signed(f.money(c.Gross)), look: boldRow})
	}
	rows = append(rows, amountRow{what: "Total without it", amount: f.money(o.Before)}, amountRow{"New total", f.money(o.After), totalRow})
	blocks = append(blocks, group(subhead("Price, in "+string(r.Currency)), p.amounts(0, p.room, rows)))
	when := "The date stays as agreed."
	switch {
	case c.Days > 0 && o.Due != "" && c.Status == jobs.OrderOpen:
		when = fmt.Sprintf("The new date is %s, %s than %s.", f.day(o.Due.Add(c.Days)), laterText(c.Days), f.day(o.Due))
	case c.Days > 0:
		when = upper(laterText(c.Days)) + "."
	case o.Due != "":
		when = fmt.Sprintf("The date stays: %s.", f.day(o.Due))
	}
	blocks = append(blocks, group(subhead("When"), p.paragraph(0, p.room, when, bodyType)))
	switch c.Status {
	case jobs.OrderAccepted:
		blocks = append(blocks, group(space(3), p.paragraph(0, p.room, fmt.Sprintf("Accepted on %s.", f.day(c.Decided)), bold(bodyType))))
	case jobs.OrderOpen:
		s := signature("Work on this change starts when this paper is signed.", "Place and date", "Signature")
		blocks = append(blocks, s)
	default:
		blocks = append(blocks, group(space(3), p.paragraph(0, p.room, fmt.Sprintf("Not wanted. Decided on %s.", f.day(c.Decided)), bold(bodyType))))
	}
	return blocks
}
