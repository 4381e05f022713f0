package reports

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// bandsOnAWall is how many necks a page takes.
const bandsOnAWall = 5

// WallQueue is the sheet for the wall: one sentence, and for each neck a bar from today
// to the date by which it is likely and safe to be ready. It is read from the bench.
func WallQueue(r *workshop.NeckQueueResult) Report {
	out := Of(r, "wall", "Wall queue")
	rows := slices.Clone(r.Necks)
	slices.SortStableFunc(rows, func(a, b workshop.QueueRow) int {
		return cmp.Compare(cmp.Or(string(a.Due), "9999"), cmp.Or(string(b.Due), "9999"))
	})
	last := r.Date.Add(28)
	for _, x := range rows {
		last = max(last, x.Due, x.Safe, x.Likely)
	}
	last = last.Add(4)
	out.leaves(sheet{what: "wall queue", lying: true, left: 15, right: 15}, func(p *pen, page int) bool {
		p.big(0, 24, p.room, wallSentence(rows), true, 30, 26, 22, 18)
		if r.Load != nil {
			p.fit(0, 33, p.room, fmt.Sprintf("%.0f hours of work left, about %.0f evenings, %.0f weeks at the usual pace", r.Load.LeftH, r.Load.Evenings, r.Load.Weeks), draw.Type{Points: 16, Ink: draw.Grey})
		}
		const bar0, side = 68.0, 52.0
		w := p.room - bar0 - side
		x := func(d jobs.Day) float64 { return bar0 + w*float64(r.Date.DaysTo(d))/float64(r.Date.DaysTo(last)) }
		top := 52.0
		mine := rows[min(page*bandsOnAWall, len(rows)):min((page+1)*bandsOnAWall, len(rows))]
		if len(mine) == 0 {
			p.text(0, 60, "Nothing is on the bench.", draw.Type{Points: 20})
			return false
		}
		band := min(28, (p.floor()-12-top)/float64(len(mine)))
		under := top + band*float64(len(mine))
		p.text(bar0-1, top-5, "today", draw.Type{Points: 16, Bold: true, Anchor: draw.End})
		end := bar0
		for d := monthAfter(r.Date); d <= last; d = monthAfter(d) {
			p.line(x(d), top-2, x(d), under, draw.Hair, 0.3)
			if t := (draw.Type{Points: 16}); x(d) > end+2 {
				p.text(x(d)+1, top-5, d.Noon().Format("January"), t)
				end = x(d) + p.s.Width(d.Noon().Format("January"), t)
			}
		}
		for i, q := range mine {
			wallBand(p, q, top+float64(i)*band, band, bar0, x)
		}
		p.line(bar0, top-2, bar0, under, draw.Black, 1)
		key := draw.Type{Points: 16}
		y := under + 9
		p.box(bar0, y-4.5, 10, 5, draw.Look{Fill: draw.Brown})
		p.text(bar0+12, y, "until likely ready", key)
		hatchedBox(p, bar0+62, y-4.5, 10, 5)
		p.text(bar0+74, y, "until safe to promise", key)
		diamond(p, bar0+135, y-2, 2.6)
		p.text(bar0+140, y, "promised", key)
		return (page+1)*bandsOnAWall < len(rows)
	})
	return out
}

// wallSentence says whether every promise holds.
func wallSentence(rows []workshop.QueueRow) string {
	var worst *workshop.QueueRow
	for i, x := range rows {
		if x.SpareDays != nil && (worst == nil || *x.SpareDays < *worst.SpareDays) {
			worst = &rows[i]
		}
	}
	switch {
	case len(rows) == 0:
		return "Nothing is on the bench."
	case worst == nil:
		return "No date is promised."
	case *worst.SpareDays < 0:
		return fmt.Sprintf("%s will be late: %s.", queueName(*worst), jobs.CountText(-*worst.SpareDays, "day"))
	}
	return fmt.Sprintf("Every promise holds. Tightest: %s, %s.", queueName(*worst), jobs.CountText(*worst.SpareDays, "day"))
}

