package paper

import (
	"strings"

	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// Type of the head of a report in points.
const (
	titleType    = 22.0
	longTitle    = 16.5
	headlineType = 16.5
	longHeadline = 11.5
)

// top writes what is above the sections: shop and date, title, the code of the
// plan, the answer, and the cautions.
func (s *sheet) top() {
	grey := draw.Type{Points: small, Ink: draw.Grey}
	date := s.made("2 January 2006, 15:04")
	if s.r.ForCustomer {
		date = s.made("2 January 2006")
	}
	end := grey
	end.Anchor = draw.End
	s.on().Text(s.left+s.room, s.y+3.6, date, end)
	shop := draw.Type{Points: 12, Bold: true, Ink: draw.Brown}
	s.on().Text(s.left, s.y+3.6, draw.Cut(s.measure, plain.Clean(s.r.Shop), shop, s.room-s.measure.Width(date, grey)-5), shop)
	s.rule(s.y+6, draw.Brown, 0.5)
	s.y += 9

	room := s.room
	under := s.code(s.y)
	if under > 0 {
		s.room -= codeWidth + 6
	}
	if s.r.Title != "" {
		t, step := draw.Type{Points: titleType, Bold: true}, 9.5
		if len(wrap(s.measure, s.r.Title, t, s.room)) > 1 {
			t.Points, step = longTitle, 7.2
		}
		s.words(s.r.Title, 0, t, step)
	}
	if subject := strings.TrimPrefix(s.r.Subject, s.r.Shop+" · "); subject != "" {
		s.words(subject, 0, draw.Type{Points: body, Ink: draw.Grey}, line)
	}
	if under > s.y {
		s.y = under
	}
	s.room = room
	s.headline()
	s.cautions()
}

// headline writes the answer, larger where it is short. What the title and the
// subject have said already is left out.
func (s *sheet) headline() {
	for i, words := range s.r.Headline {
		if words == s.r.Title || words == s.r.Title+": "+s.r.Subject+"." || words == s.r.Title+"." {
			continue
		}
		if i == 0 {
			s.y += 2.5
			t, step := draw.Type{Points: headlineType, Bold: true}, 7.0
			if s.r.Title != "" || len(wrap(s.measure, words, t, s.room)) > 2 {
				t.Points, step = longHeadline, 5.2
			}
			s.words(words, 0, t, step)
			continue
		}
		s.words(words, 0, draw.Type{Points: body}, line)
	}
}

// cautions writes what can hurt someone next to a black bar, before everything
// that can hurt.
func (s *sheet) cautions() {
	if len(s.r.Cautions) == 0 {
		return
	}
	const indent = 7.0
	s.y += 3
	t := draw.Type{Points: body}
	for _, c := range s.r.Cautions {
		lines := wrap(s.measure, c, t, s.room-indent)
		s.need(line * float64(len(lines)))
		s.on().Path(draw.Box(s.left, s.y, 1.2, line*float64(len(lines))), draw.Look{Fill: draw.Black})
		s.on().Text(s.left+3.5, s.y+line*0.78, "!", draw.Type{Points: body, Bold: true})
		for _, l := range lines {
			s.on().Text(s.left+indent, s.y+line*0.78, l, t)
			s.y += line
		}
	}
	s.y += 0.5
}

// codeWidth is the width of the box with the code of the plan, mm.
const codeWidth = 70.0

// code draws the code of the plan in a box at the right, its upper edge at y. It
// gives the lower edge with the room below it, or 0 where there is no code. A
// plan that must not be used is crossed out.
func (s *sheet) code(y float64) float64 {
	if s.r.Code == "" {
		return 0
	}
	const tall, inner = 28.0, codeWidth - 6
	x := s.left + s.room - codeWidth
	mid := x + codeWidth/2
	s.on().Path(draw.Box(x, y, codeWidth, tall), draw.Look{Stroke: draw.Black, Width: 0.9})
	said := draw.Type{Points: small, Anchor: draw.Middle}
	over := "plan code: the template must say the same"
	if s.r.Void != "" {
		said.Bold, over = true, "DO NOT USE"
	}
	s.on().Text(mid, y+5, draw.Cut(s.measure, over, said, inner), said)
	big := draw.Type{Points: 46, Bold: true, Anchor: draw.Middle}
	for big.Points > 12 && s.measure.Width(s.r.Code, big) > inner {
		big.Points--
	}
	s.on().Text(mid, y+21.5, plain.Clean(s.r.Code), big)
	if s.r.Void != "" {
		cross := draw.Look{Stroke: draw.Black, Width: 0.9}
		s.on().Path(draw.Stroke(x, y+tall, x+codeWidth, y), cross)
		s.on().Path(draw.Stroke(x, y, x+codeWidth, y+tall), cross)
		said.Bold = false
		s.on().Text(mid, y+tall-1.5, draw.Cut(s.measure, strings.TrimSuffix(plain.Clean(s.r.Void), "."), said, inner), said)
	}
	return y + tall + 3
}
