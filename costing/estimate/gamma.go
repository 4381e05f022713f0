package estimate

import (
	"math"
	"math/rand/v2"
)

// chi2 draws from the chi-squared distribution with df degrees of freedom, as
// twice a gamma of shape df/2 (Marsaglia & Tsang, ACM Transactions on
// Mathematical Software 26:363-372, 2000).
func chi2(rng *rand.Rand, df float64) float64 {
	return 2 * gamma(rng, df/2)
}

func gamma(rng *rand.Rand, shape float64) float64 {
	if shape < 1 {
		u := rng.Float64()
		return gamma(rng, shape+1) * math.Pow(u, 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = v * v * v
		u := rng.Float64()
		x2 := float64(x * x)
		if u < 1-float64(0.0331*float64(x2*x2)) {
			return float64(d * v)
		}
		if math.Log(u) < float64(0.5*x2)+float64(d*(1-v+math.Log(v))) {
			return float64(d * v)
		}
	}
}

// DrawBeta draws from the beta distribution as a ratio of gammas.
func DrawBeta(rng *rand.Rand, a, b float64) float64 {
	x, y := gamma(rng, a), gamma(rng, b)
	return x / (x + y)
}
