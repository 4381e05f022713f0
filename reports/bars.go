package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/reports/draw"
)

// Sizes of the bars, in mm. Their words are for a page and a paper alike.
const (
	barWide  = 150.0
	barHigh  = 8.0
	barWords = 9.0 // points
)

var (
	barFrame = draw.Look{Stroke: draw.Black, Width: 0.4}
	barDone  = draw.Look{Fill: draw.Brown}
	barMark  = draw.Look{Stroke: draw.Black, Width: 0.9}
	barHatch = draw.Look{Stroke: draw.Grey, Width: 0.25}
)

// hatched fills a box with lines that rise to the right, or fall.
func hatched(s draw.Surface, x, y, w, h float64, falls bool) {
	if w <= 0 {
		return
	}
	turn := 45.0
	if falls {
		turn = -45
	}
	box := draw.Box(x, y, w, h)
	s.Clip(box)
	s.Path(draw.Hatch(box, 1.6, turn), barHatch)
	s.Unclip()
}

// TimeRule is the minutes of a step that runs: a rule whose bar grows, with marks
// at the likely and the safe end.
type TimeRule struct{ Minutes, Likely, Safe float64 }

// Size implements draw.Picture.
func (r TimeRule) Size() (width, height float64) { return barWide, barHigh + 16 }

// end is the right end of the rule, a multiple of the distance of its figures.
func (r TimeRule) end() (end, step float64) {
	most := math.Max(math.Max(r.Minutes*1.1, r.Safe*1.1), 10)
	for _, step = range []float64{2, 5, 10, 20, 30, 60, 120, 240, 480} {
		if most/step <= 6 {
			break
		}
	}
	return most, step
}

// Draw implements draw.Picture.
func (r TimeRule) Draw(s draw.Surface) {
	end, step := r.end()
	at := func(min float64) float64 { return math.Min(1, math.Max(0, min/end)) * barWide }
	const top = 9.0 // its figures are twice as large on a phone
	for m := 0.0; m <= end; m += step / 5 {
		long := math.Abs(math.Mod(m+1e-9, step)) < 1e-6
		high := 1.6
		if long {
			high = 3
		}
		s.Path(draw.Stroke(at(m), top-high, at(m), top), draw.Look{Stroke: draw.Black, Width: 0.3})
		if long && at(m) < barWide-6 {
			s.Text(at(m)+0.5, top-3.6, fmt.Sprintf("%.0f", m), draw.Type{Points: barWords, Ink: draw.Grey})
		}
	}
	s.Path(draw.Box(0, top, at(r.Minutes), barHigh), barDone)
	from := math.Max(r.Minutes, r.Likely)
	hatched(s, at(from), top, at(r.Safe)-at(from), barHigh, false)
	s.Path(draw.Box(0, top, barWide, barHigh), barFrame)
	anchors := [2]int{draw.Middle, draw.Middle}
	if at(r.Safe)-at(r.Likely) < 14 {
		anchors = [2]int{draw.End, draw.Start}
	}
	for i, m := range []struct {
		min  float64
		word string
	}{{r.Likely, "likely"}, {r.Safe, "safe"}} {
		if m.min <= 0 {
			continue
		}
		s.Path(draw.Stroke(at(m.min), top-1, at(m.min), top+barHigh+1.4), barMark)
		s.Text(at(m.min), top+barHigh+5.5, m.word, draw.Type{Points: barWords, Bold: true, Anchor: anchors[i]})
	}
}

// Bar is one line: a share that is done, a share after it that is hatched, and a
// mark. The hatching of a wait falls. A mark at 0 is none.
type Bar struct {
	Done, Next, Mark float64
	Waits            bool
}

// CureBar is a cure of which a share has passed.
func CureBar(passed float64) Bar { return Bar{Done: passed, Next: 1 - passed, Waits: true} }

// Size implements draw.Picture.
func (b Bar) Size() (width, height float64) { return barWide, barHigh }

// Draw implements draw.Picture.
func (b Bar) Draw(s draw.Surface) {
	const top, high = 1.0, barHigh - 2
	at := func(share float64) float64 { return math.Min(1, math.Max(0, share)) * barWide }
	s.Path(draw.Box(0, top, at(b.Done), high), barDone)
	hatched(s, at(b.Done), top, at(b.Done+b.Next)-at(b.Done), high, b.Waits)
	s.Path(draw.Box(0, top, barWide, high), barFrame)
	if b.Mark > 0 {
		s.Path(draw.Stroke(at(b.Mark), 0, at(b.Mark), barHigh), barMark)
	}
}

// StripLine is a strip in one line, without its words.
type StripLine Strip

// Size implements draw.Picture.
func (l StripLine) Size() (width, height float64) { return barWide, barHigh * 1.4 }

