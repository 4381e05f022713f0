package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports/draw"
)

// Sizes of a post's track: units of the picture for each mm of the head, and
// columns. They are not mm of paper.
const (
	trackUnit  = 10.0
	trackLeft  = 15.0 // of the rule
	trackWide  = 9.0
	trackAll   = 58.0
	trackWords = 13.0 // points
	trackApart = 6.0  // least distance of two names
)

// TrackRule is the stretch of a string along which its post may be pushed: a rule
// with what is free hatched, and a ring where each mode has the post. The tip is
// up. The place of the post itself is left to what moves on the rule.
type TrackRule workshop.PostTrack

// TrackShares are the left end and the width of the rule in the picture, as
// shares of its width.
func TrackShares() (from, width float64) { return trackLeft / trackAll, trackWide / trackAll }

// Size implements draw.Picture.
func (r TrackRule) Size() (width, height float64) {
	return trackAll, (r.ToMM - r.FromMM) * trackUnit
}

// Draw implements draw.Picture.
func (r TrackRule) Draw(s draw.Surface) {
	_, high := r.Size()
	at := func(mm float64) float64 { return (r.ToMM - mm) * trackUnit }
	for _, f := range r.Free {
		hatched(s, trackLeft, at(f.ToMM), trackWide, at(f.FromMM)-at(f.ToMM), false)
	}
	for mm := math.Ceil(2*r.FromMM) / 2; mm <= r.ToMM; mm += 0.5 {
		long := 1.5
		if mm == math.Trunc(mm) {
			long = 3
			if y := at(mm); y > 3 && y < high-1 {
				s.Text(trackLeft-4, y+1.6, fmt.Sprintf("%.0f", mm), draw.Type{Points: trackWords, Anchor: draw.End})
			}
		}
		s.Path(draw.Stroke(trackLeft-long, at(mm), trackLeft, at(mm)), draw.Look{Stroke: draw.Black, Width: 0.3})
	}
	s.Path(draw.Box(trackLeft, 0, trackWide, high), barFrame)
	least := 3.0
	for _, g := range r.ghosts() {
		y := at(g.mm)
		if y < 0 || y > high {
			continue
		}
		const x = trackLeft + trackWide/2
		s.Path(draw.Ellipse(x, y, 3, 3), draw.Look{Stroke: draw.Black, Width: 0.5, Dash: []float64{0.6, 0.9}})
		line := math.Min(math.Max(y, least), high-2)
		least = line + trackApart
		s.Path(draw.Stroke(trackLeft+trackWide, y, trackLeft+trackWide+3, line), draw.Look{Stroke: draw.Grey, Width: 0.3, Dash: []float64{0.6, 0.9}})
		s.Text(trackLeft+trackWide+4, line+1.6, draw.Cut(s, g.words, draw.Type{Points: trackWords}, trackAll-trackLeft-trackWide-4), draw.Type{Points: trackWords})
		if g.fails {
			s.Text(trackLeft+trackWide+4, line+trackApart+0.6, "fails", draw.Type{Points: trackWords, Bold: true})
			least += trackApart
		}
	}
}

// ghost is a place where modes have the post, and their names.
type ghost struct {
	mm    float64
	words string
	fails bool
}

// ghosts gives the places of the modes from the tip down. One place of all modes
// gets one name.
func (r TrackRule) ghosts() (out []ghost) {
	same := len(r.Ghosts) > 1
	for _, g := range r.Ghosts {
		same = same && math.Abs(g.YMM-r.Ghosts[0].YMM) < 0.05 && g.Worst == r.Ghosts[0].Worst
		out = append(out, ghost{g.YMM, strings.ReplaceAll(g.Mode, "-", " "), g.Worst == layout.Fail})
	}
	if same {
		out = out[:1]
		out[0].words = "all modes"
	}
	slices.SortStableFunc(out, func(a, b ghost) int { return cmp.Compare(b.mm, a.mm) })
	return out
}

// Gauge is a figure on a rule between two ends, with what is allowed hatched.
type Gauge struct {
	Value    float64
	Low, Top float64 // what is allowed; Top 0 is no upper limit
	From, To float64 // of the rule
}

// Size implements draw.Picture.
func (g Gauge) Size() (width, height float64) { return 80, 6 }

// Draw implements draw.Picture.
func (g Gauge) Draw(s draw.Surface) {
	w, h := g.Size()
	at := func(v float64) float64 { return math.Min(1, math.Max(0, (v-g.From)/(g.To-g.From))) * w }
	top := g.To
	if g.Top > 0 {
		top = g.Top
	}
	hatched(s, at(g.Low), 1, at(top)-at(g.Low), h-2, false)
	s.Path(draw.Box(0, 1, w, h-2), barFrame)
	s.Path(draw.Stroke(at(g.Value), 0, at(g.Value), h), draw.Look{Stroke: draw.Black, Width: 1.4})
}

// Type of a measured head, in points and mm.
const (
	headWords  = 11.0
	pitchRoom  = 17.0
	edgeRoom   = 13.0
	headMargin = 3.0
)

