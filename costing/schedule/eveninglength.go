package schedule

import "math"

// Seen is one planned evening of the past.
type Seen struct {
	PlannedMin float64
	SpanMin    float64 // from the first start to the last end; 0 when nobody came
	// AtLeast says that the evening ended because nothing more could be
	// started: it was at least so long, not short.
	AtLeast bool
	// Idle says that nobody came because nothing could be started. Such an
	// evening says nothing of attendance or length.
	Idle bool
}

// EveningLength is how long evenings are against the plan: a lognormal factor
// with this median and log spread.
type EveningLength struct {
	Factor, Spread float64
	Evenings       int // how many it is learned from
}

// leastSpan is the shortest evening that counts, in minutes (judgement).
const leastSpan = 20

// rounds of the estimate. Each comes nearer to the same answer.
const lengthRounds = 60

// LearnLength learns the length of evenings. The prior weighs as four evenings
// of the planned length with a log spread of 0.2 (judgement).
func LearnLength(seen []Seen) EveningLength {
	var ys []float64
	var atLeast []bool
	for _, s := range seen {
		if s.SpanMin >= leastSpan && s.PlannedMin > 0 {
			ys, atLeast = append(ys, math.Log(s.SpanMin/s.PlannedMin)), append(atLeast, s.AtLeast)
		}
	}
	mu, sd := censoredNormal(ys, atLeast, priorLengthN, priorLengthSpread, lengthRounds)
	return EveningLength{math.Exp(mu), sd, len(ys)}
}

// censoredNormal fits a normal to values of which some are only known to be at
// least so large, by expectation and maximisation (Dempster, Laird and Rubin
// 1977, from memory). A censored y is replaced by what it is expected to be
// above it; prior values of 0 with spread priorSD count as so many more.
func censoredNormal(ys []float64, atLeast []bool, prior, priorSD float64, rounds int) (mu, sd float64) {
	n := float64(len(ys)) + prior
	if n == 0 {
		return 0, priorSD
	}
	sd = priorSD
	expected := make([]float64, len(ys))
	for range rounds {
		sum, extra := 0.0, 0.0
		for i, y := range ys {
			expected[i] = y
			if atLeast[i] {
				a := (y - mu) / sd
				h := hazard(a)
				expected[i] = mu + sd*h
				extra += sd * sd * (1 + a*h - h*h)
			}
			sum += expected[i]
		}
		mu = sum / n
		squares := prior*priorSD*priorSD + extra
		for _, x := range expected {
			squares += (x - mu) * (x - mu)
		}
		sd = math.Sqrt(squares / n)
	}
	return mu, sd
}

// hazard gives the density of the standard normal over what is above a.
func hazard(a float64) float64 {
	if a > 30 {
		return a + 1/a
	}
	return math.Sqrt(2/math.Pi) * math.Exp(-a*a/2) / math.Erfc(a/math.Sqrt2)
}
