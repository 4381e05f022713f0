package bitlife

import (
	"errors"
	"fmt"
	"math"

	"bookmatch/jobs"

	"gonum.org/v1/gonum/optimize"
)

// LifeDatum is the life of one edge (or part) at age T > 0: it ended by wear
// (Event), or was last known good at T (right-censored). Weight counts it as so
// many; 0 means 1.
type LifeDatum struct {
	T      float64
	Event  bool
	Weight float64
}

func (d LifeDatum) weight() float64 {
	if d.Weight == 0 {
		return 1
	}
	return d.Weight
}

// Interval is a range; a nil bound is "not bounded": the data do not limit that
// side.
type Interval struct {
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
}

// WeibullFit is a maximum-likelihood fit of F(t) = 1 - exp(-(t/scale)^shape) to
// right-censored lives. Standard errors are from the observed information; Wald
// intervals are taken on the log scale; Profile intervals hold every value whose
// profile likelihood is within chi-square(1) of the maximum. All are 95 %.
type WeibullFit struct {
	Shape        float64  `json:"shape"`
	ScaleM       float64  `json:"scale_m"`
	LogLik       float64  `json:"log_lik"`
	Events       float64  `json:"events"`
	Censored     float64  `json:"censored"`
	ShapeSE      float64  `json:"shape_se"`
	ScaleSE      float64  `json:"scale_se_m"`
	ShapeWald    Interval `json:"shape_wald"`
	ScaleWald    Interval `json:"scale_wald_m"`
	ShapeProfile Interval `json:"shape_profile"`
	ScaleProfile Interval `json:"scale_profile_m"`
}

// ErrNoMaximum says that the likelihood has no highest point: there is nothing
// to fit. The wrapped text says why.
var ErrNoMaximum = errors.New("these lives have no best fit")

const (
	chi2of95  = 3.841458820694124 // chi-square, 1 degree of freedom, 0.95
	normal975 = 1.959963984540054
	// A bound a thousand times off the estimate bounds nothing: further out, in
	// logs, no bound is sought.
	farthestLn = 6.907755278982137
)

// FitWeibull fits shape and scale by maximum likelihood over their logarithms.
// Lives that are not above zero are refused (jobs.ErrInvalid); lives without a
// maximum give ErrNoMaximum; a search that does not settle is an error too.
func FitWeibull(lives []LifeDatum) (WeibullFit, error) {
	unit := 0.0
	for _, d := range lives {
		if !(d.T > 0) || math.IsInf(d.T, 0) || !(d.weight() > 0) {
			return WeibullFit{}, &jobs.FieldError{Field: "life", Value: fmt.Sprint(d.T), Want: "an age above zero"}
		}
		unit = max(unit, d.T)
	}
	if why := noMaximum(lives); why != "" {
		return WeibullFit{}, fmt.Errorf("%w: %s", ErrNoMaximum, why)
	}
	l := newLikelihood(lives, unit)
	lnScale, lnShape, err := l.maximise()
	if err != nil {
		return WeibullFit{}, err
	}
	h := l.hessian(lnScale, lnShape)
	det := h[0]*h[2] - h[1]*h[1]
	if !(det > 0) || !(h[0] < 0) {
		return WeibullFit{}, fmt.Errorf("%w: the likelihood is flat at its top", ErrNoMaximum)
	}
	seScale, seShape := math.Sqrt(-h[2]/det), math.Sqrt(-h[0]/det)
	fit := WeibullFit{
		Shape: math.Exp(lnShape), ScaleM: unit * math.Exp(lnScale),
		LogLik: l.value(lnScale, lnShape) - l.events*math.Log(unit),
		Events: l.events, Censored: l.censored,
	}
	fit.ShapeSE, fit.ScaleSE = fit.Shape*seShape, fit.ScaleM*seScale
	fit.ShapeWald, fit.ScaleWald = wald(fit.Shape, seShape), wald(fit.ScaleM, seScale)
	top := l.value(lnScale, lnShape)
	fit.ShapeProfile = l.interval(top, lnShape, 1, func(c float64) float64 { return l.value(l.scaleFor(c), c) })
	fit.ScaleProfile = l.interval(top, lnScale, unit, func(a float64) float64 { return l.value(a, l.shapeFor(a)) })
	return fit, nil
}

// noMaximum names the cases in which the likelihood climbs without end: no
// event, or every event at one age that nothing outlived (shape to infinity).
func noMaximum(lives []LifeDatum) string {
	age, oldest, r := 0.0, 0.0, 0
	same := true
	for _, d := range lives {
		oldest = max(oldest, d.T)
		if d.Event {
			same = same && (r == 0 || d.T == age)
			age = d.T
			r++
		}
	}
	switch {
	case r == 0:
		return "none of them wore out"
	case same && oldest <= age && r == 1:
		return "one wore out and nothing outlived it"
	case same && oldest <= age:
		return "all wore out at one age and nothing outlived them"
	}
	return ""
}

func wald(x, seLn float64) Interval {
	low, high := x*math.Exp(-normal975*seLn), x*math.Exp(normal975*seLn)
	return Interval{&low, &high}
}

// likelihood holds ln(t/unit), so that no power overflows near the maximum.
type likelihood struct {
	lnT, w           []float64
	event            []bool
	events, censored float64
	sumLnEvent       float64
}

