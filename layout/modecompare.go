package layout

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Comparison lays the four modes side by side.
type Comparison struct {
	Modes  []ModeSum      `json:"modes"`
	Edges  []EdgeRelation `json:"edges"` // one for each row with two posts or more
	Notes  []string       `json:"notes"`
	Inches Inches         `json:"-"` // them in inches
}

// ModeSum is one mode's outcome; Error says why it has none.
type ModeSum struct {
	Mode  string   `json:"mode"`
	Code  string   `json:"code,omitempty"`
	Rows  []RowSum `json:"rows,omitempty"`
	Worst string   `json:"worst,omitempty"` // pass, tight or fail
	Fails int      `json:"fails"`
	Error string   `json:"error,omitempty"`
	plan  Plan
}

// PostOf finds the post of a string in the mode's plan.
func (m ModeSum) PostOf(str int) (Post, bool) { return m.plan.PostOf(str) }

// FailsAt is where the first failing check of the mode fails, "" where all pass.
func (m ModeSum) FailsAt() string {
	for _, f := range m.plan.Findings {
		if f.Result == Fail {
			return f.Where
		}
	}
	return ""
}

// EdgeRelation ties pitch and edge of one row. With straight pull on a straight
// edge sin(angle between edge and strings) = string spacing / pitch: one fixes
// the other.
type EdgeRelation struct {
	Side         string  `json:"side"`
	SpacingMM    float64 `json:"spacing_mm"` // mean, square to the strings
	PitchMM      float64 `json:"pitch_mm"`
	AngleDeg     float64 `json:"angle_deg"`       // of the edge that suits this pitch
	AlongMM      float64 `json:"along_string_mm"` // a post's way along the string
	Amplify      float64 `json:"amplify"`         // posts move 1/sin of what the edge is off
	LeastPitchMM float64 `json:"least_pitch_mm,omitempty"`
	SteepestDeg  float64 `json:"steepest_deg,omitempty"` // edge at the least pitch
	// The drawn edge next to this row, as a straight line, and the pitch it suits.
	DrawnDeg     *float64 `json:"drawn_deg"`
	DrawnPitchMM *float64 `json:"drawn_pitch_mm"`
	// Even is the edge that would make all even.
	Even *EvenLine `json:"even_edge"`
}

// EvenLine is the edge that would make pitch and edge distance even with every
// post on its string: a straight line, and at each post what to cut away from
// the drawn edge (positive) or leave standing (negative).
type EvenLine struct {
	TargetMM float64   `json:"target_mm"`
	X0       float64   `json:"x0_mm"`
	Y0       float64   `json:"y0_mm"`
	X1       float64   `json:"x1_mm"`
	Y1       float64   `json:"y1_mm"`
	BowMM    float64   `json:"bow_mm"` // how far the true edge leaves the straight line (equal gaps)
	Cuts     []EdgeCut `json:"cuts"`
}

// EdgeCut is wood to take off (or, below zero, missing) next to one post.
type EdgeCut struct {
	String int     `json:"string"`
	CutMM  float64 `json:"cut_mm"`
}

// EdgeAngle is the relation itself: the edge's angle to the strings in degrees
// and the way along the string per post. A pitch below the spacing gives NaN.
func EdgeAngle(spacingMM, pitchMM float64) (deg, alongMM float64) {
	return degrees(math.Asin(spacingMM / pitchMM)), math.Sqrt(pitchMM*pitchMM - spacingMM*spacingMM)
}

// Compare solves all modes. Only a spec that cannot be read at all is an error;
// a mode without a solution says why in its place.
func Compare(spec Spec) (Comparison, error) {
	spec = spec.withDefaults()
	if err := spec.Validate(); err != nil {
		return Comparison{}, err
	}
	s, err := newSolver(spec)
	if err != nil {
		return Comparison{}, err
	}
	var c Comparison
	for _, mode := range modes() {
		m := ModeSum{Mode: mode.name}
		p, err := s.plan(mode)
		var none *InfeasibleError
		var bad *SpecError
		switch {
		case err == nil:
			m.plan, m.Code, m.Rows, m.Worst = p, p.Code, p.Rows, p.Worst()
			for _, f := range p.Findings {
				if f.Result == Fail {
					m.Fails++
				}
			}
		case errors.As(err, &none), errors.As(err, &bad):
			m.Error = err.Error()
		default:
			return Comparison{}, err
		}
		c.Modes = append(c.Modes, m)
	}
	for _, r := range s.rows {
		if len(r.Tracks) > 1 {
			c.Edges = append(c.Edges, s.relation(r))
		}
	}
	c.Inches = Inches{}
	c.Notes = c.Inches.keep(s.assumed()...)
	return c, nil
}

