package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// JobCard is the card that hangs on a neck: what is done, and boxes for what is left.
// It has no price and no name but initials, for cards hang where visitors see them.
func JobCard(r *workshop.NeckShowResult) Report {
	out := Of(r, "card-"+r.Name(), "Job card of "+r.Full())
	rows, done := cardRows(r)
	const margin, least, most = 11.5, 5.6, 7.4 // mm; rows for a pencil
	high := func(p *pen, from float64, n int) (step float64, fits int) {
		room := p.floor() - 22 - from
		step = min(max(room/float64(max(n, 1)), least), most)
		return step, max(int(room/step+1e-9), 1)
	}
	out.leaves(sheet{what: "job card " + r.Neck, half: true, left: margin, right: margin}, func(p *pen, page int) bool {
		y, from := 26.0, 0
		if page == 0 {
			y = cardDone(p, cardHead(p, r), r, done)
		} else {
			p.fit(0, 18, p.room, r.Name()+", to do, from page "+fmt.Sprint(page), draw.Type{Points: 12, Bold: true})
		}
		for n := range page {
			top := 26.0
			if n == 0 {
				top = cardTop(done)
			}
			_, fits := high(p, top, len(rows)-from)
			from += fits
		}
		step, fits := high(p, y, len(rows)-from)
		to := min(from+fits, len(rows))
		y = cardTable(p, y, step, rows[min(from, to):to])
		if to == len(rows) {
			cardFoot(p, y, r)
		}
		return to < len(rows)
	})
	return out
}

// cardRow is one line of what is left; equal steps in a row share it.
type cardRow struct {
	step  workshop.NeckStep
	boxes int
}

// cardRows gives the rows in the order they may be done, and the steps that are.
func cardRows(r *workshop.NeckShowResult) (rows []cardRow, done []workshop.NeckStep) {
	var left []workshop.NeckStep
	for _, s := range r.Steps {
		switch {
		case s.IsDone():
			done = append(done, s)
		case s.IsLeft():
			left = append(left, s)
		}
	}
	slices.SortStableFunc(done, func(a, b workshop.NeckStep) int { return a.DoneAt.Compare(*b.DoneAt) })
	slices.SortStableFunc(left, func(a, b workshop.NeckStep) int { return cmp.Compare(a.Order, b.Order) })
	for _, s := range left {
		if n := len(rows); n > 0 && rows[n-1].step.Operation == s.Operation && rows[n-1].step.QuantityText == s.QuantityText && rows[n-1].boxes < 6 {
			rows[n-1].boxes++
			continue
		}
		rows = append(rows, cardRow{s, 1})
	}
	return rows, done
}

func cardHead(p *pen, r *workshop.NeckShowResult) float64 {
	hole := draw.Ellipse(p.left+p.room/2, 9.5, 3, 3)
	p.s.Path(hole, draw.Look{Stroke: draw.Rule, Width: 0.25})
	p.big(0, 28, 62, r.Name(), true, 46, 36, 28, 20)
	p.fit(0, 35.5, 66, r.Neck+", "+r.Title, draw.Type{Points: 11, Bold: true})
	wood := strings.ReplaceAll(r.Wood, "-", " ")
	if r.Veneer != "" {
		wood += ", " + strings.ReplaceAll(r.Veneer, "-", " ") + " veneer"
	}
	p.fit(0, 40.2, 66, wood, draw.Type{Points: 10})
	owner := "stock"
	if r.Customer != "" {
		owner = "for " + initialsOf(r.Customer)
	}
	if r.Due != "" {
		owner += ", promised " + longDay(r.Due)
	}
	p.fit(0, 44.9, 66, owner, draw.Type{Points: 10, Bold: r.Due != ""})
	p.box(70, 17, 28, 13.5, draw.Look{Stroke: draw.Black, Width: 0.4})
	middle := draw.Type{Points: 9, Ink: draw.Grey, Anchor: draw.Middle}
	p.text(84, 20.8, "plan", middle)
	plan := draw.Type{Points: 20, Bold: true, Anchor: draw.Middle}
	if r.Layout != nil {
		p.text(84, 28.4, r.Layout.Code, plan)
	} else {
		p.text(84, 26.5, "no plan yet", middle)
	}
	grey := draw.Type{Points: 9, Ink: draw.Grey}
	p.text(70, 35.5, fmt.Sprintf("%s on %s,", longMinutes(r.Hours.TotalMin), jobs.CountText(r.Hours.Evenings, "evening")), grey)
	p.text(70, 39.6, fmt.Sprintf("about %.1f h left", r.Hours.LeftH), grey)
	p.code(p.room-24.5, 14, 26, 0.85, codeWord(r.Page, "J", r.Neck))
	p.text(p.room-12.2, 40.5, r.Neck, draw.Type{Points: 9, Anchor: draw.Middle})
	p.rule(48, draw.Black, 0.35)
	return 52
}

