package reports

import (
	"strings"

	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// Type of letters and of papers that are filed.
var (
	bodyType = draw.Type{Points: 10}
	noteType = draw.Type{Points: 9, Ink: draw.Grey}
	headType = draw.Type{Points: 10, Bold: true, Ink: draw.Brown}
)

const (
	lineMM     = 4.5 // between lines of 10 points
	noteLineMM = 4.1 // between lines of 9 points
)

// right is a type that ends where it is set.
func right(t draw.Type) draw.Type {
	t.Anchor = draw.End
	return t
}

func bold(t draw.Type) draw.Type {
	t.Bold = true
	return t
}

// wrapped breaks words into at most so many lines; the last ends with an ellipsis
// where something is left.
func (p *pen) wrapped(words string, t draw.Type, width float64, most int) []string {
	lines := draw.Lines(p.s, plain.Clean(words), t, width)
	if len(lines) > most {
		rest := strings.Join(lines[most-1:], " ")
		if last := draw.Cut(p.s, rest, t, width); last == rest {
			lines[most-1] = last
		} else {
			lines[most-1] = strings.TrimSuffix(last, "…") + "…"
		}
		lines = lines[:most]
	}
	return lines
}

// entryLines is how many lines one entry of a paper may take.
const entryLines = 8

// paragraph is words over the width given, from x on.
func (p *pen) paragraph(x, width float64, words string, t draw.Type) block {
	step := lineMM * t.Points / 10
	if t.Points <= 9 {
		step = noteLineMM
	}
	lines := p.wrapped(words, t, width, entryLines)
	return block{high: float64(len(lines)) * step, draw: func(p *pen, y float64) {
		for i, l := range lines {
			p.text(x, y+step*float64(i)+step*0.75, l, t)
		}
	}}
}

// subhead is a brown line above what follows it.
func subhead(words string) block {
	return block{high: 6, gap: 4, draw: func(p *pen, y float64) { p.fit(0, y+4, p.room, words, headType) }}
}

// group keeps blocks together.
func group(blocks ...block) block {
	out := block{gap: blocks[0].gap}
	for i, b := range blocks {
		if i > 0 {
			out.high += b.gap
		}
		out.high += b.high
	}
	out.draw = func(p *pen, y float64) {
		for i, b := range blocks {
			if i > 0 {
				y += b.gap
			}
			b.draw(p, y)
			y += b.high
		}
	}
	return out
}

// letterHead draws the shop's own head and, under it, whom a letter is for. facts are
// the lines at the right: what it is, of when. It gives the y below.
func letterHead(p *pen, shop string, l *workshop.Letter, to string, facts [][2]string) float64 {
	const column = 118
	name := draw.Type{Points: 17, Bold: true, Ink: draw.Brown}
	for name.Points > 12 && p.s.Width(shop, name) > column-8 {
		name.Points--
	}
	y := 15.5
	own := append(append([]string{}, l.Address...), l.Contact...)
	if l.Logo != "" && p.s.Image(p.left, 8, 25, 18, l.Logo) {
		own = append([]string{shop}, own...)
		y -= noteLineMM
	} else {
		p.fit(0, 20, column-8, shop, name)
	}
	if l.TaxNumber != "" {
		own = append(own, "Tax number "+l.TaxNumber)
	}
	for i, line := range own {
		if i < 6 || l.Logo != "" && i == 6 {
			p.fit(column, y, p.room-column, line, noteType)
			y += noteLineMM
		}
	}
	y = max(y, 26) + 1
	p.rule(y, draw.Brown, 0.5)
	// The field of a window envelope begins 45 mm from the top (50 on Letter).
	y = max(45, y+6)
	if p.height < 290 {
		y = max(50, y)
	}
	if len(l.Address) > 0 && shop != "" {
		p.fit(0, y, column-10, shop+", "+strings.Join(l.Address, ", "), noteType)
	}
	at := y + 6
	for i, line := range append(p.wrapped(to, bodyType, column-15, 2), l.To...) {
		if i < 6 {
			p.fit(0, at, column-15, line, bodyType)
			at += lineMM
		}
	}
	right := y + 4
	for _, f := range facts {
		if f[1] == "" {
			continue
		}
		p.text(column, right, f[0], noteType)
		p.fit(column+20, right, p.room-column-20, f[1], bodyType)
		right += 4.8
	}
	if p.height < 290 {
		return max(at, right, y+20) + 4
	}
	return max(at, right, y+24) + 10
}

// letterTop is the head of page 2 on, and gives the y below it.
func letterTop(p *pen, shop, what string) float64 {
	p.fit(0, 18, p.room/2-2, shop, bodyType)
	p.text(p.room, 18, draw.Cut(p.s, plain.Clean(what), bodyType, p.room/2-2), right(bodyType))
	p.rule(20, draw.Rule, 0.2)
	return 27
}

// amountRow is a line with an amount at its end.
type amountRow struct {
	what, amount string
	look         rowLook
}

type rowLook byte

const (
	lineRow  rowLook = iota
	totalRow         // 14 points under a rule
	boldRow
)

// amounts lays rows out whole, the amounts one under the other.
func (p *pen) amounts(x, width float64, rows []amountRow) block {
	type laid struct {
		amountRow
		lines []string
		high  float64
	}
	var all []laid
	out := block{}
	for _, r := range rows {
		t, high := bodyType, 5.2
		switch r.look {
		case totalRow:
			t, high = draw.Type{Points: 14, Bold: true}, 9
		case boldRow:
			t.Bold = true
		}
		l := laid{r, p.wrapped(r.what, t, width-30, 3), high}
		l.high += float64(max(len(l.lines), 1)-1) * lineMM
		all = append(all, l)
		out.high += l.high
	}
	out.draw = func(p *pen, y float64) {
		for _, l := range all {
			t, base := bodyType, 3.9
			switch l.look {
			case totalRow:
				t, base = draw.Type{Points: 14, Bold: true}, 6.6
				p.line(x, y+0.6, x+width, y+0.6, draw.Black, 0.35)
			case boldRow:
				t.Bold = true
			}
			for i, line := range l.lines {
				p.text(x, y+base+float64(i)*lineMM, line, t)
			}
			p.text(x+width, y+base, l.amount, right(t))
			y += l.high
		}
	}
	return out
}

// signature is a sentence with three lines to write on.
func signature(sentence string, lines ...string) block {
	return block{high: 30, gap: 5, bottom: true, draw: func(p *pen, y float64) {
		p.rule(y, draw.Black, 0.3)
		for i, l := range p.wrapped(sentence, bold(bodyType), p.room, 2) {
			p.text(0, y+5.5+float64(i)*lineMM, l, bold(bodyType))
		}
		gap := 8.0
		w := (p.room - gap*float64(len(lines)-1)) / float64(len(lines))
		for i, l := range lines {
			x := float64(i) * (w + gap)
			p.line(x, y+25, x+w, y+25, draw.Black, 0.25)
			p.fit(x, y+29, w, l, noteType)
		}
	}}
}
