package costing

import (
	"math"
	"math/rand/v2"
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
// un-logged time. The percentiles come from a seeded simulation and are the
// same on every machine; the mean is the sum of the operations' means (means
// add; medians and P80s do not), so a price does not depend on the seed.
type Hours struct {
	P50   float64 `json:"p50"`
	P80   float64 `json:"p80"`
	P90   float64 `json:"p90"`
	Mean  float64 `json:"mean"`
	Draws int     `json:"draws"`
	Seed  uint64  `json:"seed"`
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

// Simulate draws the hours of a job. One draw takes a good or a bad job
// (a factor exp(N(0, 0.15)) on every step), the two errors that steps share
// (see Estimate.JobLoad and PaceLoad), each step's own spread with those parts
// taken out of it, and a coin for every rework. A step's draw on its own has
// exactly the distribution of its Estimate, clamped.
func Simulate(work []Work, set Settings) Hours {
	set = set.WithDefaults()
	rng := rand.New(rand.NewPCG(set.Seed, 0x686f757273)) // "hours"
	ws := drawers(work, set)
	h := Hours{Draws: set.Draws, Seed: set.Seed, sorted: make([]float64, set.Draws), cost: make([]float64, set.Draws)}
	sum, sum2 := 0.0, 0.0
	for i := range h.sorted {
		c := drawShared(rng)
		minutes, cost := 0.0, 0.0
		for k := range ws {
			t := ws[k].draw(rng, c)
			minutes += t
			cost += float64(t * ws[k].perHour)
		}
		h.sorted[i], h.cost[i] = minutes/60, cost/60
		sum += h.sorted[i]
		sum2 += float64(h.sorted[i] * h.sorted[i])
	}
	sort.Float64s(h.sorted)
	sort.Float64s(h.cost)
	n := float64(set.Draws)
	h.Simulated = sum / n
	h.MeanError = 1.96 * math.Sqrt(math.Max(0, sum2/n-h.Simulated*h.Simulated)/n)
	h.P50, h.P50Error = percentile(h.sorted, 0.5)
	h.P80, h.P80Error = percentile(h.sorted, 0.8)
	h.P90, h.P90Error = percentile(h.sorted, 0.9)
	for p := 5; p < 100; p += 5 {
		at, _ := percentile(h.sorted, float64(p)/100)
		h.Curve = append(h.Curve, at)
	}
	for _, w := range work {
		h.Mean += w.Estimate.MeanMin * (1 + w.Rework) / 60
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

// shared holds the standard normal draws that steps have in common.
type shared struct{ job, past, pace float64 }

func drawShared(rng *rand.Rand) shared {
	return shared{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
}

// drawer draws minutes of one step.
type drawer struct {
	centre, scale         float64
	df                    float64 // 0 for the normal
	job, past, pace, own  float64 // loadings on unit normals, squares adding to 1
	limit                 float64 // of |ln(T/median)|
	rework, perHour, zero float64
}

func drawers(work []Work, set Settings) []drawer {
	out := make([]drawer, 0, len(work))
	for _, w := range work {
		out = append(out, newDrawer(w, set))
	}
	return out
}

func newDrawer(w Work, set Settings) drawer {
	e := w.Estimate
	d := drawer{rework: w.Rework, perHour: w.PerHour, limit: math.Log(set.DrawClamp)}
	if e.StandardMin <= 0 {
		d.zero = 1
		return d
	}
	d.centre, d.scale, d.df = e.Centre, e.Scale, e.DF
	fix := 1.0
	if d.df > manyDF {
		d.df = 0
	} else {
		fix = meanDivisor(d.df)
	}
	if d.scale <= 0 {
		return d
	}
	load := func(sd float64) float64 { return sd / (d.scale * fix) }
	d.job, d.past, d.pace = load(set.Common), load(e.JobLoad), load(e.PaceLoad)
	if sum := d.job*d.job + d.past*d.past + d.pace*d.pace; sum > 0.95 {
		f := math.Sqrt(0.95 / sum)
		d.job, d.past, d.pace = d.job*f, d.past*f, d.pace*f
	}
	d.own = math.Sqrt(1 - d.job*d.job - d.past*d.past - d.pace*d.pace)
	return d
}

// meanDivisor is E sqrt(df/chi2(df)): a Student t is a normal divided by
// sqrt(chi2/df), which would enlarge the shared parts by this on average.
// Below 1.5 degrees of freedom it is taken there.
func meanDivisor(df float64) float64 {
	df = math.Max(df, 1.5)
	a, _ := math.Lgamma((df - 1) / 2)
	b, _ := math.Lgamma(df / 2)
	return math.Sqrt(df/2) * math.Exp(a-b)
}

// draw gives minutes, with a second pass when the coin says so. Products are
// converted to float64 before they are added, which keeps a compiler from
// fusing them: the same bits on every machine.
func (d *drawer) draw(rng *rand.Rand, c shared) float64 {
	if d.zero > 0 {
		return 0
	}
	common := float64(d.job*c.job) + float64(d.past*c.past) + float64(d.pace*c.pace)
	t := d.once(rng, common)
	if d.rework > 0 && rng.Float64() < d.rework {
		t += d.once(rng, common)
	}
	return t
}

func (d *drawer) once(rng *rand.Rand, common float64) float64 {
	z := common + float64(d.own*rng.NormFloat64())
	if d.df > 0 {
		z /= math.Sqrt(chi2(rng, d.df) / d.df)
	}
	z = math.Max(-d.limit, math.Min(d.limit, float64(d.scale*z)))
	return math.Exp(d.centre + z)
}

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

// beta draws from the beta distribution as a ratio of gammas.
func beta(rng *rand.Rand, a, b float64) float64 {
	x, y := gamma(rng, a), gamma(rng, b)
	return x / (x + y)
}