const cardColumns = 3

// cardTop is where the table of the first page begins.
func cardTop(done []workshop.NeckStep) float64 {
	return 52 + 3 + float64((min(len(done), 30)+cardColumns-1)/cardColumns)*4.1 + 8
}

func cardDone(p *pen, y float64, r *workshop.NeckShowResult, done []workshop.NeckStep) float64 {
	p.text(0, y+1, fmt.Sprintf("Done: %d of %s", r.Progress.Done, jobs.CountText(r.Progress.Steps, "step")), draw.Type{Points: 10, Bold: true})
	y += 3
	shown := done[max(0, len(done)-30):]
	lines := (len(shown) + cardColumns - 1) / cardColumns
	width := p.room / cardColumns
	grey := draw.Type{Points: 9, Ink: draw.Grey}
	for i, s := range shown {
		x, top := float64(i/max(lines, 1))*width, y+float64(i%max(lines, 1))*4.1
		p.tick(x, top+0.8, 2.4, true)
		p.fit(x+4, top+3.2, width-17, s.Operation, grey)
		end := grey
		end.Anchor = draw.End
		p.text(x+width-4, top+3.2, s.DoneAt.Format("2 Jan"), end)
	}
	return y + float64(lines)*4.1 + 8
}

func cardTable(p *pen, y, step float64, rows []cardRow) float64 {
	grey := draw.Type{Points: 9, Ink: draw.Grey}
	end := grey
	end.Anchor = draw.End
	if len(rows) == 0 {
		p.text(0, y, "Nothing is left to do.", draw.Type{Points: 10})
		return y + 4
	}
	p.text(13, y-1.5, "to do", grey)
	p.text(69, y-1.5, "about", end)
	p.text(71, y-1.5, "wait", grey)
	p.text(90, y-1.5, "done on", grey)
	p.text(105, y-1.5, "took", grey)
	if p.room > 122 {
		p.text(114, y-1.5, "note", grey)
	}
	p.rule(y, draw.Black, 0.35)
	for _, row := range rows {
		s := row.step
		if s.State == jobs.On {
			p.box(0, y, p.room, step, draw.Look{Fill: draw.Tint})
		}
		side := 3.6
		if row.boxes > 1 {
			side = 2
		}
		for i := range row.boxes {
			lines := float64((row.boxes + 2) / 3)
			p.tick(float64(i%3)*2.5, y+(step-lines*side-(lines-1)*0.4)/2+float64(i/3)*(side+0.4), side, false)
		}
		base := y + step/2 + 1.3
		p.text(11.5, base, fmt.Sprint(s.Step), end)
		name := s.Operation
		if row.boxes > 1 {
			name += fmt.Sprintf(" x %d", row.boxes)
		}
		p.fit(13, base, 33, name, draw.Type{Points: 10.5, Bold: true})
		right := draw.Type{Points: 9.5, Anchor: draw.End}
		p.text(60, base, s.QuantityText, right)
		p.text(69, base, fmt.Sprintf("%.0f", s.LikelyMin*float64(row.boxes)), right)
		if s.CureH > 0 {
			p.text(71, base, jobs.NumberText(jobs.Round1(s.CureH))+" h", draw.Type{Points: 9.5})
		}
		if s.ActualMin > 0 {
			p.text(111.5, base, fmt.Sprintf("%.0f+", s.ActualMin), right)
		}
		y += step
		p.rule(y, draw.Rule, 0.25)
	}
	top := y - float64(len(rows))*step
	for _, x := range []float64{89, 104, 113} {
		p.line(x, top, x, y, draw.Hair, 0.25)
	}
	return y
}

func cardFoot(p *pen, y float64, r *workshop.NeckShowResult) {
	lines := slices.Clone(r.Cautions)
	if len(lines) > 2 {
		lines = lines[:2]
	}
	lines = append(lines, "Tired? Glue or stop, no machine. Labels, manuals and local rules go first.")
	y = p.warn(y+4, lines)
	p.text(0, y+4, "about, took: minutes. wait: a default, the product's label decides.", draw.Type{Points: 9, Ink: draw.Grey})
}

// initialsOf gives the initials of a name.
func initialsOf(name string) string {
	var out []string
	for _, w := range strings.FieldsFunc(name, func(r rune) bool { return r == ' ' || r == '-' }) {
		out = append(out, string([]rune(w)[0])+".")
	}
	return strings.Join(out, " ")
}

// longMinutes prints minutes as hours.
func longMinutes(min float64) string {
	return fmt.Sprintf("%.1f h", (time.Duration(min * float64(time.Minute))).Hours())
}
