package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// CarePaper goes with a neck when it leaves: what it is made of, when, and the shop's
// own words on how it is looked after. Nothing in it is made up: what is not on record
// is left out or said to be missing.
func CarePaper(r *workshop.NeckCareResult) Report {
	out := Of(r, "care-"+r.Name(), "Provenance and care of "+r.Name())
	f := formOf(r)
	out.flow(letterSheet("provenance and care "+r.Neck), func(p *pen, page int) float64 {
		if page > 0 {
			return letterTop(p, out.Shop, out.Title)
		}
		name := draw.Type{Points: 14, Bold: true, Ink: draw.Brown}
		p.fit(0, 18, p.room*0.6, out.Shop, name)
		for i, line := range append(append([]string{}, r.Letter.Contact...), r.Letter.Address...) {
			if i < 3 {
				p.text(p.room, 15+float64(i)*noteLineMM, draw.Cut(p.s, line, noteType, p.room*0.38), right(noteType))
			}
		}
		p.rule(26, draw.Brown, 0.5)
		title := r.Title
		if title == "" {
			title = r.Name()
		}
		p.big(0, 38, p.room, upper(title), true, 22, 18, 15, 12)
		p.fit(0, 44, p.room, r.Neck+", called "+r.Name(), bodyType)
		careDrawing(p, 52, r)
		return 50
	}, func(p *pen) []block { return careBlocks(p, r, f) })
	return out
}

func careDrawing(p *pen, y float64, r *workshop.NeckCareResult) {
	h, ok := plainHeadstock(r.Plan, drawingRoom, drawingTall)
	if !ok {
		return
	}
	w, tall := h.Size()
	h.Draw(draw.Moved(p.s, p.left+drawingX+(drawingRoom-w)/2, y))
	middle := noteType
	middle.Anchor = draw.Middle
	p.text(drawingX+drawingRoom/2, y+tall+5, fmt.Sprintf("plan %s, drawn %s", r.Plan.Code, h.Scale()), middle)
}

func careBlocks(p *pen, r *workshop.NeckCareResult, f countryForm) []block {
	width := p.room
	if _, ok := plainHeadstock(r.Plan, drawingRoom, drawingTall); ok {
		width = drawingX - 8
	}
	var blocks []block
	section := func(head string, lines ...block) {
		if len(lines) == 0 {
			return
		}
		blocks = append(blocks, group(subhead(head), lines[0]))
		blocks = append(blocks, lines[1:]...)
	}
	row := func(what, text string) block {
		b := p.paragraph(30, width-30, text, bodyType)
		inner := b.draw
		b.draw = func(p *pen, y float64) {
			p.fit(0, y+lineMM*0.75, 28, upper(what), draw.Type{Points: 10, Ink: draw.Grey})
			inner(p, y)
		}
		b.high += 1
		return b
	}
	finished := "not finished yet"
	if r.Finished != nil {
		finished = f.day(jobs.DayOf(*r.Finished))
	}
	made := []block{row("finished", finished)}
	for _, d := range r.Dates {
		made = append(made, row(d.What, f.day(d.On)))
	}
	if r.Plan != nil {
		made = append(made, row("plan", r.Plan.Code+", strings straight from the nut to the posts"))
	}
	section("Your neck", made...)
	var woods []block
	for _, w := range r.Woods {
		text := w.Wood
		if w.Botanical != "" {
			text += " (" + w.Botanical + ")"
		}
		switch {
		case w.Papers != "":
			text += "; document " + w.Papers
		case w.Listed:
			text += "; no paper on record. Check current trade rules before it is sold or leaves the country"
		}
		if w.Received != "" {
			text += "; in the shop since " + f.day(jobs.Day(w.Received))
		}
		woods = append(woods, row(w.Part, text))
	}
	section("Woods", woods...)
	if r.Coats > 0 {
		text := jobs.CountText(r.Coats, "coat")
		if len(r.Finishes) > 0 {
			text += " of " + strings.Join(r.Finishes, ", ")
		}
		section("Finish", row("coats", text))
	}
	var parts []block
	for _, x := range r.Parts {
		parts = append(parts, row("fitted", x))
	}
	if r.Plan != nil {
		t := r.Plan.Spec.Tuner
		if t.ClampLeast > 0 && t.ClampMost > 0 {
			parts = append(parts, row("clamp", fmt.Sprintf("the tuners clamp %.1f to %.1f mm", t.ClampLeast, t.ClampMost)))
		}
	}
	section("Strings and tuners", parts...)
	var care []block
	for _, l := range r.Letter.Care {
		care = append(care, p.paragraph(0, width, l, bodyType))
	}
	section("Care", care...)
	var notes []block
	for _, x := range r.Repairs {
		notes = append(notes, row(f.day(x.On), x.What))
	}
	section("Repairs", notes...)
	return append(blocks, signature("Made in this workshop.", "Place and date", "Signature"))
}
