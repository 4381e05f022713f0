package bitlife

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Replacement is the best age at which to change an edge that still cuts.
type Replacement struct {
	// Finite is false when waiting for wear to show costs no more: then only Why
	// and RunRate mean something.
	Finite  bool
	AgeM    float64 // T*, cut metres
	Rate    float64 // cost per cut metre when changing at AgeM
	RunRate float64 // cost per cut metre when running every edge until dull
	Chance  float64 // that an edge dulls before AgeM
	Why     string
}

// meanUpTo gives the integral of the survival function over [0, age]:
// (scale/shape) x lower incomplete gamma(1/shape, (age/scale)^shape).
func meanUpTo(age, shape, scale float64) float64 {
	k := 1 / shape
	return scale * k * math.Gamma(k) * mathext.GammaIncReg(k, math.Pow(age/scale, shape))
}

// CostRate is the long-run cost per cut metre of changing each edge at age, or
// when it dulls, whichever comes first: [Cp R(T) + Cf F(T)] / integral of R over
// [0,T] (R. Barlow, L. Hunter, Optimum Preventive Maintenance Policies,
// Operations Research 8:90-100, 1960).
func CostRate(age, shape, scale, change, tornHole float64) float64 {
	r := math.Exp(-math.Pow(age/scale, shape))
	return (change*r + tornHole*(1-r)) / meanUpTo(age, shape, scale)
}

// RetireAge minimises CostRate over the age. Scale is in cut metres, change
// (a planned fresh edge) and damage (a dull edge on the face, fresh edge
// included) in any one unit of money. With shape <= 1, or damage <= change, no
// finite age is best; nor where changing early saves less than a millionth.
func RetireAge(shape, scale, change, tornHole float64) Replacement {
	run := Replacement{}
	if !(shape > 0 && scale > 0 && change > 0 && tornHole >= 0) {
		run.Why = "the cost of a change or the life is not known"
		return run
	}
	run.RunRate = tornHole / (scale * math.Gamma(1+1/shape))
	switch {
	case shape <= 1:
		run.Why = fmt.Sprintf("with shape %.2g an old edge is no likelier to dull than a new one: wear gives no reason to change early", shape)
		return run
	case tornHole <= change:
		run.Why = "a torn hole costs no more here than a change: wear gives no reason to change early"
		return run
	}
	f := func(lnAge float64) float64 { return CostRate(scale*math.Exp(lnAge), shape, scale, change, tornHole) }
	x := minimise(f, math.Log(1e-8), math.Log(200))
	// The minimum is flat; its condition h(T) int R - F(T) = Cp/(Cf - Cp) is not,
	// and gives the last digits.
	slack := func(lnAge float64) float64 {
		u := math.Exp(lnAge)
		hazard := shape * math.Pow(u, shape-1) / scale
		return change/(tornHole-change) - hazard*meanUpTo(scale*u, shape, scale) - math.Expm1(-math.Pow(u, shape))
	}
	x = bisect(slack, x-0.01, x+0.01)
	age := scale * math.Exp(x)
	rate := CostRate(age, shape, scale, change, tornHole)
	if !(rate < run.RunRate*(1-1e-6)) {
		run.Why = "changing early would save less than a millionth: wear gives no reason to change early"
		return run
	}
	return Replacement{Finite: true, AgeM: age, Rate: rate, RunRate: run.RunRate, Chance: -math.Expm1(-math.Pow(age/scale, shape))}
}

// minimise finds the lowest point of a function with one valley by golden
// section.
func minimise(f func(float64) float64, low, high float64) float64 {
	g := (math.Sqrt(5) - 1) / 2
	a, b := high-g*(high-low), low+g*(high-low)
	fa, fb := f(a), f(b)
	for high-low > 1e-9 {
		if fa <= fb {
			high, b, fb = b, a, fa
			a = high - g*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + g*(high-low)
			fb = f(b)
		}
	}
	return low + (high-low)/2
}

// FaceCosts are the costs that decide about an edge on one face, in one unit of
// money. TornHoleCost is what a dull edge costs there, fresh edge included; Change a
// planned fresh edge; Test one test hole; Found the share of edges about to fail
// that one test hole in the same wood finds. The figures steer advice. No amount
// in any account is computed from them.
type FaceCosts struct{ Change, TornHoleCost, Test, Found float64 }

// TestPays says that a test hole before a cut with that chance is worth its
// price: chance x found x damage > test.
func (c FaceCosts) TestPays(chance float64) bool { return chance*c.Found*c.TornHoleCost > c.Test }

// TestUntil is the age up to which an edge that is tested clean before every
// cut is still cheaper than a fresh one. From the age at which test holes pay
// the damage falls to (1 - found) x damage + found x change, and each
// job of cutM costs one test hole, which also wears the edge by testM and
// drills nothing useful; the cost per useful cut metre is minimised as in
// RetireAge. It is never below retire.AgeM, and equals it where testing past
// that age does not pay. Meaningful for a finite retire only.
func TestUntil(shape, scale, cutM, testM float64, c FaceCosts, retire Replacement) float64 {
	if !retire.Finite || !(cutM > 0) {
		return retire.AgeM
	}
	chance := func(age float64) float64 {
		return -math.Expm1(math.Pow(age/scale, shape) - math.Pow((age+cutM)/scale, shape))
	}
	if !c.TestPays(chance(200 * scale)) {
		return retire.AgeM
	}
	from := 0.0
	if !c.TestPays(chance(0)) {
		from = math.Exp(bisect(func(x float64) float64 {
			if c.TestPays(chance(math.Exp(x))) {
				return -1
			}
			return 1
		}, math.Log(1e-6*scale), math.Log(200*scale)))
	}
	proved := (1-c.Found)*c.TornHoleCost + c.Found*c.Change
	dullBy := func(age float64) float64 { return -math.Expm1(-math.Pow(age/scale, shape)) }
	early, dullEarly := 0.0, 0.0
	if from > 0 {
		early, dullEarly = meanUpTo(from, shape, scale), dullBy(from)
	}
	rate := func(x float64) float64 {
		age := math.Exp(x)
		f, m := dullBy(age), meanUpTo(age, shape, scale)
		jobs := (m - early) / (cutM + testM)
		return (c.Change*(1-f) + c.TornHoleCost*dullEarly + proved*(f-dullEarly) + c.Test*jobs) / (early + cutM*jobs)
	}
	low := math.Log(max(from, retire.AgeM))
	x := minimise(rate, low, math.Log(200*scale))
	if rate(x) < min(rate(low), retire.Rate) {
		return max(math.Exp(x), retire.AgeM)
	}
	return retire.AgeM
}
