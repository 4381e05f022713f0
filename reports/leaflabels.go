package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// BitLabels is a sheet of labels for the boxes of bits: the code, what it is kept for,
// and one box for each headstock up to the age at which it is retired.
func BitLabels(r *workshop.BitLabelsResult) Report {
	out := Of(r, "labels", "Bit labels")
	var bits []workshop.BitRow
	for _, b := range r.Bits {
		if b.Keep != jobs.KeepScrap {
			bits = append(bits, b)
		}
	}
	if r.Sheet.Across > 0 {
		labelSheet(&out, bits, r)
		return out
	}
	small := len(bits) <= 9
	const across = 3
	const w, h, gap = 61.0, 39.0, 3.0
	out.leaves(sheet{what: "bit labels", half: small, lying: small, left: 11.5, right: 11.5}, func(p *pen, page int) bool {
		p.text(0, 18, "Bit labels", draw.Type{Points: 16.5, Bold: true})
		p.fit(0, 23, p.room, fmt.Sprintf("One box is one headstock of %s. Cross one off each time. The bar is where show faces end.", jobs.CountText(holesAHeadstock, "hole")), draw.Type{Points: 9, Ink: draw.Grey})
		down := max(int((p.floor()-27)/(h+gap)), 1)
		most := across * down
		mine := bits[min(page*most, len(bits)):min((page+1)*most, len(bits))]
		if len(mine) == 0 {
			p.text(0, 32, "There is no bit.", draw.Type{Points: 12})
		}
		width := min(w, (p.room-2*gap)/across)
		for i, b := range mine {
			bitLabel(p, b, r.Page, float64(i%across)*(width+gap), 27+float64(i/across)*(h+gap), width, h)
		}
		return (page+1)*most < len(bits)
	})
	return out
}

// labelSheet puts labels on a sheet of labels, in the middle of the page and without a
// foot. What is small there is no smaller than 7 points.
func labelSheet(out *Report, bits []workshop.BitRow, r *workshop.BitLabelsResult) {
	x := r.Sheet
	out.leaves(sheet{what: "bit labels", bare: true}, func(p *pen, page int) bool {
		const w, h = 58.0, 38.0 // of a label as it is drawn
		left, top := (p.room-x.WidthMM*float64(x.Across))/2, (p.height-x.HeightMM*float64(x.Down))/2
		scale := min((x.WidthMM-4)/w, (x.HeightMM-2)/h, 1)
		most := x.Across * x.Down
		for i, b := range bits {
			at := i + x.Start - 1
			if at/most != page {
				continue
			}
			at %= most
			cx, cy := left+float64(at%x.Across)*x.WidthMM+2, top+float64(at/x.Across)*x.HeightMM+1
			q := pen{s: draw.Scaled(draw.Moved(p.s, cx, cy), scale), room: w, height: h}
			labelWords(&q, b, r.Page, 0, 0, w)
		}
		return (len(bits)+x.Start-1-1)/most > page
	})
}

// holesAHeadstock is what a box of a label is for: six strings.
const holesAHeadstock = 6

func bitLabel(p *pen, b workshop.BitRow, page string, x, y, w, h float64) {
	for d := 0.0; d < w; d += 2.4 {
		p.line(x+d, y, x+math.Min(d+1.2, w), y, draw.Rule, 0.2)
		p.line(x+d, y+h, x+math.Min(d+1.2, w), y+h, draw.Rule, 0.2)
	}
	for d := 0.0; d < h; d += 2.4 {
		p.line(x, y+d, x, y+math.Min(d+1.2, h), draw.Rule, 0.2)
		p.line(x+w, y+d, x+w, y+math.Min(d+1.2, h), draw.Rule, 0.2)
	}
	labelWords(p, b, page, x, y, w)
}

// labelWords is what is on a label.
func labelWords(p *pen, b workshop.BitRow, page string, x, y, w float64) {
	p.big(x+3, y+10.5, w-24, b.Bit, true, 25, 20, 16, 12)
	p.fit(x+3, y+16, w-24, strings.TrimSpace(b.DiameterText+" "+b.Point), draw.Type{Points: 10})
	p.code(x+w-20, y+0.5, 20, 0.66, codeWord(page, "B", b.Bit))
	word, look, ink := "GENERAL", draw.Look{Stroke: draw.Black, Width: 0.3}, draw.Black
	if b.Keep == jobs.KeepShow {
		word, look, ink = "SHOW", draw.Look{Fill: draw.Black}, draw.White
	}
	p.box(x+3, y+18.5, 19, 5.6, look)
	p.text(x+12.5, y+22.6, word, draw.Type{Points: 9.5, Bold: true, Ink: ink, Anchor: draw.Middle})
	origin := "new"
	if b.Edge > 1 {
		origin = "sharpened"
	}
	p.fit(x+24, y+22.6, w-26, origin+" "+b.Since.Format("Jan 2006"), draw.Type{Points: 9, Ink: draw.Grey})
	switch {
	case b.RetireAt == nil && b.ExpectedHoles == 0:
		p.fit(x+3, y+33, w-6, fmt.Sprintf("%s of wear, no life on record", jobs.CountText(int(math.Round(b.Wear)), "hole")), draw.Type{Points: 9})
		return
	case b.RetireAt != nil && b.Wear >= *b.RetireAt:
		p.fit(x+3, y+33, w-6, fmt.Sprintf("past its age: %.0f of %.0f holes", b.Wear, *b.RetireAt), draw.Type{Points: 9, Bold: true})
		return
	}
	end := b.ExpectedHoles
	if b.RetireAt != nil {
		end = *b.RetireAt
	}
	boxes := int(math.Max(math.Floor(end/holesAHeadstock), 1))
	used := int(math.Floor(b.Wear / holesAHeadstock))
	side := math.Min(3.4, (w-16)/float64(boxes)-0.4)
	for i := range boxes {
		p.tick(x+3+float64(i)*(side+0.4), y+29, side, i < used)
	}
	at := x + 3 + float64(boxes)*(side+0.4)
	p.line(at+0.4, y+27.5, at+0.4, y+29+side+1.2, draw.Black, 1)
	p.text(at+2, y+29+side, fmt.Sprintf("%.0f", end), draw.Type{Points: 9, Bold: true})
}
