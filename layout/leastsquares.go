package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Fit is the best fit of measured points to nominal ones: turned by Turn
// (radians, positive counter-clockwise) about the origin, then shifted; a
// point n becomes Scale*R*n + Shift. Mirror images are never fitted.
type Fit struct {
	Turn  float64
	Shift r2.Vec
	Scale float64
	Rss   float64 // sum of squared distances left
}

// RigidFit turns and shifts only (Scale is 1). ok is false for fewer than two
// points or when all nominal points coincide: the turn is then undefined.
//
// Closed form about the centroids: with S, D the centred points,
// turn = atan2(sum SxDy-SyDx, sum SxDx+SyDy).
func RigidFit(nominal, measured []r2.Vec) (Fit, bool) { return bestFit(nominal, measured, false) }

// ScaledFit also lets the scale go: s = hypot(dot, cross) / sum |S|^2.
func ScaledFit(nominal, measured []r2.Vec) (Fit, bool) { return bestFit(nominal, measured, true) }

func bestFit(nominal, measured []r2.Vec, scaled bool) (Fit, bool) {
	n := len(nominal)
	if n < 2 || n != len(measured) {
		return Fit{}, false
	}
	var a, b r2.Vec
	for i := range nominal {
		a, b = r2.Add(a, nominal[i]), r2.Add(b, measured[i])
	}
	a, b = r2.Scale(1/float64(n), a), r2.Scale(1/float64(n), b)
	var dot, crs, ss float64
	for i := range nominal {
		s, d := r2.Sub(nominal[i], a), r2.Sub(measured[i], b)
		dot, crs, ss = dot+r2.Dot(s, d), crs+r2.Cross(s, d), ss+r2.Norm2(s)
	}
	if ss < 1e-12 || math.Hypot(dot, crs) < 1e-12 {
		return Fit{}, false
	}
	f := Fit{Turn: math.Atan2(crs, dot), Scale: 1}
	if scaled {
		f.Scale = math.Hypot(dot, crs) / ss
	}
	f.Shift = r2.Sub(b, f.turned(a))
	for i := range nominal {
		f.Rss += r2.Norm2(r2.Sub(measured[i], f.Apply(nominal[i])))
	}
	return f, true
}

func (f Fit) turned(p r2.Vec) r2.Vec {
	sin, cos := math.Sincos(f.Turn)
	return r2.Scale(f.Scale, r2.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y})
}

// Apply carries a nominal point to where the fit has it.
func (f Fit) Apply(p r2.Vec) r2.Vec { return r2.Add(f.turned(p), f.Shift) }
