package reports

import (
	"fmt"

	"bookmatch/costing/quote"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// QuoteLetter is a quote as the customer gets it: what they get, what it costs, when it
// is ready, and where to sign. It has no hours and no margin.
func QuoteLetter(r *workshop.QuoteResult) Report {
	out := quoteOffer(r)
	s, f := r.Offer, formOf(r)
	what := fmt.Sprintf("Quote %s, revision %d", s.Quote, s.Revision)
	x := letterSheet(what + ", " + f.day(s.Date))
	x.undated = true
	if s.Draft {
		x.what += ", draft"
	}
	under := new(float64)
	out.flow(x, func(p *pen, page int) float64 {
		*under = 0
		if page > 0 {
			return letterTop(p, out.Shop, what)
		}
		facts := [][2]string{{"Quote", fmt.Sprintf("%s, revision %d", s.Quote, s.Revision)}, {"Date", f.day(s.Date)}, {"Valid until", f.day(s.Until)}}
		if s.Revision > 1 {
			facts = append(facts, [2]string{"Instead of", fmt.Sprintf("revision %d", s.Revision-1)})
		}
		y := letterHead(p, out.Shop, r.Letter, s.For, facts)
		y = quoteTitle(p, y+6, s)
		*under = quoteDrawing(p, y+6, r.Plan)
		return y
	}, func(p *pen) []block { return quoteBlocks(p, r, f, under) })
	return out
}

// quoteTitle writes the title, and that a draft is no offer.
func quoteTitle(p *pen, y float64, s *quote.CustomerSheet) float64 {
	title := s.Title
	if title == "" {
		title = "A neck"
		if n := s.Lines[0].Quantity; n > 1 {
			title = fmt.Sprintf("%d necks", n)
		}
		for _, x := range s.Facts {
			switch x.What {
			case "wood":
				title += " in " + x.Text
			case "inlay":
				title += ", inlaid"
			}
		}
	}
	t := draw.Type{Points: 22, Bold: true}
	for t.Points > 13 && len(draw.Lines(p.s, title, t, p.room)) > 1 {
		t.Points -= 3
	}
	for _, line := range p.wrapped(upper(title), t, p.room, 2) {
		p.text(0, y, line, t)
		y += t.Points * 0.45
	}
	y -= 2.5
	if s.Draft {
		p.text(0, y, "DRAFT, not an offer. What you get, what it costs and when it is ready.", bold(bodyType))
	} else {
		p.text(0, y, "What you get, what it costs and when it is ready.", bodyType)
	}
	return y + 5
}

// Where the drawing of the headstock has its place.
const (
	drawingX    = 125.0
	drawingRoom = 50.0
	drawingTall = 82.0
)

func quoteDrawing(p *pen, y float64, plan *layout.Plan) (under float64) {
	most := drawingTall
	if p.height < 290 { // Letter: a page is to hold the signature, too
		most = 68
	}
	h, ok := plainHeadstock(plan, drawingRoom, most)
	if !ok {
		return 0
	}
	w, tall := h.Size()
	h.Draw(draw.Moved(p.s, p.left+drawingX+(drawingRoom-w)/2, y))
	middle := noteType
	middle.Anchor = draw.Middle
	p.text(drawingX+drawingRoom/2, y+tall+5, "Headstock seen from the front,", middle)
	p.text(drawingX+drawingRoom/2, y+tall+5+noteLineMM, fmt.Sprintf("plan %s, drawn %s", plan.Code, h.Scale()), middle)
	return y + tall + 14
}

// plainHeadstock is a plan without numbers; ok is false where there is none.
func plainHeadstock(plan *layout.Plan, w, tall float64) (Headstock, bool) {
	if plan == nil {
		return Headstock{}, false
	}
	k, err := layout.NewSketch(*plan)
	return Headstock{Plan: *plan, Sketch: k, WidthMM: w, HeightMM: tall, Filled: true}, err == nil
}

func quoteBlocks(p *pen, r *workshop.QuoteResult, f countryForm, under *float64) []block {
	s, width := r.Offer, p.room
	if _, ok := plainHeadstock(r.Plan, drawingRoom, drawingTall); ok {
		width = drawingX - 10
	}
	rows := append([]quote.Fact{}, s.Facts...)
	if r.Plan != nil {
		rows = append(rows, quote.Fact{What: "strings", Text: "straight from the nut to the posts"})
	}
	for _, x := range s.Exclusions {
		rows = append(rows, quote.Fact{What: "not included", Text: x})
	}
	blocks := []block{subhead("What you get")}
	for i, x := range rows {
		b := p.paragraph(27, width-27, x.Text, bodyType)
		inner := b.draw
		b.draw = func(p *pen, y float64) {
			p.fit(0, y+lineMM*0.75, 25, upper(x.What), draw.Type{Points: 10, Ink: draw.Grey})
			inner(p, y)
		}
		b.high += 1
		if i == 0 {
			b = group(blocks[0], b)
			blocks = blocks[:0]
		}
		blocks = append(blocks, b)
	}
	blocks = append(blocks, letterPrice(p, r, f, width))
	pay := letterPayment(p, r, f)
	pay.below = under
	blocks = append(blocks, pay)
	terms := append([]string{}, s.Wording...)
	if !s.Draft {
		terms = append(terms, fmt.Sprintf("This price holds until %s. After that date, please ask for a new one.", f.day(s.Until)))
	}
	for i, text := range terms {
		b := p.paragraph(6, p.room-6, text, draw.Type{Points: 9})
		inner := b.draw
		b.draw = func(p *pen, y float64) {
			p.text(0, y+noteLineMM*0.75, fmt.Sprint(i+1), draw.Type{Points: 9})
			inner(p, y)
		}
		if i == 0 {
			b = group(subhead("Terms"), b)
		}
		blocks = append(blocks, b)
	}
	if !s.Draft {
		sentence := fmt.Sprintf("I accept quote %s, revision %d, at %s %s", s.Quote, s.Revision, f.money(s.Gross), s.Currency)
		if !s.TaxPercent.IsZero() {
			sentence += " with tax"
		}
		blocks = append(blocks, signature(sentence+".", "Place and date", "Signature", "For the workshop"))
	}
	return blocks
}

func letterPrice(p *pen, r *workshop.QuoteResult, f countryForm, width float64) block {
	s := r.Offer
	what := "One neck as described"
	if n := s.Lines[0].Quantity; n > 1 {
		what = fmt.Sprintf("%d necks as described", n)
	}
	if s.TaxPercent.IsZero() {
		b := group(subhead("Price, in "+string(s.Currency)), p.amounts(0, width, []amountRow{{what, f.money(s.Gross), totalRow}}))
		if r.Letter.Exemption != "" {
			b = group(b, p.paragraph(0, width, r.Letter.Exemption, noteType))
		}
		return b
	}
	return group(subhead("Price, in "+string(s.Currency)), p.amounts(0, width, []amountRow{{what: what + ", without tax", amount: f.money(s.Net)},
		{what: fmt.Sprintf("Tax, %s %%", f.number(s.TaxPercent.String())), amount: f.money(s.Tax)}, {"Price with tax", f.money(s.Gross), totalRow}}))
}

// letterPayment is what is paid when, next to when it is ready.
func letterPayment(p *pen, r *workshop.QuoteResult, f countryForm) block {
	s := r.Offer
	const column = 90.0
	width := column - 6
	var rows []amountRow
	for _, x := range s.Stages {
		rows = append(rows, amountRow{what: upper(x.When), amount: f.money(x.Amount)})
	}
	left := p.amounts(0, width, rows)
	if r.Letter.Bank != "" {
		left = group(left, p.paragraph(0, width, r.Letter.Bank+", reference "+s.Quote, noteType))
	}
	when := s.Delivery
	switch {
	case s.Ready != "" && s.DepositBy != "":
		when = fmt.Sprintf("Ready by %s, if the deposit is here by %s. A later deposit moves the date by as much.", f.day(s.Ready), f.day(s.DepositBy))
	case s.Ready != "":
		when = fmt.Sprintf("Ready by %s, as agreed.", f.day(s.Ready))
	}
	side := p.paragraph(column, p.room-column, when, bodyType)
	return block{gap: 4, high: 6 + max(left.high, side.high), draw: func(p *pen, y float64) {
		p.text(0, y+4, "Payment", headType)
		p.text(column, y+4, "When", headType)
		left.draw(p, y+6)
		side.draw(p, y+6)
	}}
}