// MeasuredHead is a headstock with each row's pitches next to it, each post's
// distance to the edge, and one post stressed.
type MeasuredHead struct {
	Headstock
	String int  // the stressed post
	Bare   bool // no measures: for a small screen
}

// MeasuredHeads are the drawings of a plan with measures, in a room of 112 x 150 mm,
// and without, in one of 46 x 96 mm. Nil where the plan cannot be drawn.
func MeasuredHeads(p layout.Plan, str int) (full, small draw.Picture) {
	k, err := layout.NewSketch(p)
	if err != nil {
		return nil, nil
	}
	return measuredHead(p, k, str, false, 112, 150), measuredHead(p, k, str, true, 46, 96)
}

func measuredHead(p layout.Plan, k layout.Sketch, str int, bare bool, width, height float64) MeasuredHead {
	h := MeasuredHead{Headstock: Headstock{Plan: p, Sketch: k}, String: str, Bare: bare}
	left, right := h.room()
	h.WidthMM, h.HeightMM = width-left-right, height-2*headMargin
	return h
}

// sidesOf says which sides have posts.
func (h MeasuredHead) sidesOf() (bass, treble bool) {
	for _, p := range h.Plan.Posts {
		bass, treble = bass || p.Side == layout.Bass, treble || p.Side == layout.Treble
	}
	return bass, treble
}

// room is what the measures need at the left and at the right, in mm.
func (h MeasuredHead) room() (left, right float64) {
	if h.Bare {
		return 3, 7
	}
	bass, treble := h.sidesOf()
	switch {
	case bass && treble:
		return pitchRoom + edgeRoom, pitchRoom + edgeRoom
	case bass:
		return pitchRoom, edgeRoom
	}
	return edgeRoom, pitchRoom
}

// Size implements draw.Picture.
func (h MeasuredHead) Size() (width, height float64) {
	w, t := h.Headstock.Size()
	left, right := h.room()
	return w + left + right, t + 2*headMargin
}

// Draw implements draw.Picture.
func (h MeasuredHead) Draw(s draw.Surface) {
	left, _ := h.room()
	h.Headstock.Draw(draw.Moved(s, left, headMargin))
	w, _ := h.Size()
	div := h.Divisor()
	place := func(p layout.Post) draw.Point {
		c := h.Place(layout.Point{X: p.XMM, Y: p.YMM})
		return draw.Point{X: c.X + left, Y: c.Y + headMargin}
	}
	bass, treble := h.sidesOf()
	before := map[string]draw.Point{}
	last := map[string]int{}
	for _, p := range h.Plan.Posts {
		c := place(p)
		flange := h.Sketch.FlangeMM / 2 / div
		own := p.String == h.String
		number := draw.Type{Points: headWords, Bold: own}
		if h.Bare {
			number.Points = 12
		}
		dx := flange + 0.8
		if p.Side == layout.Bass {
			s.Text(c.X+dx, c.Y-flange*0.4, fmt.Sprint(p.String), number)
		} else {
			number.Anchor = draw.End
			s.Text(c.X-dx, c.Y-flange*0.4, fmt.Sprint(p.String), number)
		}
		if own {
			s.Path(draw.Ellipse(c.X, c.Y, flange+1, flange+1), draw.Look{Stroke: draw.Black, Width: 0.9})
		}
		if h.Bare {
			continue
		}
		t := draw.Type{Points: headWords, Bold: own}
		sign, edgeX := -1.0, w
		x := left - 4.0
		if p.Side == layout.Treble {
			sign, edgeX, x = 1, 0, w-(left-4.0)
			if !bass {
				x = w - pitchRoom + 4
			}
		}
		if bass && treble {
			edgeX = w - edgeX
		}
		if p.EdgeMM != nil {
			t.Anchor = draw.Start
			to := edgeX + 9
			if edgeX > 0 {
				t.Anchor, to = draw.End, edgeX-9
			}
			s.Path(draw.Stroke(c.X-math.Copysign(flange, c.X-to), c.Y, to, c.Y), draw.Look{Stroke: draw.Rule, Width: 0.15})
			s.Text(edgeX, c.Y+1.3, fmt.Sprintf("%.1f", *p.EdgeMM), t)
		}
		if b, ok := before[p.Side]; ok && p.PitchMM != nil {
			t := draw.Type{Points: headWords, Anchor: draw.End, Bold: own || last[p.Side] == h.String}
			if sign > 0 {
				t.Anchor = draw.Start
			}
			s.Path(draw.Stroke(x, b.Y-0.8, x, c.Y+0.8), draw.Look{Stroke: draw.Grey, Width: 0.25})
			for _, y := range []float64{b.Y, c.Y} {
				s.Path(draw.Stroke(x-1, y, x+1, y), draw.Look{Stroke: draw.Grey, Width: 0.25})
			}
			s.Text(x+sign*1.5, (b.Y+c.Y)/2+1.3, fmt.Sprintf("%.1f", *p.PitchMM), t)
		}
		before[p.Side], last[p.Side] = c, p.String
	}
}
