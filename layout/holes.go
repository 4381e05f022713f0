package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Hole is one cut of the drill: what the bench needs and what wears the bit.
type Hole struct {
	String     int     `json:"string"`
	Kind       string  `json:"kind"` // "post", "step" (a wider step of it) or "pilot"
	From       string  `json:"from"` // face or back
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
	DiameterMM float64 `json:"diameter_mm"`
	DepthMM    float64 `json:"depth_mm"` // into the head; through holes: its thickness there
	Through    bool    `json:"through"`
	BackingMM  float64 `json:"backing_mm"`        // further into the backing, for through holes
	Assumed    bool    `json:"assumed,omitempty"` // the thickness is not from the stack
}

// CutMM is the length the bit cuts, the backing included.
func (h Hole) CutMM() float64 { return h.DepthMM + h.BackingMM }

// DrillCount is a group of equal holes for the drilling step.
type DrillCount struct {
	Kind       string  `json:"kind"`
	From       string  `json:"from"`
	DiameterMM float64 `json:"diameter_mm"`
	Holes      int     `json:"holes"`
	CutMM      float64 `json:"cut_mm"` // all of them together
}

// DrillCounts groups a plan's holes by kind, side and diameter, in the order
// they are first met.
func DrillCounts(hs []Hole) []DrillCount {
	var out []DrillCount
next:
	for _, h := range hs {
		for i := range out {
			c := &out[i]
			if c.Kind == h.Kind && c.From == h.From && c.DiameterMM == h.DiameterMM {
				c.Holes++
				c.CutMM = micro(c.CutMM + h.CutMM())
				continue next
			}
		}
		out = append(out, DrillCount{Kind: h.Kind, From: h.From, DiameterMM: h.DiameterMM, Holes: 1, CutMM: micro(h.CutMM())})
	}
	return out
}

// holes is the drilling schedule: the through bore of every post (from the
// face, the side that must not tear), then wider steps, then pilots.
func holes(s Spec, posts []Post) []Hole {
	hs := []Hole{}
	thick := func(y float64) (float64, bool) {
		if t, ok := s.Stack.atDrilling(y); ok {
			return micro(t), false
		}
		return defaultThicknessMM, true
	}
	for _, through := range []bool{true, false} {
		for _, p := range posts {
			for _, b := range s.Tuner.Bores {
				if (b.DepthMM == 0) != through {
					continue
				}
				h := Hole{String: p.String, Kind: "post", From: b.From, XMM: p.XMM, YMM: p.YMM, DiameterMM: b.DiameterMM, DepthMM: b.DepthMM, Through: through}
				if through {
					h.DepthMM, h.Assumed = thick(p.YMM)
					h.BackingMM = s.Stack.BackingMM
				} else {
					h.Kind = "step"
				}
				hs = append(hs, h)
			}
		}
	}
	for i, p := range posts {
		for _, at := range s.screws(posts, i) {
			hs = append(hs, Hole{String: p.String, Kind: "pilot", From: "back", XMM: micro(at.X), YMM: micro(at.Y), DiameterMM: s.Tuner.PilotMM, DepthMM: s.Tuner.PilotDepth})
		}
	}
	return hs
}

// buttonDir is the direction from post i to its button: square to the edge (to
// the nearest point of it) or to the centre line, and the tuner's own turn.
func (s Spec) buttonDir(posts []Post, i int, o *Outline) r2.Vec {
	p := posts[i]
	dir := r2.Vec{X: sideSign(p.Side)}
	if s.Tuner.Align == "edge" && o != nil {
		at := r2.Vec{X: p.XMM, Y: p.YMM}
		_, foot, _ := o.foot(at)
		if d := r2.Sub(foot, at); r2.Norm(d) > 1e-6 {
			if !o.Inside(at) {
				d = r2.Scale(-1, d)
			}
			dir = r2.Unit(d)
		}
	}
	turn := s.Tuner.AngleDeg
	if len(s.Tuner.AnglesDeg) == s.Strings {
		turn = s.Tuner.AnglesDeg[p.String-1]
	}
	return r2.Rotate(dir, radians(turn)*sideSign(p.Side), r2.Vec{})
}

func (s Spec) screws(posts []Post, i int) []r2.Vec {
	if len(s.Tuner.ScrewsMM) == 0 {
		return nil
	}
	var o *Outline
	if s.Tuner.Align == "edge" && s.Outline.given() {
		o, _ = s.BuildOutline() // a validated spec's outline builds
	}
	dir := s.buttonDir(posts, i, o)
	along := alongOf(dir)
	at := r2.Vec{X: posts[i].XMM, Y: posts[i].YMM}
	var out []r2.Vec
	for _, sc := range s.Tuner.ScrewsMM {
		out = append(out, r2.Add(at, r2.Add(r2.Scale(sc[0], along), r2.Scale(sc[1], dir))))
	}
	return out
}

// alongOf is square to the button's direction, towards the tip.
func alongOf(dir r2.Vec) r2.Vec {
	a := r2.Vec{X: -dir.Y, Y: dir.X}
	if a.Y < 0 {
		a = r2.Scale(-1, a)
	}
	return a
}

// bodyBox is the tuner's body on the back, as seen through the face.
func (t Tuner) bodyBox(at, dir r2.Vec) []r2.Vec {
	return box(at, dir, t.BodyWidthMM, -t.BodyInMM, t.BodyOutMM)
}

// buttonBox is what a turning button sweeps.
func (t Tuner) buttonBox(at, dir r2.Vec) []r2.Vec {
	return box(at, dir, t.ButtonMM, t.ShaftMM, t.ShaftMM+math.Max(t.ButtonLenMM, 1))
}

func box(at, dir r2.Vec, width, from, to float64) []r2.Vec {
	a := r2.Scale(width/2, alongOf(dir))
	p, q := r2.Add(at, r2.Scale(from, dir)), r2.Add(at, r2.Scale(to, dir))
	return []r2.Vec{r2.Sub(p, a), r2.Add(p, a), r2.Add(q, a), r2.Sub(q, a)}
}
