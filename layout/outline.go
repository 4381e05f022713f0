package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Outline is the edge of the headstock face, ready to be measured against.
type Outline struct {
	segs   []segment
	chunks []chunk
	groups []group
	ring   []r2.Vec // flattened, for inside; empty when open
	bands  ringBands
	closed bool
	maxY   float64
	// Ignored counts further shapes in the drawing that are not the outline.
	Ignored int
}

// chunk is a stretch of a segment with its chord and how far the curve may
// leave it: |C”| h^2 / 8, so chord distance - dev is a sure lower bound.
type chunk struct {
	seg    int
	t0, t1 float64
	a, d   r2.Vec  // chord: from a over d
	inv    float64 // 1/|d|^2, 0 for a point
	dev    float64 // +Inf: look exactly at once
}

// group bounds a run of chunks by a circle.
type group struct {
	from, to int
	c        r2.Vec
	r        float64
}

const groupSize = 12

// EdgePoint is the place of the outline nearest to a point.
type EdgePoint struct {
	MM   float64 `json:"mm"` // negative when the point is outside the head
	X    float64 `json:"x_mm"`
	Y    float64 `json:"y_mm"`
	Part string  `json:"part"` // such as "bass side, straight" or "tip, curve"
}

const chunkDevMM = 0.01

// newOutline makes an outline of connected segments.
func newOutline(segs []segment, closed bool) (*Outline, *SpecError) {
	if len(segs) == 0 {
		return nil, specErr("outline", nil, "the outline is empty")
	}
	o := &Outline{segs: segs, maxY: math.Inf(-1)}
	first, last := segs[0].at(0), segs[len(segs)-1].at(1)
	gap := r2.Norm(r2.Sub(first, last))
	// An outline drawn open across the fretboard end closes there.
	o.closed = closed || gap < 1e-6 || first.Y < 1 && last.Y < 1 && first.X*last.X < 0
	if o.closed && gap >= 1e-6 {
		o.segs = append(o.segs, lineSeg(last, first))
	}
	edges := 0
	for i := range o.segs {
		s := &o.segs[i]
		if s.Kind == segLine && acrossEnd(s.P[0], s.P[1]) {
			s.Edge = false
		}
		if s.Edge {
			edges++
		}
		o.addChunks(i)
	}
	if edges == 0 {
		return nil, specErr("outline", nil, "the outline has no edge besides the fretboard end")
	}
	if len(o.chunks) > 20000 {
		return nil, specErr("outline", nil, "the outline is too finely drawn (over 20000 pieces)")
	}
	if o.maxY <= 0 {
		return nil, specErr("outline", nil, "it is wholly on the neck's side of the fretboard end; y grows to the tip (outline.tip = \"up\" turns a file over)")
	}
	if o.maxY > maxTipMM {
		return nil, specErr("outline", o.maxY, "its tip is within %g mm of the fretboard end; check the drawing's units", maxTipMM)
	}
	if err := o.sound(); err != nil {
		return nil, err
	}
	o.group()
	o.bands = bandsOf(o.ring)
	return o, nil
}

// acrossEnd: a line that closes the outline across the fretboard end is not an
// edge of the head.
func acrossEnd(a, b r2.Vec) bool {
	return a.Y <= 1 && b.Y <= 1 && a.X*b.X <= 0 && math.Abs(a.Y-b.Y) <= 0.2*math.Abs(a.X-b.X) && a != b
}

func (o *Outline) addChunks(i int) {
	s := o.segs[i]
	n := 1
	bend := s.greatestBend()
	if s.Kind != segLine {
		n = int(math.Min(256, math.Max(2, math.Ceil(math.Sqrt(bend/(8*chunkDevMM))))))
	}
	h := 1 / float64(n)
	for k := range n {
		c := chunk{seg: i, t0: float64(k) * h, t1: float64(k+1) * h, dev: bend * h * h / 8}
		a, b := s.at(c.t0), s.at(c.t1)
		o.maxY = math.Max(o.maxY, math.Max(a.Y, b.Y))
		if o.closed {
			o.ring = append(o.ring, a)
		}
		if !s.Edge || s.Kind == segArc && k > 0 {
			continue // one exact look at an arc is enough
		}
		if s.Kind == segArc {
			c.t1, b, c.dev = 1, s.at(1), math.Inf(1)
		}
		c.a, c.d = a, r2.Sub(b, a)
		if l := r2.Norm2(c.d); l > 0 {
			c.inv = 1 / l
		}
		o.chunks = append(o.chunks, c)
	}
}

// group bounds runs of chunks; an exact chunk is a group with no bound.
func (o *Outline) group() {
	for i := 0; i < len(o.chunks); {
		j := i + 1
		if math.IsInf(o.chunks[i].dev, 1) {
			o.groups = append(o.groups, group{from: i, to: j, c: o.chunks[i].a, r: math.Inf(1)})
			i = j
			continue
		}
		for j < len(o.chunks) && j-i < groupSize && !math.IsInf(o.chunks[j].dev, 1) {
			j++
		}
		g := group{from: i, to: j}
		for _, c := range o.chunks[i:j] {
			g.c = r2.Add(g.c, r2.Scale(1/float64(j-i), r2.Add(c.a, r2.Scale(0.5, c.d))))
		}
		for _, c := range o.chunks[i:j] {
			far := math.Max(r2.Norm(r2.Sub(c.a, g.c)), r2.Norm(r2.Sub(r2.Add(c.a, c.d), g.c)))
			g.r = math.Max(g.r, far+c.dev)
		}
		o.groups = append(o.groups, g)
		i = j
	}
}

