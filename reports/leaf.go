package reports

import (
	"fmt"
	"strings"

	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// Leaf is one page that is laid out by hand, such as a card that hangs on a neck.
// Width and Height are in mm.
type Leaf struct {
	Width, Height float64
	Draw          func(draw.Surface)
}

// Sizes of pages in mm: ISO 216, and Letter (ANSI A) with its half.
func leafSize(p Paper, half, lying bool) (w, h float64) {
	switch {
	case p == Letter && half:
		w, h = 139.7, 215.9
	case p == Letter:
		w, h = 215.9, 279.4
	case half:
		w, h = 148, 210
	default:
		w, h = 210, 297
	}
	if lying {
		w, h = h, w
	}
	return w, h
}

// sheet says what paper a report is laid out on by hand, and what its foot calls it.
type sheet struct {
	what        string // such as "job card N15"
	half, lying bool
	left, right float64 // margins, mm
	undated     bool    // what says its own date in the foot
	bare        bool    // without a foot
}

// letterSheet is a page that is filed: its left margin is punched.
func letterSheet(what string) sheet { return sheet{what: what, left: 20, right: 15} }

// leaves lays pages out: draw is given a pen on each page in turn until it says that
// nothing is left. The foot of each page says whose it is, what it is, of when, and
// which of how many.
func (r *Report) leaves(x sheet, draw1 func(p *pen, page int) (more bool)) {
	shop, paper, foot := r.Shop, r.Paper, x.what
	if !x.undated {
		foot += ", " + r.Made.In(r.Location()).Format("2 Jan 2006")
	}
	r.Leaves = func(measure draw.Surface) (all []Leaf) {
		w, h := leafSize(paper, x.half, x.lying)
		on := func(s draw.Surface) *pen { return &pen{s: s, left: x.left, room: w - x.left - x.right, height: h} }
		count := 1
		for draw1(on(unseen{measure}), count-1) && count < 200 {
			count++
		}
		for n := range count {
			all = append(all, Leaf{w, h, func(s draw.Surface) {
				p := on(s)
				draw1(p, n)
				if x.bare {
					return
				}
				p.foot(shop, foot, fmt.Sprintf("page %d of %d", n+1, count))
			}})
		}
		return all
	}
}

// unseen measures words and draws nothing: it counts pages.
type unseen struct{ draw.Surface }

func (unseen) Page(_, _ float64)                        {}
func (unseen) Path(*draw.Path, draw.Look)               {}
func (unseen) Text(_, _ float64, _ string, _ draw.Type) {}
func (unseen) Clip(*draw.Path)                          {}
func (unseen) Unclip()                                  {}
func (unseen) Image(_, _, _, _ float64, _ string) bool  { return true }

// block is a part of a page that stays whole, with its height in mm.
type block struct {
	high   float64
	draw   func(p *pen, y float64)
	gap    float64  // white above it, but not at the top of a page
	bottom bool     // at the foot of the page where that leaves more white above
	below  *float64 // begins there or lower, on the first page; may be nil
}

// space is white between blocks.
func space(mm float64) block { return block{high: 0.001, gap: mm, draw: func(*pen, float64) {}} }

// flow lays blocks one below the other on as many pages as they take. head draws the
// top of a page and gives the y below it.
func (r *Report) flow(x sheet, head func(p *pen, page int) float64, blocks func(p *pen) []block) {
	r.leaves(x, func(p *pen, page int) bool {
		rest := blocks(p)
		for n := 0; ; n++ {
			on := *p
			if n < page {
				on.s = unseen{p.s}
			}
			if rest = on.fill(head(&on, n), rest); n == page {
				return len(rest) > 0
			}
		}
	})
}

// fill draws what fits from y down, one block at least, and gives the rest.
func (p *pen) fill(y float64, rest []block) []block {
	for first := true; len(rest) > 0; first = false {
		b := rest[0]
		top := y
		if !first {
			top += b.gap
		}
		if b.below != nil {
			top = max(top, *b.below)
		}
		if top+b.high > p.floor() && !first {
			return rest
		}
		if b.bottom {
			top = max(top, p.floor()-b.high)
		}
		b.draw(p, top)
		y, rest = top+b.high, rest[1:]
	}
	return nil
}

// pen writes on a page within its margins. x counts from the left margin.
type pen struct {
	s          draw.Surface
	left, room float64
	height     float64
}

// footMM is what the foot of a page takes with its margin.
const footMM = 20.0

func (p *pen) floor() float64 { return p.height - footMM }

func (p *pen) text(x, y float64, words string, t draw.Type) {
	p.s.Text(p.left+x, y, plain.Clean(words), t)
}

// fit writes words that end with an ellipsis where they are too wide.
func (p *pen) fit(x, y, width float64, words string, t draw.Type) {
	p.s.Text(p.left+x, y, draw.Cut(p.s, plain.Clean(words), t, width), t)
}

// big writes words in the largest of the sizes that fits, else cut in the last.
func (p *pen) big(x, y, width float64, words string, bold bool, points ...float64) {
	t := draw.Type{Bold: bold}
	for _, t.Points = range points {
		if p.s.Width(words, t) <= width {
			break
		}
	}
	p.fit(x, y, width, words, t)
}

func (p *pen) rule(y float64, ink draw.Ink, width float64) { p.line(0, y, p.room, y, ink, width) }

func (p *pen) line(x0, y0, x1, y1 float64, ink draw.Ink, width float64) {
	p.s.Path(draw.Stroke(p.left+x0, y0, p.left+x1, y1), draw.Look{Stroke: ink, Width: width})
}

func (p *pen) box(x, y, w, h float64, look draw.Look) { p.s.Path(draw.Box(p.left+x, y, w, h), look) }

// tick is a box to cross; a done one is crossed.
func (p *pen) tick(x, y, side float64, done bool) {
	p.box(x, y, side, side, draw.Look{Stroke: draw.Black, Width: 0.35})
	if done {
		p.line(x+0.2*side, y+0.2*side, x+0.8*side, y+0.8*side, draw.Black, 0.4)
		p.line(x+0.8*side, y+0.2*side, x+0.2*side, y+0.8*side, draw.Black, 0.4)
	}
}

// code draws a QR code of a word with its quiet zone, and nothing where the word is
// too long for the room.
func (p *pen) code(x, y, room, module float64, word string) {
	c, err := draw.NewCode(word, module)
	if err != nil {
		return
	}
	w, _ := c.Size()
	if w > room {
		c.ModuleMM *= room / w
	}
	if c.ModuleMM >= leastModuleMM {
		c.Draw(draw.Moved(p.s, p.left+x, y))
	}
}

// leastModuleMM is what a phone still reads from a print of 300 dots an inch (common
// practice, no source).
const leastModuleMM = 0.5

// codeWord is what a code says: the word alone, which a scanner types at the prompt,
// or the page's address of it where the shop has one. Capitals make a smaller code.
func codeWord(page, kind, word string) string {
	if page == "" {
		return word
	}
	return strings.ToUpper("http://" + page + "/" + kind + "/" + word)
}

func (p *pen) foot(shop, what, page string) {
	y := p.height - 12.5
	p.rule(y-4.2, draw.Rule, 0.2)
	grey := draw.Type{Points: 9, Ink: draw.Grey}
	most := p.room * 0.36
	from, to := min(p.s.Width(shop, grey), most)+4, p.room-p.s.Width(page, grey)-4
	p.fit(0, y, most, shop, grey)
	grey.Anchor = draw.End
	p.text(p.room, y, page, grey)
	what = draw.Cut(p.s, plain.Clean(what), grey, to-from)
	half := p.s.Width(what, grey) / 2
	grey.Anchor = draw.Middle
	p.text(min(max(p.room/2, from+half), to-half), y, what, grey)
}

// warn writes lines next to a black bar and gives the y below them.
func (p *pen) warn(y float64, lines []string) float64 {
	if len(lines) == 0 {
		return y
	}
	top, t := y, draw.Type{Points: 9}
	for _, l := range lines {
		parts := draw.Lines(p.s, plain.Clean(l), t, p.room-7)
		if len(parts) > 2 {
			parts = []string{parts[0], draw.Cut(p.s, strings.Join(parts[1:], " "), t, p.room-7)}
		}
		for i, part := range parts {
			if i == 0 {
				p.text(3, y+3.4, "!", draw.Type{Points: 9, Bold: true})
			}
			p.text(6, y+3.4, part, t)
			y += 4.1
		}
	}
	p.box(0, top, 1.2, y-top, draw.Look{Fill: draw.Black})
	return y
}
