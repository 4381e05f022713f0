package estimate

import (
	"fmt"
	"math"
	"sort"
	"time"

	"bookmatch/jobs"
)

// Standard is the time model of one operation: minutes once per
// sitting and minutes per unit.
type Standard struct {
	SetupMin float64 `json:"setup_min"`
	RunMin   float64 `json:"run_min"`
	Per      string  `json:"per"`
	// Own says that the builder wrote it; it then weighs as three past jobs
	// instead of one.
	Own bool `json:"own"`
}

// Minutes is e(q) = setup + run x q, for one session.
func (s Standard) Minutes(q float64) float64 { return s.SetupMin + s.RunMin*q }

// Expected is what the standard says of a past job: e(q), one more setup for
// every time it was taken up again on another evening, times the difficulty.
func (s Standard) Expected(x PastJob) float64 {
	return (s.Minutes(x.Quantity) + s.SetupMin*float64(x.SetupsResumed)) * DifficultyOf(x.Difficulty)
}

// Estimate is what is known of the next time an operation is done. Minutes
// are of bench work without unlogged time. ln T is Student t with DF degrees
// of freedom, centre Centre, scale Scale; Quantile gives any point of it.
type Estimate struct {
	StandardMin float64 `json:"standard_min"` // e(q) of the next time
	LikelyMin   float64 `json:"likely_min"`   // P50
	SafeMin     float64 `json:"safe_min"`     // P80
	MeanMin     float64 `json:"mean_min"`     // of the clamped distribution: what a price is built on
	Pace        float64 `json:"pace"`         // exp(m): the builder against the standard
	PaceLow     float64 `json:"pace_low"`     // 80 % interval of the pace
	PaceHigh    float64 `json:"pace_high"`
	Spread      float64 `json:"spread"`      // s, on the log scale
	N           int     `json:"n"`           // past jobs that count
	NEffective  float64 `json:"n_effective"` // after ageing
	DF          float64 `json:"df"`
	Centre      float64 `json:"centre"`
	Scale       float64 `json:"scale"`
	// JobLoad and PaceLoad are the parts of Scale that all steps of one job
	// share: the days on which the past jobs were taken, and what is not yet
	// known of the shop's own pace. The simulation draws each of them once.
	JobLoad  float64 `json:"job_load"`
	PaceLoad float64 `json:"pace_load"`

	LargestQuantity float64       `json:"largest_quantity"`
	Oldest          time.Time     `json:"oldest"`
	Newest          time.Time     `json:"newest"`
	Basis           string        `json:"basis"`
	Warnings        []string      `json:"warnings,omitempty"`
	UnusualTimes    []UnusualTime `json:"unusual,omitempty"` // the three worst, worst first
	Trend           *Trend        `json:"trend,omitempty"`
}

// UnusualTime is a past job far from the rest.
type UnusualTime struct {
	Necks   []string `json:"necks"`
	Evening string   `json:"evening"`
	Minutes float64  `json:"minutes"`
	Ratio   float64  `json:"ratio"` // actual / e(q), before clamping
	Clamped bool     `json:"clamped"`
}