// TipMM is the greatest y of the outline.
func (o *Outline) TipMM() float64 { return o.maxY }

// Inside says whether p is within the head; an open outline holds everything.
func (o *Outline) Inside(p r2.Vec) bool {
	return !o.closed || o.bands.inside(o.ring, p)
}

// Distance is the shortest distance from p to the edge, and to which part. The
// line across the fretboard end does not count as edge.
func (o *Outline) Distance(p r2.Vec) EdgePoint {
	d, foot, seg := o.foot(p)
	inside := o.Inside(p)
	if !inside {
		d = -d
	}
	out := r2.Sub(foot, p)
	if !inside {
		out = r2.Scale(-1, out)
	}
	return EdgePoint{MM: d, X: foot.X, Y: foot.Y, Part: part(out, o.segs[seg].Kind)}
}

// signed is the distance alone, negative outside.
func (o *Outline) signed(p r2.Vec) float64 {
	d, _, _ := o.foot(p)
	if !o.Inside(p) {
		return -d
	}
	return d
}

// part names the stretch of edge by the way it faces: the tip faces y more
// than x, sides the other way; "shoulder" faces back to the neck.
func part(out r2.Vec, k segKind) string {
	kind := "curve"
	if k == segLine {
		kind = "straight"
	}
	switch {
	case math.Abs(out.Y) > math.Abs(out.X) && out.Y > 0:
		return "tip, " + kind
	case math.Abs(out.Y) > math.Abs(out.X):
		return "shoulder, " + kind
	case out.X < 0:
		return "bass side, " + kind
	}
	return "treble side, " + kind
}

// foot finds the nearest edge point: circles bound runs of chunks, chords bound
// each chunk, and only those that can win are looked at closely.
func (o *Outline) foot(p r2.Vec) (dist float64, foot r2.Vec, seg int) {
	best := nearestSoFar{d: math.Inf(1), upper: math.Inf(1)}
	first, low := 0, math.Inf(1)
	for i := range o.groups {
		g := &o.groups[i]
		if d := math.Hypot(p.X-g.c.X, p.Y-g.c.Y) - g.r; d < low {
			first, low = i, d
		}
	}
	o.scan(&best, &o.groups[first], p)
	for i := range o.groups {
		g := &o.groups[i]
		if i == first {
			continue
		}
		x, y := p.X-g.c.X, p.Y-g.c.Y
		if reach := best.d + g.r; x*x+y*y < reach*reach {
			o.scan(&best, g, p)
		}
	}
	return best.d, best.foot, best.seg
}

type nearestSoFar struct {
	d, upper float64
	foot     r2.Vec
	seg      int
}

func (o *Outline) scan(best *nearestSoFar, g *group, p r2.Vec) {
	var lower [groupSize]float64
	for i := g.from; i < g.to; i++ {
		c := &o.chunks[i]
		if math.IsInf(c.dev, 1) {
			continue
		}
		x, y := p.X-c.a.X, p.Y-c.a.Y
		t := (x*c.d.X + y*c.d.Y) * c.inv
		t = min(max(t, 0), 1)
		x, y = x-t*c.d.X, y-t*c.d.Y
		d := math.Sqrt(x*x + y*y)
		lower[i-g.from] = d - c.dev
		best.upper = min(best.upper, d+c.dev)
	}
	for i := g.from; i < g.to; i++ {
		if l := lower[i-g.from]; l > best.upper || l >= best.d {
			continue
		}
		c := &o.chunks[i]
		s := &o.segs[c.seg]
		var q r2.Vec
		switch s.Kind {
		case segLine:
			q = footOnLine(p, c.a, r2.Add(c.a, c.d))
		case segArc:
			q = s.footOnArc(p)
		default:
			guess := min(max(r2.Dot(r2.Sub(p, c.a), c.d)*c.inv, 0.01), 0.99)
			q = s.footOnChunk(p, c.t0, c.t1, c.t0+(c.t1-c.t0)*guess)
		}
		if d := math.Hypot(p.X-q.X, p.Y-q.Y); d < best.d {
			best.d, best.foot, best.seg = d, q, c.seg
			best.upper = min(best.upper, d)
		}
	}
}

// Ring is the outline as a polygon true to a hundredth of a millimetre, for
// pictures; open outlines give their points in order.
func (o *Outline) Ring() [][2]float64 {
	var pts [][2]float64
	for _, s := range o.segs {
		n := 1
		if s.Kind != segLine {
			n = int(math.Min(256, math.Max(2, math.Ceil(math.Sqrt(s.greatestBend()/(8*chunkDevMM))))))
		}
		for k := range n {
			p := s.at(float64(k) / float64(n))
			pts = append(pts, [2]float64{p.X, p.Y})
		}
	}
	end := o.segs[len(o.segs)-1].at(1)
	return append(pts, [2]float64{end.X, end.Y})
}

// Closed says whether the outline runs all the way round.
func (o *Outline) Closed() bool { return o.closed }
