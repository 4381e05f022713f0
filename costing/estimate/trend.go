package estimate

import "math"

// trend fits y against the past job's number in time by least squares (equal
// weights, at least five past jobs) and gives it when its 80 % interval
// excludes no change.
func trend(rs []ratio) *Trend {
	n := float64(len(rs))
	if n < 5 {
		return nil
	}
	var mx, my, sxx, sxy, rss float64
	for i, r := range rs {
		mx += float64(len(rs)-1-i) / n
		my += r.y / n
	}
	for i, r := range rs {
		x := float64(len(rs)-1-i) - mx
		sxx += x * x
		sxy += x * (r.y - my)
	}
	slope := sxy / sxx
	for i, r := range rs {
		d := r.y - my - slope*(float64(len(rs)-1-i)-mx)
		rss += d * d
	}
	half := StudentQuantile(n-2, 0.9) * math.Sqrt(rss/(n-2)/sxx)
	if math.Abs(slope) <= half {
		return nil
	}
	return &Trend{PerJob: math.Exp(slope), Low: math.Exp(slope - half), High: math.Exp(slope + half)}
}

// Refit gives setup and run times fitted to the past jobs, when they can tell
// the two apart: at least eight that count, the largest quantity at least
// three times the smallest, and both times positive. Least squares of
// actual/q on 1 and 1/q, which weighs short and long sessions alike.
func Refit(std Standard, pastJobs []PastJob) (Standard, bool) {
	var xs, ys []float64
	least, most := math.Inf(1), 0.0
	for _, s := range pastJobs {
		if !s.Counts() || s.SetupsResumed > 0 {
			continue
		}
		least, most = math.Min(least, s.Quantity), math.Max(most, s.Quantity)
		xs = append(xs, 1/s.Quantity)
		ys = append(ys, s.Minutes/s.Quantity/DifficultyOf(s.Difficulty))
	}
	if len(xs) < 8 || most < 3*least {
		return std, false
	}
	n := float64(len(xs))
	var mx, my, sxx, sxy float64
	for i := range xs {
		mx += xs[i] / n
		my += ys[i] / n
	}
	for i := range xs {
		sxx += (xs[i] - mx) * (xs[i] - mx)
		sxy += (xs[i] - mx) * (ys[i] - my)
	}
	fit := std
	fit.SetupMin = sxy / sxx
	fit.RunMin = my - fit.SetupMin*mx
	if fit.SetupMin < 0 || fit.RunMin < 0 {
		return std, false
	}
	return fit, true
}
