package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Sides of the head and of its rows.
const (
	Bass   = "bass"
	Treble = "treble"
)

// track is the line one post centre may move on: next to its string by half a
// post and half the string. It is addressed by y, its one freedom.
type track struct {
	String  int // 1 is the lowest bass string
	base    r2.Vec
	slope   float64 // dx/dy
	stretch float64 // length along the track per mm of y
}

func (t track) at(y float64) r2.Vec {
	return r2.Vec{X: t.base.X + t.slope*(y-t.base.Y), Y: y}
}

// row is the posts of one side, from the fretboard end outward.
type row struct {
	Side    string
	FirstMM float64
	PitchMM float64
	Tracks  []track
}

// sideSign is -1 for bass and +1 for treble.
func sideSign(side string) float64 {
	if side == Bass {
		return -1
	}
	return 1
}

// rows deals the strings to the sides: the bass row has strings 1, 2, … from
// the fretboard end, the treble row the last string first; reversed rows the
// other way round. Empty rows are left out.
func (s Spec) rows() []row {
	lines := s.lines()
	var rows []row
	add := func(side string, strings []int, first, pitch float64) {
		if len(strings) == 0 {
			return
		}
		r := row{Side: side, FirstMM: first, PitchMM: pitch}
		for _, n := range strings {
			r.Tracks = append(r.Tracks, s.track(lines[n-1], n, side))
		}
		rows = append(rows, r)
	}
	var bass, treble []int
	for n := 1; n <= s.Posts.Bass; n++ {
		bass = append(bass, n)
	}
	for n := s.Strings; n > s.Posts.Bass; n-- {
		treble = append(treble, n)
	}
	if s.Posts.BassReversed {
		reverse(bass)
	}
	if s.Posts.TrebleReversed {
		reverse(treble)
	}
	tFirst, tPitch := s.Posts.TrebleFirstMM, s.Posts.TreblePitchMM
	if tFirst == 0 {
		tFirst = s.Posts.FirstMM
	}
	if tPitch == 0 {
		tPitch = s.Posts.PitchMM
	}
	add(Bass, bass, s.Posts.FirstMM, s.Posts.PitchMM)
	add(Treble, treble, tFirst, tPitch)
	return rows
}

func reverse(a []int) {
	for i, j := 0, len(a)-1; i < j; i, j = i+1, j-1 {
		a[i], a[j] = a[j], a[i]
	}
}

func (s Spec) track(l stringLine, n int, side string) track {
	off := sideSign(side) * (s.Posts.DiameterMM/2 + l.RadiusMM)
	if s.Posts.Wind == "outer" {
		off = -off
	}
	right := r2.Vec{X: l.Dir.Y, Y: -l.Dir.X} // to the treble side of the string
	slope := l.Dir.X / l.Dir.Y
	return track{
		String: n, base: r2.Add(l.At, r2.Scale(off, right)),
		slope: slope, stretch: math.Hypot(1, slope),
	}
}

// offMM is how far p is from the track, positive to the treble side.
func (t track) offMM(p r2.Vec) float64 {
	return (p.X - t.at(p.Y).X) / t.stretch
}

// next is the y beyond from where the track is exactly dist away from the
// point p; ok is false when it never is.
func (t track) next(p r2.Vec, dist float64) (y float64, ok bool) {
	// |base + slope*(y-y0) - p|^2 = dist^2, quadratic in u = y - p.Y.
	dx := t.at(p.Y).X - p.X
	a := 1 + t.slope*t.slope
	b := t.slope * dx
	disc := b*b - a*(dx*dx-dist*dist)
	if disc < 0 {
		return 0, false
	}
	u := (-b + math.Sqrt(disc)) / a
	if u < 0 {
		return 0, false
	}
	return p.Y + u, true
}
