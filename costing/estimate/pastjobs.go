package estimate

import (
	"math"
	"slices"
	"sort"
	"time"
)

// Sample is one finished first pass of an operation as the estimator sees it: the
// setup once and the whole quantity, even when the session went over several
// necks. Stretches of the same pass on several evenings are one past job with
// SetupsResumed counting the evenings after the first.
type PastJob struct {
	Operation     string
	Quantity      float64 // units over all its necks
	SetupsResumed int
	Minutes       float64   // worked, of all its stretches
	StandardMin   float64   // e(q) by the standard now in use; 0 lets the estimator work it out
	Difficulty    float64   // factor the line was quoted with; 0 is 1
	Own           bool      // the standard behind StandardMin is the builder's own
	When          time.Time // end of its last stretch
	Necks         []string
	Evening       string // shop day of its last stretch
	// Excluded says why the past job is shown but does not count, such as
	// "assumed end"; empty when it counts.
	Excluded string
}

// Counts says whether the past job may move an estimate: it needs a quantity,
// more than a minute of work and no reason against it.
func (x PastJob) Counts() bool { return x.WhyNot() == "" }

// WhyNot gives the reason for which the past job does not count, or "".
func (x PastJob) WhyNot() string {
	switch {
	case x.Excluded != "":
		return x.Excluded
	case !(x.Quantity > 0) || math.IsInf(x.Quantity, 0):
		return "no quantity"
	case !(x.Minutes > 1) || math.IsInf(x.Minutes, 0):
		return "a minute or less"
	}
	return ""
}

// Pool is the pace of all operations together, on the log scale.
type Pool struct {
	Centre     float64 `json:"centre"` // m0
	SD         float64 `json:"sd"`     // what is not known of it
	N          int     `json:"n"`      // past jobs behind it
	Operations int     `json:"operations"`
}

// Pace is the shop's pace against the standards. Operations that are on a
// factory default and operations for which the builder wrote a standard are pooled
// apart: his own minutes already hold his pace.
type Pace struct {
	Factory Pool `json:"factory"`
	Own     Pool `json:"own"`
	// Jobs is how many necks the past jobs come from, after ageing. The good
	// and bad days of those few necks are in every operation at once.
	Jobs float64 `json:"jobs"`
	// SumSquares and ResidualN are the scatter of the past jobs about their operations
	// and of the operations about the shop, and the degrees of freedom behind it.
	SumSquares float64 `json:"sum_squares"`
	ResidualN  float64 `json:"residual_n"`
}

// OperationsAlike is how alike the spreads of different operations are taken to be: as
// if the spread of the shop said as much of an operation's as so many past jobs of it
// (judgement: operations differ by some 15 % in spread).
const OperationsAlike = 24

// spreadPrior gives the variance that an operation's own past jobs are weighed with,
// and its weight. With no past jobs of other operations these are Spread^2 and
// PriorN; the other operations (the shop's scatter less this operation's own) then move
// the variance and raise the weight towards OperationsAlike:
//
//	w   = 1 / (1/PriorN - 1/OperationsAlike)
//	s0^2 = (w Spread^2 + SS) / (w + df),  nu0 = 1 / (1/OperationsAlike + 1/(w + df))
func (p Pace) spreadPrior(ownSS, ownN float64, set Settings) (variance, weight float64) {
	base := set.Spread * set.Spread
	if set.PriorN >= OperationsAlike {
		return base, set.PriorN
	}
	ss, df := math.Max(0, p.SumSquares-ownSS), math.Max(0, p.ResidualN-ownN)
	if df < 1e-9 {
		return base, set.PriorN
	}
	w := 1 / (1/set.PriorN - 1.0/OperationsAlike)
	return (w*base + ss) / (w + df), 1 / (1.0/OperationsAlike + 1/(w+df))
}

// offShop is what an operation's distance from the shop's pace says of the spread:
// k0 n/(k0+n) (ybar-m0)^2, one degree of freedom.
func offShop(mean, n, k0 float64, pool Pool) float64 {
	return k0 * n / (k0 + n) * (mean - pool.Centre) * (mean - pool.Centre)
}

// scatter gives the weighted mean of y, the weights' sum, the sum of squares
// about the mean and its degrees of freedom.
func scatter(rs []ratio) (mean, n, ss, df float64) {
	var sum2 float64
	for _, r := range rs {
		n += r.weight
		sum2 += r.weight * r.weight
		mean += r.weight * r.y
	}
	if n == 0 {
		return 0, 0, 0, 0
	}
	mean /= n
	for _, r := range rs {
		ss += r.weight * (r.y - mean) * (r.y - mean)
	}
	return mean, n, ss, n - sum2/n
}

// For gives the pool for a standard by its author.
func (p Pace) For(own bool) Pool {
	if own {
		return p.Own
	}
	return p.Factory
}

