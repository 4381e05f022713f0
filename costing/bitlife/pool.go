package bitlife

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
)

// BorrowWeight is what a closed edge of a similar bit counts against one of the
// same class, and BorrowMost what all borrowed edges count at most together
// (judgement: they tell something, and must give way to one's own).
const (
	BorrowWeight = 0.5
	BorrowMost   = 3.0
)

// EdgePool is the closed edges that speak for one bit.
//
// The rule: edges of the same diameter class, material and point count in full,
// in metres as they are. When there is none, edges of the same material and
// point in other diameters are borrowed: each age is stretched by the ratio of
// the expected lives where both are known, each counts for half, and all together
// for no more than three.
type EdgePool struct {
	Class    jobs.BitClass
	Own      []LifeDatum
	Borrowed []LifeDatum
	From     []string // codes of the bits borrowed from
}

// Lives gives the edges to count.
func (p EdgePool) Lives() []LifeDatum {
	if len(p.Own) > 0 {
		return p.Own
	}
	return p.Borrowed
}

// PoolFor gathers the closed edges that speak for a bit, leaving its edge no out
// (0 leaves none out).
func PoolFor(bit jobs.Bit, no int, ages []jobs.EdgeAge) EdgePool {
	expected := bit.ExpectedM
	for _, l := range ages {
		if l.Bit == bit.Code { // the last is the present one
			expected = l.ExpectedM
		}
	}
	p := EdgePool{Class: bit.Class()}
	for _, l := range ages {
		if !l.Closed || !(l.LifeM > 0) || (l.Bit == bit.Code && l.Edge == no) {
			continue
		}
		if l.Class.Material != bit.Material || l.Class.Point != bit.Point {
			continue
		}
		d := LifeDatum{T: l.LifeM, Event: l.Event}
		if l.Class == p.Class {
			p.Own = append(p.Own, d)
			continue
		}
		if l.ExpectedM > 0 && expected > 0 {
			d.T *= expected / l.ExpectedM
		}
		p.Borrowed = append(p.Borrowed, d)
		if len(p.From) == 0 || p.From[len(p.From)-1] != l.Bit {
			p.From = append(p.From, l.Bit)
		}
	}
	if len(p.Own) > 0 {
		p.Borrowed, p.From = nil, nil
	}
	for i := range p.Borrowed {
		p.Borrowed[i].Weight = min(BorrowWeight, BorrowMost/float64(len(p.Borrowed)))
	}
	return p
}

// counts gives how many edges wore out and how many ended while good.
func counts(lives []LifeDatum) (events, censored int) {
	for _, d := range lives {
		if d.Event {
			events++
		} else {
			censored++
		}
	}
	return events, censored
}

// Basis says in words what the estimate was learned from: "3 bits worn out, 2
// retired while good (9 to 11 mm, hss, brad point), and the expected life of 150
// holes. Weibull shape 2.5, assumed".
func (p EdgePool) Basis(m EdgeModel) string {
	out := "no ended life"
	if events, censored := counts(p.Own); events+censored > 0 {
		out = fmt.Sprintf("%s worn out, %d retired while good (%s)", jobs.CountText(events, "bit"), censored, p.Class)
	} else if events, censored := counts(p.Borrowed); events+censored > 0 {
		out = fmt.Sprintf("other sizes (%s), at weight %.2g each: %d worn out, %d retired while good",
			strings.Join(p.From, ", "), p.Borrowed[0].Weight, events, censored)
	}
	if m.ExpectedM > 0 {
		out += fmt.Sprintf(", and the expected life of %s", HolesText(m.ExpectedM))
	}
	return out + fmt.Sprintf(". Weibull shape %.3g, assumed", m.Shape)
}
