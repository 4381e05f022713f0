package paper

import (
	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// The grid of a report in mm, and its type in points. Nothing is smaller than
// small.
const (
	topMargin    = 13.0
	bottomMargin = 13.0
	footRoom     = 8.0 // rule and words of the foot
	uprightRoom  = 175.0
	holesMargin  = 20.0 // left of an upright A4: room for punched holes
	acrossMargin = 15.0

	body  = 10.0
	small = 9.0
	line  = 4.5 // from base line to base line of body
	less  = 4.1 // the same of small
)

// sheet sets a report page by page. Pages are kept until all are set, so that
// each can say how many there are.
type sheet struct {
	r             reports.Report
	measure       draw.Surface
	width, height float64 // of the page
	left, room    float64 // of what is written
	pages         []*page
	y             float64 // upper edge of what comes next
}

func newSheet(measure draw.Surface, r reports.Report) *sheet {
	s := &sheet{r: r, measure: measure}
	w, h, ok := Size(r.Paper)
	if !ok {
		w, h, _ = Size(reports.A4)
	}
	s.width, s.height, s.room, s.left = w, h, uprightRoom, holesMargin
	if extra := w - uprightRoom - holesMargin - acrossMargin; extra > 0 {
		s.left += extra / 3
	}
	if s.landscape() {
		s.width, s.height, s.left, s.room = h, w, acrossMargin, h-2*acrossMargin
	}
	s.turn()
	return s
}

// page is a page in the making: a surface that keeps what is drawn on it.
type page struct {
	draw.Surface // measures
	ops          []func(draw.Surface)
}

func (p *page) add(op func(draw.Surface)) { p.ops = append(p.ops, op) }

func (p *page) Page(_, _ float64) {}

func (p *page) Path(path *draw.Path, look draw.Look) {
	p.add(func(s draw.Surface) { s.Path(path, look) })
}

func (p *page) Text(x, y float64, words string, t draw.Type) {
	p.add(func(s draw.Surface) { s.Text(x, y, words, t) })
}

func (p *page) Image(x, y, width, height float64, file string) bool {
	p.add(func(s draw.Surface) { s.Image(x, y, width, height, file) })
	return true
}

func (p *page) Clip(path *draw.Path) { p.add(func(s draw.Surface) { s.Clip(path) }) }

func (p *page) Unclip() { p.add(func(s draw.Surface) { s.Unclip() }) }

// on is the page that is being set.
func (s *sheet) on() *page { return s.pages[len(s.pages)-1] }

// floor is the lower edge of what may be written.
func (s *sheet) floor() float64 { return s.height - bottomMargin - footRoom }

// left of the page in mm.
func (s *sheet) rest() float64 { return s.floor() - s.y }

// whole is the height that a page has for what is written on it.
func (s *sheet) whole() float64 { return s.floor() - topMargin - 8 }

// turn begins a page. From the second on it repeats what the paper is.
func (s *sheet) turn() {
	s.pages = append(s.pages, &page{Surface: s.measure})
	s.y = topMargin
	if len(s.pages) == 1 {
		return
	}
	grey := draw.Type{Points: body, Ink: draw.Grey}
	words := s.paperName()
	if s.r.Shop != "" {
		words = s.r.Shop + " | " + words
	}
	s.on().Text(s.left, s.y+3.5, draw.Cut(s.measure, plain.Clean(words), grey, s.room), grey)
	s.rule(s.y+5.2, draw.Rule, 0.2)
	s.y += 8
}

// need turns the page when less than h mm are left of it.
func (s *sheet) need(h float64) {
	if s.rest() < h && s.y > topMargin+8 {
		s.turn()
	}
}

func (s *sheet) rule(y float64, ink draw.Ink, width float64) {
	s.on().Path(draw.Stroke(s.left, y, s.left+s.room, y), draw.Look{Stroke: ink, Width: width})
}

// words writes text over as many lines as it takes, x mm from the left edge and
// step mm apart. The first two lines stay together.
func (s *sheet) words(text string, x float64, t draw.Type, step float64) {
	lines := wrap(s.measure, text, t, s.room-x)
	for i, l := range lines {
		if i == 0 {
			s.need(step * float64(min(2, len(lines))))
		}
		s.need(step)
		s.on().Text(s.left+x, s.y+step*0.78, l, t)
		s.y += step
	}
}

// gap leaves room, but not at the head of a page.
func (s *sheet) gap(h float64) {
	if s.y > topMargin+8.01 {
		s.y += h
	}
}

// heading writes a heading that stays with the h mm below it.
func (s *sheet) heading(words string, h float64) {
	s.gap(5)
	t := draw.Type{Points: body, Bold: true, Ink: draw.Brown}
	s.need(line*float64(len(wrap(s.measure, words, t, s.room))) + h)
	s.words(words, 0, t, line)
	s.y += 0.6
}
