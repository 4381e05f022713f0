package estimate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// manyDF is where Student t and the normal agree to all digits used here.
const manyDF = 1e7

// StudentQuantile gives the point of the standard Student t distribution with
// df degrees of freedom (fractions allowed, +Inf is the normal) below which
// is the share p. It panics unless 0 < p < 1 and df > 0.
func StudentQuantile(df, p float64) float64 {
	if !(p > 0 && p < 1 && df > 0) {
		panic(fmt.Sprintf("costing: Student quantile of p %g with %g degrees of freedom", p, df))
	}
	if df > manyDF {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}

// clampedMean gives E[exp(scale t)] with the exponential clamped to 1/clamp
// .. clamp; without the clamp the mean of exp of a Student t is infinite. It
// is the integral over p of the clamped quantile function, computed in t by
// Simpson's rule over the clamped range, the two tails exactly.
func clampedMean(df, scale, clamp float64) float64 {
	if scale <= 0 {
		return 1
	}
	limit := math.Log(clamp) / scale
	tail := 1 - studentCDF(df, limit)
	density := studentDensity(df)
	const steps = 200 // error below 1e-8 of the mean for every scale in use
	h := 2 * limit / steps
	sum := 0.0
	for i := 0; i <= steps; i++ {
		x := -limit + h*float64(i)
		w := 2.0
		switch {
		case i == 0 || i == steps:
			w = 1
		case i%2 == 1:
			w = 4
		}
		sum += w * density(x) * math.Exp(scale*x)
	}
	return sum*h/3 + tail*clamp + tail/clamp
}

func studentCDF(df, x float64) float64 {
	if df > manyDF {
		return distuv.UnitNormal.CDF(x)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.CDF(x)
}

// studentDensity gives the density, its constant worked out once.
func studentDensity(df float64) func(x float64) float64 {
	if df > manyDF {
		return distuv.UnitNormal.Prob
	}
	top := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Prob(0)
	return func(x float64) float64 { return top * math.Exp(-(df+1)/2*math.Log1p(x*x/df)) }
}