func (s *solver) relation(r row) EdgeRelation {
	n := len(r.Tracks)
	spacing := 0.0
	for i := 1; i < n; i++ {
		a, b := r.Tracks[i-1], r.Tracks[i]
		spacing += math.Abs(b.at(r.FirstMM).X-a.at(r.FirstMM).X) / b.stretch
	}
	spacing /= float64(n - 1)
	e := EdgeRelation{Side: r.Side, SpacingMM: micro(spacing), PitchMM: r.PitchMM}
	if spacing >= r.PitchMM {
		return e
	}
	deg, along := EdgeAngle(spacing, r.PitchMM)
	e.AngleDeg, e.AlongMM = micro(deg), micro(along)
	if spacing > 0 {
		e.Amplify = micro(r.PitchMM / spacing)
	}
	if least := s.spec.Edge.PitchMinMM; least > spacing {
		d, _ := EdgeAngle(spacing, least)
		e.LeastPitchMM, e.SteepestDeg = least, micro(d)
	}
	if s.outline == nil {
		return e
	}
	p, err := s.evenPitch(r)
	if err != nil {
		return e
	}
	// The drawn edge next to the row: a line through the feet of the posts.
	var feet []r2.Vec
	for _, at := range p.at {
		_, f, _ := s.outline.foot(at)
		feet = append(feet, f)
	}
	if dir, ok := fitLine(feet); ok {
		str := r2.Unit(r2.Vec{X: r.Tracks[0].slope, Y: 1})
		sin := math.Abs(r2.Cross(dir, str))
		e.DrawnDeg = ptr(micro(degrees(math.Asin(math.Min(1, sin)))))
		if sin > 0.01 {
			e.DrawnPitchMM = ptr(micro(spacing / sin))
		}
	}
	e.Even = s.evenLine(r, p.at)
	return e
}

// evenLine offsets the even-pitch posts outward by the edge distance aimed at.
func (s *solver) evenLine(r row, posts []r2.Vec) *EvenLine {
	w := s.weights(r)
	dir, ok := fitLine(posts)
	if !ok {
		return nil
	}
	out := r2.Scale(w.e*sideSign(r.Side), r2.Vec{X: dir.Y, Y: -dir.X})
	mid := r2.Vec{}
	for _, p := range posts {
		mid = r2.Add(mid, r2.Scale(1/float64(len(posts)), p))
	}
	l := &EvenLine{TargetMM: micro(w.e)}
	along := func(p r2.Vec) float64 { return r2.Dot(r2.Sub(p, mid), dir) }
	a := r2.Add(r2.Add(mid, r2.Scale(along(posts[0]), dir)), out)
	b := r2.Add(r2.Add(mid, r2.Scale(along(posts[len(posts)-1]), dir)), out)
	l.X0, l.Y0, l.X1, l.Y1 = micro(a.X), micro(a.Y), micro(b.X), micro(b.Y)
	for i, p := range posts {
		l.BowMM = math.Max(l.BowMM, math.Abs(r2.Cross(r2.Sub(p, mid), dir)))
		l.Cuts = append(l.Cuts, EdgeCut{String: r.Tracks[i].String, CutMM: micro(s.outline.signed(p) - w.e)})
	}
	l.BowMM = micro(l.BowMM)
	return l
}

// fitLine is the direction (towards the tip) of the line with the least sum of
// squared distances; ok is false for a single place.
func fitLine(p []r2.Vec) (r2.Vec, bool) {
	var m r2.Vec
	for _, v := range p {
		m = r2.Add(m, r2.Scale(1/float64(len(p)), v))
	}
	var xx, xy, yy float64
	for _, v := range p {
		d := r2.Sub(v, m)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	if xx+yy < 1e-12 {
		return r2.Vec{}, false
	}
	a := math.Atan2(2*xy, xx-yy) / 2
	dir := r2.Vec{X: math.Cos(a), Y: math.Sin(a)}
	if dir.Y < 0 {
		dir = r2.Scale(-1, dir)
	}
	return dir, true
}