// queueName is a name that is short enough for a sentence.
func queueName(q workshop.QueueRow) string {
	if q.Nickname == "" || len([]rune(q.Nickname)) > 24 {
		return q.Neck
	}
	return q.Nickname
}

func wallBand(p *pen, q workshop.QueueRow, y, band, bar0 float64, x func(jobs.Day) float64) {
	p.big(0, y+11, bar0-26, queueName(q), true, 34, 28, 22, 18)
	owner := q.Customer
	if owner != "stock" {
		owner = initialsOf(spaced(owner))
	}
	p.fit(0, y+18, bar0-24, q.Neck+", "+owner, draw.Type{Points: 16, Ink: draw.Grey})
	next := cmp.Or(q.Next, "finish it")
	switch {
	case q.Status == jobs.Held:
		next = "on hold: " + q.Why
	case q.Waits != "":
		next += ", " + q.Waits
	}
	p.fit(bar0+3, y+8, p.room-bar0-58, next, draw.Type{Points: 16})
	const high = 6.5
	top := y + 11.5
	if q.Status != jobs.Held && q.Safe != "" {
		likely := max(q.Likely, jobs.Day(""))
		p.box(bar0, top, x(likely)-bar0, high, draw.Look{Fill: draw.Brown})
		if w := x(q.Safe) - x(likely); w > 0.2 {
			hatchedBox(p, x(likely), top, w, high)
		}
	}
	right := draw.Type{Points: 26, Bold: true, Anchor: draw.End}
	under := draw.Type{Points: 16, Ink: draw.Grey, Anchor: draw.End}
	if q.Due != "" {
		diamond(p, x(q.Due), top+high/2, 3.4)
		p.text(p.room, y+10, q.Due.Noon().Format("2 Jan"), right)
		words, t := "promised", under
		if s := q.SpareDays; s != nil {
			words = jobs.CountText(*s, "day") + " in hand"
			if *s < 7 {
				t.Bold, t.Ink = true, draw.Black
			}
			if *s < 0 {
				words = "LATE " + jobs.CountText(-*s, "day")
			} else if w := x(q.Due) - x(q.Safe) - 4; w > 3 {
				for d := x(q.Safe) + 1; d < x(q.Due)-4; d += 3 {
					p.line(d, top+high/2, d+1.5, top+high/2, draw.Grey, 0.4)
				}
			}
		}
		p.text(p.room, y+18, words, t)
	} else if q.Safe != "" {
		right.Bold = false
		p.text(p.room, y+10, q.Safe.Noon().Format("2 Jan"), right)
		p.text(p.room, y+18, "safe, none promised", under)
	}
	p.rule(y+band-1.5, draw.Rule, 0.3)
}

// spaced parts initials that were written together: "JC" as "J C".
func spaced(initials string) string {
	out := ""
	for _, r := range initials {
		out += string(r) + " "
	}
	return out
}

func hatchedBox(p *pen, x, y, w, h float64) {
	b := draw.Box(p.left+x, y, w, h)
	p.s.Path(draw.Hatch(b, 1.2, 45), draw.Look{Stroke: draw.Grey, Width: 0.3})
	p.s.Path(b, draw.Look{Stroke: draw.Brown, Width: 0.3})
}

func diamond(p *pen, x, y, r float64) {
	x += p.left
	p.s.Path(draw.Poly([]draw.Point{{X: x, Y: y - r}, {X: x + r, Y: y}, {X: x, Y: y + r}, {X: x - r, Y: y}}, true), draw.Look{Fill: draw.Black})
}

func monthAfter(d jobs.Day) jobs.Day {
	t := d.Noon()
	return jobs.DayOf(time.Date(t.Year(), t.Month()+1, 1, 12, 0, 0, 0, time.UTC))
}
