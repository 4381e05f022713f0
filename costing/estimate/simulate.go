package estimate

import (
	"math"
	"sort"
)

// Work is one operation of a job as the simulation sees it.
type Work struct {
	Name     string   `json:"name"`
	Estimate Estimate `json:"estimate"`
	// Rework is the chance that the whole pass has to be done again.
	Rework float64 `json:"rework,omitempty"`
	// PerHour is what an hour of it costs, for the chance of a loss only; no
	// amount is computed from it.
	PerHour float64 `json:"per_hour,omitempty"`
}

// Hours is what a job is expected to take at the bench, in hours without
// unlogged time. The percentiles come from a seeded simulation and are the
// same on every machine; the mean is the sum of the operations' means (means
// add; medians and P80s do not), so a price does not depend on the seed.
type Hours struct {
	P50  float64 `json:"p50"`
	P80  float64 `json:"p80"`
	P90  float64 `json:"p90"`
	Mean float64 `json:"mean"`
	// Resumed is the part of Mean that goes into setups that come again when a
	// step is taken up on another evening.
	Resumed float64 `json:"resumed"`
	Draws   int     `json:"draws"`
	Seed    uint64  `json:"seed"`
	// The errors are half-widths of 95 % intervals: another seed would give
	// percentiles that far away.
	P50Error  float64 `json:"p50_error"`
	P80Error  float64 `json:"p80_error"`
	P90Error  float64 `json:"p90_error"`
	MeanError float64 `json:"mean_error"` // of the simulated mean, which checks Mean
	Simulated float64 `json:"simulated_mean"`
	// Curve holds the hours at 5, 10 .. 95 %.
	Curve []float64 `json:"curve"`

	sorted []float64 // hours of each draw
	cost   []float64 // cost of each draw's hours, sorted
}

// NewHours puts draws of a job's hours, and of what they cost, into shares. It
// sorts both. mean is the sum of the means of its steps.
func NewHours(hours, cost []float64, mean float64, seed uint64) Hours {
	h := Hours{Draws: len(hours), Seed: seed, Mean: mean, sorted: hours, cost: cost}
	sum, sum2 := 0.0, 0.0
	for _, x := range hours {
		sum += x
		sum2 += float64(x * x)
	}
	sort.Float64s(h.sorted)
	sort.Float64s(h.cost)
	n := float64(max(len(hours), 1))
	h.Simulated = sum / n
	h.MeanError = 1.96 * math.Sqrt(math.Max(0, sum2/n-h.Simulated*h.Simulated)/n)
	h.P50, h.P50Error = percentile(h.sorted, 0.5)
	h.P80, h.P80Error = percentile(h.sorted, 0.8)
	h.P90, h.P90Error = percentile(h.sorted, 0.9)
	for p := 5; p < 100; p += 5 {
		at, _ := percentile(h.sorted, float64(p)/100)
		h.Curve = append(h.Curve, at)
	}
	return h
}

// ChanceCostAbove gives the chance that the hours of the job cost more than
// amount, by Work.PerHour.
func (h Hours) ChanceCostAbove(amount float64) float64 {
	if len(h.cost) == 0 {
		return 0
	}
	return float64(len(h.cost)-sort.Search(len(h.cost), func(i int) bool { return h.cost[i] > amount })) / float64(len(h.cost))
}

// CostAt gives the cost of the hours that the job stays under with chance p.
func (h Hours) CostAt(p float64) float64 { at, _ := percentile(h.cost, p); return at }

// ChanceWithin gives the chance that the job takes at most hours.
func (h Hours) ChanceWithin(hours float64) float64 {
	if len(h.sorted) == 0 {
		return 1
	}
	return float64(sort.Search(len(h.sorted), func(i int) bool { return h.sorted[i] > hours })) / float64(len(h.sorted))
}

// percentile gives the p-quantile of sorted values and half the width of its
// 95 % interval by order statistics (binomial, normal approximation).
func percentile(sorted []float64, p float64) (at, half float64) {
	n := len(sorted)
	if n == 0 {
		return 0, 0
	}
	rank := func(x float64) float64 {
		x = math.Max(0, math.Min(float64(n-1), x))
		i := int(x)
		if i == n-1 {
			return sorted[i]
		}
		f := x - float64(i)
		return float64(sorted[i]*(1-f)) + float64(sorted[i+1]*f)
	}
	mid := float64(p * float64(n-1))
	off := 1.96 * math.Sqrt(float64(n)*p*(1-p))
	return rank(mid), (rank(mid+off) - rank(mid-off)) / 2
}