// Draw implements draw.Picture.
func (l StripLine) Draw(s draw.Surface) {
	_, high := l.Size()
	all := 0.0
	for _, x := range l.Steps {
		all += weight(x)
	}
	at := 0.0
	for _, x := range l.Steps {
		w := weight(x) / all * barWide
		stepBox(s, at, 0, w, high, x.State)
		at += w
	}
	s.Path(draw.Box(0, 0, barWide, high), barFrame)
}

// NumberedStrip is a strip in one line with the numbers of its steps below it, where
// there is room for them on a phone too.
type NumberedStrip struct {
	StripLine
	Numbers []int
}

// Size implements draw.Picture.
func (n NumberedStrip) Size() (width, height float64) {
	width, height = n.StripLine.Size()
	return width, height + 8
}

// Draw implements draw.Picture.
func (n NumberedStrip) Draw(s draw.Surface) {
	n.StripLine.Draw(s)
	_, high := n.StripLine.Size()
	all := 0.0
	for _, x := range n.Steps {
		all += weight(x)
	}
	at, free := 0.0, 0.0
	t := draw.Type{Points: barWords, Ink: draw.Grey, Anchor: draw.Middle}
	for i, x := range n.Steps {
		w := weight(x) / all * barWide
		word := fmt.Sprint(n.Numbers[i])
		half := phoneWords * s.Width(word, t) / 2
		if mid := at + w/2; w > 2 && mid-half >= free && mid+half <= barWide {
			s.Text(mid, high+6.4, word, t)
			free = mid + half + 2
		}
		at += w
	}
}

// EveningRule is an evening from left to right: what was worked, now, and what is
// planned. Minutes run from its beginning.
type EveningRule struct {
	Minutes float64
	Now     float64 // below 0: not tonight
	Hours   []EveningHour
	Worked  []EveningSpan
	Planned []EveningSpan
	Cures   []EveningSpan // thin lines below it
}

// phoneWords is how much larger the words of a rule are on a phone.
const phoneWords = 2.2

// cureLines is how many cures there is room for below an evening.
const cureLines = 4

// EveningHour is a mark at a full hour.
type EveningHour struct {
	At   float64
	Text string
}

// EveningSpan is a stretch of an evening.
type EveningSpan struct {
	From, To float64
	Word     string
}

// Size implements draw.Picture.
func (e EveningRule) Size() (width, height float64) { return barWide, barHigh*0.8 + 18 }

// Draw implements draw.Picture.
func (e EveningRule) Draw(s draw.Surface) {
	at := func(min float64) float64 { return math.Min(1, math.Max(0, min/math.Max(e.Minutes, 1))) * barWide }
	const top, high = 9.0, barHigh * 0.8 // its words are twice as large on a phone
	hours := draw.Type{Points: barWords, Ink: draw.Grey}
	free := 0.0
	for _, h := range e.Hours {
		s.Path(draw.Stroke(at(h.At), top-3, at(h.At), top), draw.Look{Stroke: draw.Black, Width: 0.3})
		if room := phoneWords * s.Width(h.Text, hours); at(h.At) >= free && at(h.At)+room <= barWide {
			s.Text(at(h.At), top-3.6, h.Text, hours)
			free = at(h.At) + room + 1
		}
	}
	for _, x := range e.Worked {
		s.Path(draw.Box(at(x.From), top, at(x.To)-at(x.From), high), barDone)
	}
	free = 0
	for _, x := range e.Planned {
		s.Path(draw.Box(at(x.From), top, at(x.To)-at(x.From), high), draw.Look{Fill: draw.Tint, Stroke: draw.Black, Width: 0.5})
		t := draw.Type{Points: barWords}
		from, room := at(x.From), phoneWords*s.Width(x.Word, t)
		if from+room > barWide { // the last one ends with the rule
			from, t.Anchor = barWide, draw.End
		}
		if begin := math.Min(at(x.From), barWide-room); begin >= free {
			s.Text(from, top+high+6.4, x.Word, t)
			free = begin + room + 2
		}
	}
	s.Path(draw.Box(0, top, barWide, high), barFrame)
	for i, x := range e.Cures[:min(cureLines, len(e.Cures))] {
		y := top + high + 1.8 + 1.8*float64(i)
		s.Path(draw.Stroke(at(x.From), y, at(x.To), y), draw.Look{Stroke: draw.Black, Width: 0.5})
		if x.To < e.Minutes {
			s.Path(draw.Stroke(at(x.To), y-1.2, at(x.To), y+1.2), barMark)
		}
	}
	if e.Now >= 0 {
		s.Path(draw.Stroke(at(e.Now), top-1.5, at(e.Now), top+high+1.5), barMark)
	}
}

// Price gives an amount with its currency, Fixed without: both with the digits of
// the currency.
func Price(currency string, a money.Amount) string {
	return strings.TrimSpace(currency + " " + Fixed(currency, a))
}

// Fixed gives an amount with the digits of its currency.
func Fixed(currency string, a money.Amount) string { return a.Fixed(scaleOf(currency)) }
