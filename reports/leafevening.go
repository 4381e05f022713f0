package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// EveningPaper is the card for a bench without a screen, twice on a sheet with a line
// to cut along: what is planned, so that only what differs is written, and rows.
func EveningPaper(r *workshop.EveningResult) Report {
	out := Evening(r)
	c := r.Card
	out.leaves(sheet{what: "evening card", lying: true, left: 11.5, right: 11.5}, func(p *pen, _ int) bool {
		const gap = 23.0 // two margins of half a sheet
		half := *p
		half.room = (p.room - gap) / 2
		for i := range 2 {
			half.left = p.left + float64(i)*(half.room+gap)
			eveningHalf(&half, c)
		}
		middle := p.room / 2
		for y := 8.0; y < p.floor(); y += 3 {
			p.line(middle, y, middle, y+1.5, draw.Rule, 0.2)
		}
		return false
	})
	return out
}

func eveningHalf(p *pen, c *workshop.BlankCard) {
	if c.Evening == "" {
		p.text(0, 17, "Evening of", draw.Type{Points: 14, Bold: true})
		p.line(32, 17.5, p.room, 17.5, draw.Black, 0.25)
	} else {
		p.fit(0, 17, p.room, c.Evening.Noon().Format("Monday 2 January 2006"), draw.Type{Points: 14, Bold: true})
	}
	y := 21.0
	for i, l := range c.Plan {
		if i == 4 {
			p.text(0, y+3.8, fmt.Sprintf("and %d more: tonight", len(c.Plan)-i), noteType)
			y += 4.6
			break
		}
		p.text(9, y+3.8, l.From.Format("15:04"), right(bodyType))
		p.fit(12, y+3.8, 44, l.Operation, bold(bodyType))
		p.fit(57, y+3.8, 40, strings.Join(l.Names, "+"), bodyType)
		p.text(p.room, y+3.8, fmt.Sprintf("safe %.0f min", l.SafeMin), right(noteType))
		y += 4.8
	}
	if len(c.Plan) > 0 {
		p.text(0, y+4, "Write only what differs.", noteType)
		y += 5
	}
	// The crib: what the necks are called and what they need next.
	var crib []string
	for _, n := range c.Necks {
		if n.Held == "" {
			crib = append(crib, n.Name+": "+n.Operation)
		}
	}
	for _, l := range p.wrapped(strings.Join(crib, "  \u00b7  "), noteType, p.room, 3) {
		p.text(0, y+4, l, noteType)
		y += noteLineMM
	}
	y += 6
	columns := []struct {
		x    float64
		head string
	}{{0, "from"}, {14, "operation"}, {46, "neck"}, {69, "count"}, {82, "rim"}, {92, "note"}}
	for _, k := range columns {
		p.text(k.x+1, y, k.head, noteType)
	}
	y += 1.5
	p.rule(y, draw.Black, 0.35)
	top := y
	const step, rows = 8.0, 10
	n := min(rows, int((p.floor()-y-22)/step))
	for i := range n {
		y += step
		if i == n-1 {
			p.text(15, y-2.4, "end", bold(bodyType))
		}
		p.rule(y, draw.Rule, 0.25)
	}
	for _, k := range columns[1:] {
		p.line(k.x, top, k.x, y, draw.Hair, 0.25)
	}
	for _, l := range []string{"Rim: 0 clean, 1 fuzz, 2 a chip the flange hides, 3 one that shows. Leave it if you did not look.", "A count or done ends a step. Without, it stays open. Type it in one line:"} {
		p.fit(0, y+4.6, p.room, l, noteType)
		y += noteLineMM
	}
	day := "DATE"
	if c.Evening != "" {
		day = string(c.Evening)
	}
	name := "ada"
	if len(c.Necks) > 0 {
		name = c.Necks[0].Name
	}
	p.fit(0, y+5, p.room, fmt.Sprintf(`bookmatch evening enter %s "1910 flush %s, 1945 drill %s 6, 2115 end"`, day, name, name), bold(draw.Type{Points: 9}))
	if tired := jobs.CountText(len(c.Necks), "neck"); len(c.Necks) > 0 {
		p.fit(0, y+9.5, p.room, tired+" on the bench. Tired? Glue or stop, no machine.", noteType)
	}
}