func newLikelihood(lives []LifeDatum, unit float64) *likelihood {
	l := &likelihood{}
	for _, d := range lives {
		x, w := math.Log(d.T/unit), d.weight()
		l.lnT, l.w, l.event = append(l.lnT, x), append(l.w, w), append(l.event, d.Event)
		if d.Event {
			l.events += w
			l.sumLnEvent += w * x
		} else {
			l.censored += w
		}
	}
	return l
}

// value is the log-likelihood at scale e^a and shape e^c:
// sum over events of (c - ln t + z) - sum over all of e^z, z = e^c (ln t - a).
func (l *likelihood) value(a, c float64) float64 {
	b := math.Exp(c)
	v := l.events*(c-b*a) + (b-1)*l.sumLnEvent
	for i, x := range l.lnT {
		v -= l.w[i] * math.Exp(b*(x-a))
	}
	return v
}

func (l *likelihood) gradient(a, c float64) (da, dc float64) {
	b := math.Exp(c)
	for i, x := range l.lnT {
		z := b * (x - a)
		e := l.w[i] * math.Exp(z)
		da += b * e
		dc -= e * z
		if l.event[i] {
			da -= b * l.w[i]
			dc += l.w[i] * (1 + z)
		}
	}
	return da, dc
}

// hessian gives the second derivatives aa, ac, cc.
func (l *likelihood) hessian(a, c float64) (h [3]float64) {
	b := math.Exp(c)
	for i, x := range l.lnT {
		z := b * (x - a)
		e := l.w[i] * math.Exp(z)
		h[0] -= b * b * e
		h[1] += b*e + b*e*z
		h[2] -= e*z*z + e*z
		if l.event[i] {
			h[1] -= b * l.w[i]
			h[2] += l.w[i] * z
		}
	}
	return h
}

// maximise climbs by BFGS and finishes with Newton steps, which settle the last
// digits where a line search can no longer tell values apart.
func (l *likelihood) maximise() (a, c float64, err error) {
	c = math.Log(1.5)
	a = l.scaleFor(c)
	problem := optimize.Problem{
		Func: func(x []float64) float64 { return -l.value(x[0], x[1]) },
		Grad: func(grad, x []float64) {
			da, dc := l.gradient(x[0], x[1])
			grad[0], grad[1] = -da, -dc
		},
	}
	settings := &optimize.Settings{GradientThreshold: 1e-6 * max(1, l.events), MajorIterations: 500}
	result, err := optimize.Minimize(problem, []float64{a, c}, settings, &optimize.BFGS{})
	if result == nil {
		return 0, 0, fmt.Errorf("the search for the best fit failed: %w", err)
	}
	a, c = result.X[0], result.X[1]
	for range 50 {
		da, dc := l.gradient(a, c)
		h := l.hessian(a, c)
		det := h[0]*h[2] - h[1]*h[1]
		if !(det > 0) || !(h[0] < 0) {
			break
		}
		sa, sc := (h[2]*da-h[1]*dc)/det, (h[0]*dc-h[1]*da)/det
		if !(math.Abs(sa) < 2 && math.Abs(sc) < 2) {
			break
		}
		a, c = a-sa, c-sc
		if math.Abs(sa)+math.Abs(sc) < 1e-14 {
			break
		}
	}
	da, dc := l.gradient(a, c)
	if settled := math.Hypot(da, dc) <= 1e-7*max(1, l.events+l.censored); !settled || math.Abs(c) > 12 {
		return 0, 0, fmt.Errorf("the search for the best fit did not settle (%w)", errors.Join(err, result.Status.Err(), ErrNoMaximum))
	}
	return a, c, nil
}

// scaleFor gives the ln scale that is best for a ln shape: scale^b = sum w t^b /
// events.
func (l *likelihood) scaleFor(c float64) float64 {
	b, sum := math.Exp(c), 0.0
	for i, x := range l.lnT {
		sum += l.w[i] * math.Exp(b*x)
	}
	return math.Log(sum/l.events) / b
}

// shapeFor gives the ln shape that is best for a ln scale. The likelihood is
// concave in the shape, so its slope crosses zero once.
func (l *likelihood) shapeFor(a float64) float64 {
	slope := func(c float64) float64 {
		b := math.Exp(c)
		s := l.events / b
		for i, x := range l.lnT {
			if d := x - a; d != 0 {
				s -= l.w[i] * math.Exp(b*d) * d
				if l.event[i] {
					s += l.w[i] * d
				}
			}
		}
		return s
	}
	return bisect(slope, -30, 30)
}

// interval walks out from the top until the profile has fallen by half the
// chi-square point, on both sides; x is in logs and answers are times unit.
func (l *likelihood) interval(top, at, unit float64, profile func(float64) float64) Interval {
	drop := func(x float64) float64 { return top - chi2of95/2 - profile(x) }
	side := func(sign float64) *float64 {
		step := 0.05
		for last, far := 0.0, step; last < farthestLn; last, far = far, min(farthestLn, far+step) {
			if d := drop(at + sign*far); d > 0 || math.IsNaN(d) || math.IsInf(d, 0) {
				x := at + sign*bisect(func(f float64) float64 { return -drop(at + sign*f) }, last, far)
				v := unit * math.Exp(x)
				return &v
			}
			step *= 1.1
		}
		return nil
	}
	return Interval{side(-1), side(1)}
}

// bisect finds where f, positive at low and not at high, crosses zero.
func bisect(f func(float64) float64, low, high float64) float64 {
	for range 200 {
		mid := low + (high-low)/2
		if mid == low || mid == high {
			break
		}
		if f(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return low + (high-low)/2
}