// ShopPace pools the past jobs of all operations. Each operation speaks with its mean,
// weighing n/(n+k0) as its own deviation from the shop allows, and the sum is
// shrunk to no difference by a prior of standard deviation PaceSD. Past jobs
// need StandardMin. The zero Pace is the pace of a shop without past jobs.
func ShopPace(pastJobs []PastJob, set Settings) Pace {
	set = set.WithDefaults()
	factory, own := make([]*PastJob, 0, len(pastJobs)), []*PastJob(nil)
	for i := range pastJobs {
		s := &pastJobs[i]
		if !s.Counts() || s.StandardMin <= 0 {
			continue
		}
		if s.Own {
			own = append(own, s)
		} else {
			factory = append(factory, s)
		}
	}
	p := Pace{Jobs: jobsBehind(pastJobs, set)}
	p.Factory = p.pool(factory, set.WeightFactory, set)
	p.Own = p.pool(own, set.WeightOwn, set)
	return p
}

func (pace *Pace) pool(pastJobs []*PastJob, k0 float64, set Settings) Pool {
	byOperation := map[string][]*PastJob{}
	for _, s := range pastJobs {
		byOperation[s.Operation] = append(byOperation[s.Operation], s)
	}
	names := make([]string, 0, len(byOperation))
	for name := range byOperation {
		names = append(names, name)
	}
	sort.Strings(names)
	prior, perOperation := paceVariance(k0, set)
	precision, sum := 1/prior, 0.0
	p := Pool{Operations: len(names)}
	type part struct{ mean, n, ss, df float64 }
	var parts []part
	for _, name := range names {
		rs := ratios(Standard{}, byOperation[name], set)
		mean, n, ss, df := scatter(rs)
		if n == 0 {
			continue
		}
		parts = append(parts, part{mean, n, ss, df})
		w := 1 / (perOperation + set.Spread*set.Spread/n)
		precision += w
		sum += w * mean
		p.N += len(rs)
	}
	p.Centre = sum / precision
	for _, x := range parts {
		pace.SumSquares += x.ss + offShop(x.mean, x.n, k0, p)
		pace.ResidualN += x.df + 1
	}
	p.SD = math.Sqrt(1 / precision)
	return p
}

// paceVariance splits the variance s0^2/k0 by which a standard may be off
// into the part that the whole shop shares and the part of each operation alone.
func paceVariance(k0 float64, set Settings) (shop, operation float64) {
	share := math.Min(0.8, set.PaceSD*set.PaceSD*set.WeightFactory/(set.Spread*set.Spread))
	whole := set.Spread * set.Spread / k0
	return whole * share, whole * (1 - share)
}

// jobsBehind counts the necks that the past jobs come from, the newest weighing
// 1 and older ones less, as past jobs do.
func jobsBehind(pastJobs []PastJob, set Settings) float64 {
	last := map[string]time.Time{}
	for i := range pastJobs {
		s := &pastJobs[i]
		if !s.Counts() {
			continue
		}
		for _, neck := range s.Necks {
			if s.When.After(last[neck]) || last[neck].IsZero() {
				last[neck] = s.When
			}
		}
	}
	n := 0.0
	for i := range len(last) {
		n += set.age(i)
	}
	return n
}

// pointers lends past jobs without copying them.
func pointers(pastJobs []PastJob) []*PastJob {
	out := make([]*PastJob, len(pastJobs))
	for i := range pastJobs {
		out[i] = &pastJobs[i]
	}
	return out
}

// ratio is a past job on the log scale.
type ratio struct {
	pastJob *PastJob
	y       float64 // ln(actual / e(q)), clamped
	raw     float64 // actual / e(q)
	clamped bool
	weight  float64
}

// ratios gives the past jobs that count, newest first, with their weights.
func ratios(std Standard, pastJobs []*PastJob, set Settings) []ratio {
	rs := make([]ratio, 0, len(pastJobs))
	for _, s := range pastJobs {
		if !s.Counts() {
			continue
		}
		expected := s.StandardMin
		if expected <= 0 {
			expected = std.Expected(*s)
		}
		if expected <= 0 {
			continue
		}
		r := ratio{pastJob: s, raw: s.Minutes / expected}
		limit := math.Log(set.Clamp)
		r.y = math.Log(r.raw)
		if math.Abs(r.y) > limit {
			r.y, r.clamped = math.Copysign(limit, r.y), true
		}
		rs = append(rs, r)
	}
	slices.SortStableFunc(rs, func(a, b ratio) int { return b.pastJob.When.Compare(a.pastJob.When) })
	for i := range rs {
		rs[i].weight = set.age(i)
	}
	return rs
}

// roundedTo gives 15 or 5 when at least four timings are all multiples of so
// many minutes (by chance: 1 in 600), else 0.
func roundedTo(rs []ratio) float64 {
	if len(rs) < 4 {
		return 0
	}
	for _, step := range []float64{15, 5} {
		all := true
		for _, r := range rs {
			all = all && math.Mod(r.pastJob.Minutes, step) == 0
		}
		if all {
			return step
		}
	}
	return 0
}

func median(rs []ratio) float64 {
	m := make([]float64, len(rs))
	for i, r := range rs {
		m[i] = r.pastJob.Minutes
	}
	sort.Float64s(m)
	if len(m)%2 == 1 {
		return m[len(m)/2]
	}
	return (m[len(m)/2-1] + m[len(m)/2]) / 2
}