// Trend is the change of pace from one past job to the next (a factor; 0.97 is
// 3 % less time each). It is given only when its 80 % interval excludes no
// change, and it is never carried forward into an estimate.
type Trend struct {
	PerJob float64 `json:"per_job"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
}

// ForStep gives the estimate for quantity q from the past jobs of the same
// operation (those that do not count are skipped, see Sample.Counts), the shop's
// pace and the settings.
//
// Source: the conjugate normal model with unknown mean and variance (Gelman
// et al., Bayesian Data Analysis, section 3.3) on y = ln(actual / e(q)):
//
//	m  = (n ybar + k0 m0) / (n + k0)
//	s2 = (nu0 s0^2 + sum (y-ybar)^2 + k0 n/(k0+n) (ybar-m0)^2) / (nu0 + n)
//	ln T ~ t(nu0 + n), centre ln e(q) + m, scale s sqrt(1 + 1/(k0+n))
//
// s0 and nu0 are Spread and PriorN until other operations have past jobs (see
// spreadPrior). n is the sum of the past jobs' weights, the newest weighing 1 and each older
// one 2^(-1/half-life) of the next. A standard of no minutes gives an
// Estimate of no minutes with a warning.
func ForStep(std Standard, q float64, pastJobs []PastJob, pace Pace, set Settings) Estimate {
	set = set.WithDefaults()
	e := Estimate{StandardMin: std.Minutes(q), Pace: 1, PaceLow: 1, PaceHigh: 1}
	if q < 0 || math.IsNaN(q) || e.StandardMin <= 0 || math.IsInf(e.StandardMin, 0) || math.IsNaN(e.StandardMin) {
		e.StandardMin = 0
		e.Basis = "no standard"
		e.Warnings = append(e.Warnings, "no time is known for this step: give the operation a setup or a run time, and the step a quantity")
		return e
	}
	rs := ratios(std, pointers(pastJobs), set)
	e.N = len(rs)
	pool := pace.For(std.Own)
	k0 := set.WeightFactory
	if std.Own {
		k0 = set.WeightOwn
	}
	if pool.N == 0 {
		shop, _ := paceVariance(k0, set)
		pool = Pool{SD: math.Sqrt(shop)}
	}
	ybar, n, ss, residual := scatter(rs)
	ss += offShop(ybar, n, k0, pool)
	if n > 0 {
		residual++
	}
	s0, nu0 := pace.spreadPrior(ss, residual, set)
	e.NEffective = n
	e.DF = nu0 + n
	m := (n*ybar + k0*pool.Centre) / (n + k0)
	s2 := (nu0*s0 + ss) / e.DF
	if step := roundedTo(rs); step > 0 {
		typical := median(rs)
		s2 += step * step / 12 / (typical * typical)
		e.Warnings = append(e.Warnings, fmt.Sprintf("all timings are multiples of %g minutes: they look rounded, so the spread is widened", step))
	}
	e.Spread = math.Sqrt(s2)
	e.Centre = math.Log(e.StandardMin) + m
	e.Scale = e.Spread * math.Sqrt(1+1/(k0+n))
	e.Pace = math.Exp(m)
	half := StudentQuantile(e.DF, 0.9) * e.Spread / math.Sqrt(k0+n)
	e.PaceLow, e.PaceHigh = math.Exp(m-half), math.Exp(m+half)
	e.PaceLoad = k0 / (k0 + n) * pool.SD
	if pace.Jobs > 0 {
		e.JobLoad = n / (k0 + n) * set.Common / math.Sqrt(pace.Jobs)
	}
	for _, r := range rs {
		e.LargestQuantity = math.Max(e.LargestQuantity, r.pastJob.Quantity)
		if e.Oldest.IsZero() || r.pastJob.When.Before(e.Oldest) {
			e.Oldest = r.pastJob.When
		}
		if r.pastJob.When.After(e.Newest) {
			e.Newest = r.pastJob.When
		}
	}
	if e.N > 0 && q > set.WideBeyond*e.LargestQuantity {
		e.Scale *= set.WideFactor
		e.Warnings = append(e.Warnings, fmt.Sprintf("%g "+BeyondExperience+" (the largest so far is %g): the estimate is widened", q, e.LargestQuantity))
	}
	e.LikelyMin = e.StandardMin * e.Pace
	e.SafeMin = e.Quantile(0.8)
	e.MeanMin = e.LikelyMin * clampedMean(e.DF, e.Scale, set.DrawClamp)
	e.UnusualTimes = unusualTimes(rs)
	e.Trend = trend(rs)
	e.Basis = basis(std, e, pool)
	return e
}

// BeyondExperience marks the warning of a quantity far from those logged.
const BeyondExperience = "is outside your experience"

// Quantile gives the minutes that the next time stays under with chance p (0
// to 1, both excluded).
func (e Estimate) Quantile(p float64) float64 {
	if e.StandardMin <= 0 {
		return 0
	}
	return math.Exp(e.Centre + e.Scale*StudentQuantile(e.DF, p))
}

// ChanceWithin gives the chance that the next time takes at most minutes.
func (e Estimate) ChanceWithin(minutes float64) float64 {
	if e.StandardMin <= 0 {
		return 1
	}
	if minutes <= 0 {
		return 0
	}
	x := (math.Log(minutes) - e.Centre) / e.Scale
	return studentCDF(e.DF, x)
}

func unusualTimes(rs []ratio) []UnusualTime {
	worst := append([]ratio(nil), rs...)
	sort.SliceStable(worst, func(i, j int) bool {
		return math.Abs(math.Log(worst[i].raw)) > math.Abs(math.Log(worst[j].raw))
	})
	var out []UnusualTime
	for _, r := range worst {
		if len(out) == 3 || math.Abs(math.Log(r.raw)) < math.Log(1.5) {
			break
		}
		out = append(out, UnusualTime{Necks: r.pastJob.Necks, Evening: r.pastJob.Evening, Minutes: r.pastJob.Minutes, Ratio: r.raw, Clamped: r.clamped})
	}
	return out
}

func basis(std Standard, e Estimate, pool Pool) string {
	who := "starting standard"
	if std.Own {
		who = "your standard"
	}
	switch {
	case e.N == 0 && pool.N == 0:
		return who + ", no past jobs"
	case e.N == 0:
		return fmt.Sprintf("%s x shop pace %.2f, no past jobs of this operation", who, math.Exp(pool.Centre))
	case e.N == 1:
		return fmt.Sprintf("%s, 1 past job of %s, pace %.2f", who, e.Newest.Format("2006-01-02"), e.Pace)
	}
	return fmt.Sprintf("%s, %d past jobs %s to %s, pace %.2f", who, e.N, e.Oldest.Format("2006-01-02"), e.Newest.Format("2006-01-02"), e.Pace)
}

// DifficultyOf gives the factor of a step's difficulty: unknown or senseless (0 or less) is 1.
func DifficultyOf(f float64) float64 {
	if f <= 0 {
		return 1
	}
	return f
}

// StandardOf gives the time model of a stored operation.
func StandardOf(k jobs.Operation) Standard {
	return Standard{SetupMin: k.SetupMin + k.BenchWaitMin, RunMin: k.RunMin, Per: k.Per, Own: k.Own}
}

// Times multiplies the time by a factor, such as a difficulty; 0 leaves it.
func (e Estimate) Times(f float64) Estimate {
	if f <= 0 || f == 1 || e.StandardMin <= 0 {
		return e
	}
	e.StandardMin *= f
	e.LikelyMin *= f
	e.SafeMin *= f
	e.MeanMin *= f
	e.Centre += math.Log(f)
	return e
}

// Brief is the estimate without its story: what a simulation needs, and no
// more, for queues that are kept.
func (e Estimate) Brief() Estimate {
	e.Basis, e.Warnings, e.UnusualTimes, e.Trend = "", nil, nil, nil
	return e
}
