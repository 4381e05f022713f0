package quote

import (
	"fmt"
	"math"
	"sort"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// Kept is one finished neck against its quote.
type Kept struct {
	Quote  string  `json:"quote"`
	Mean   float64 `json:"mean_h"`
	P50    float64 `json:"p50_h"`
	P80    float64 `json:"p80_h"`
	Actual float64 `json:"actual_h"`
	Own    float64 `json:"own_estimate_h,omitempty"`
	// OnTime says whether it was out by the safe date; nil when not known.
	OnTime *bool `json:"on_time,omitempty"`
}

// KeptOf gives a finished quote's row. Hours that agreed changes added are
// taken out: the quote did not speak of them.
func KeptOf(q jobs.Quote, out Quoted, rv Review) Kept {
	k := Kept{Quote: q.Code, Mean: out.Hours.Mean, P50: out.Hours.P50, P80: out.Hours.P80, Actual: rv.ActualHours, Own: q.OwnHours}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted {
			k.Actual -= c.Hours
		}
	}
	for _, h := range []*float64{&k.Mean, &k.P50, &k.P80, &k.Actual, &k.Own} {
		*h = jobs.Round2(*h)
	}
	return k
}

// Calibration says how often the quotes held.
type Calibration struct {
	N         int      `json:"n"`
	UnderSafe int      `json:"under_p80"`
	UnderHalf int      `json:"under_p50"`
	Low       float64  `json:"low"` // 95 % interval of the chance to stay under the P80
	High      float64  `json:"high"`
	Ratio     float64  `json:"ratio"` // actual hours over quoted mean, all together
	OnTime    int      `json:"on_time"`
	Dated     int      `json:"dated"`
	OwnCount  int      `json:"own_estimates"`
	OwnRatio  float64  `json:"own_ratio,omitempty"`
	Verdict   string   `json:"verdict"`
	Quotes    []Kept   `json:"quotes"`
	Notes     []string `json:"notes,omitempty"`
}

// binomialTail is the chance of k of n or further from what p leads one to
// expect, on the side on which k is. Wilson's interval is too narrow for one
// or two necks: 0 of 1 is no proof against 80 %, it happens one time in five.
func binomialTail(k, n int, p float64) float64 {
	from, to := 0, k
	if float64(k) > p*float64(n) {
		from, to = k, n
	}
	sum := 0.0
	all, _ := math.Lgamma(float64(n) + 1)
	for i := from; i <= to; i++ {
		in, _ := math.Lgamma(float64(i) + 1)
		out, _ := math.Lgamma(float64(n-i) + 1)
		sum += math.Exp(all - in - out + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return math.Min(sum, 1)
}

// Calibrate counts over finished necks how many stayed under their P80, with
// the interval of Wilson (1927). The verdict says no more than the count can
// bear: 6 of 10 under a P80 is not yet proof of bold quoting.
func Calibrate(kept []Kept) Calibration {
	c := Calibration{N: len(kept), Quotes: append([]Kept(nil), kept...)}
	sort.SliceStable(c.Quotes, func(i, j int) bool { return c.Quotes[i].Quote < c.Quotes[j].Quote })
	var actual, mean, ownActual, own float64
	for _, k := range kept {
		if k.Actual <= k.P80 {
			c.UnderSafe++
		}
		if k.Actual <= k.P50 {
			c.UnderHalf++
		}
		actual += k.Actual
		mean += k.Mean
		if k.Own > 0 {
			c.OwnCount++
			ownActual += k.Actual
			own += k.Own
		}
		if k.OnTime != nil {
			c.Dated++
			if *k.OnTime {
				c.OnTime++
			}
		}
	}
	if mean > 0 {
		c.Ratio = jobs.Round3(actual / mean)
	}
	if own > 0 {
		c.OwnRatio = jobs.Round3(ownActual / own)
	}
	c.Low, c.High = bitlife.Wilson(c.UnderSafe, c.N, 1.959963984540054)
	want := 0.8 * float64(c.N)
	switch {
	case c.N == 0:
		c.Verdict = "No finished neck has a quote yet."
	case (c.Low > 0.8 || c.High < 0.8) && binomialTail(c.UnderSafe, c.N, 0.8) >= 0.025:
		c.Verdict = fmt.Sprintf("%d of %d under the safe hours, %.0f expected: too few to tell a bias from chance", c.UnderSafe, c.N, want)
	case c.Low > 0.8:
		c.Verdict = fmt.Sprintf("%d of %d under the safe hours, %.0f expected: the quotes are wider than they need to be", c.UnderSafe, c.N, want)
	case c.High < 0.8:
		c.Verdict = fmt.Sprintf("%d of %d under the safe hours, %.0f expected: the quotes are too bold", c.UnderSafe, c.N, want)
	default:
		c.Verdict = fmt.Sprintf("%d of %d under the safe hours, %.0f expected: no proof of bias either way, the true share is between %s and %s", c.UnderSafe, c.N, want, bitlife.Percent(c.Low), bitlife.Percent(c.High))
	}
	if c.N > 0 {
		c.Notes = append(c.Notes, "A builder who sees the figure first works to it. Your own estimate is therefore shown next to it.")
	}
	return c
}
