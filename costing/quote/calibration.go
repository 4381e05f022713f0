package quote

import (
	"fmt"
	"math"
	"sort"

	"bookmatch/costing/bitlife"
)

// Kept is one finished neck against its quote.
type Kept struct {
	Quote  string  `json:"quote"`
	Mean   float64 `json:"mean_h"`
	P50    float64 `json:"p50_h"`
	P80    float64 `json:"p80_h"`
	Actual float64 `json:"actual_h"`
	Guess  float64 `json:"guess_h,omitempty"`
	// OnTime says whether it was out by the safe date; nil when not known.
	OnTime *bool `json:"on_time,omitempty"`
}

// KeptOf gives a finished quote's row. Hours that agreed changes added are
// taken out: the quote did not speak of them.
func KeptOf(q Quote, r Revision, rv Review) Kept {
	k := Kept{Quote: q.Code, Mean: r.Result.Hours.Mean, P50: r.Result.Hours.P50, P80: r.Result.Hours.P80, Actual: rv.ActualHours, Guess: q.GuessHours}
	for _, c := range q.Changes {
		if c.Status == ChangeAgreed {
			k.Actual -= c.Hours
		}
	}
	return k
}

// Calibration says how often the quotes held.
type Calibration struct {
	N          int      `json:"n"`
	UnderSafe  int      `json:"under_p80"`
	UnderHalf  int      `json:"under_p50"`
	Low        float64  `json:"low"` // 95 % interval of the chance to stay under the P80
	High       float64  `json:"high"`
	Ratio      float64  `json:"ratio"` // actual hours over quoted mean, all together
	OnTime     int      `json:"on_time"`
	Dated      int      `json:"dated"`
	Guesses    int      `json:"guesses"` // with a guess before looking
	GuessRatio float64  `json:"guess_ratio,omitempty"`
	Verdict    string   `json:"verdict"`
	Quotes     []Kept   `json:"quotes"`
	Notes      []string `json:"notes,omitempty"`
}

// binomialTail is the chance of k of n or further from what p leads one to
// expect, on the side on which k lies. Wilson's interval is too narrow for one
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
	var actual, mean, guessed, guess float64
	for _, k := range kept {
		if k.Actual <= k.P80 {
			c.UnderSafe++
		}
		if k.Actual <= k.P50 {
			c.UnderHalf++
		}
		actual += k.Actual
		mean += k.Mean
		if k.Guess > 0 {
			c.Guesses++
			guessed += k.Actual
			guess += k.Guess
		}
		if k.OnTime != nil {
			c.Dated++
			if *k.OnTime {
				c.OnTime++
			}
		}
	}
	if mean > 0 {
		c.Ratio = actual / mean
	}
	if guess > 0 {
		c.GuessRatio = guessed / guess
	}
	c.Low, c.High = bitlife.Wilson(c.UnderSafe, c.N, 1.959963984540054)
	want := 0.8 * float64(c.N)
	switch {
	case c.N == 0:
		c.Verdict = "no finished neck has a quote yet: nothing to say"
	case (c.Low > 0.8 || c.High < 0.8) && binomialTail(c.UnderSafe, c.N, 0.8) >= 0.025:
		c.Verdict = fmt.Sprintf("%d of %d under the P80, %.0f wanted: too few to tell a bias from chance", c.UnderSafe, c.N, want)
	case c.Low > 0.8:
		c.Verdict = fmt.Sprintf("%d of %d under the P80, %.0f wanted: the quotes are wider than they need to be", c.UnderSafe, c.N, want)
	case c.High < 0.8:
		c.Verdict = fmt.Sprintf("%d of %d under the P80, %.0f wanted: the quotes are too bold", c.UnderSafe, c.N, want)
	default:
		c.Verdict = fmt.Sprintf("%d of %d under the P80, %.0f wanted: no proof of bias either way, the true share lies between %s and %s", c.UnderSafe, c.N, want, bitlife.Percent(c.Low), bitlife.Percent(c.High))
	}
	if c.N > 0 {
		c.Notes = append(c.Notes, "a builder who sees the figure first works to it: the guess before looking stands beside it where it was given")
	}
	return c
}
