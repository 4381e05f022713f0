package estimate

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/floats/scalar"
)

// Upper critical values of Student t as in the table of the NIST/SEMATECH
// e-Handbook of Statistical Methods, 1.3.6.7.2 (three decimals, written down
// from memory); the last row is the normal.
func TestStudentQuantileTable(t *testing.T) {
	ps := []float64{0.90, 0.95, 0.975, 0.99, 0.995}
	for df, want := range map[float64][]float64{
		1:           {3.078, 6.314, 12.706, 31.821, 63.657},
		6:           {1.440, 1.943, 2.447, 3.143, 3.707},
		9:           {1.383, 1.833, 2.262, 2.821, 3.250},
		16:          {1.337, 1.746, 2.120, 2.583, 2.921},
		30:          {1.310, 1.697, 2.042, 2.457, 2.750},
		math.Inf(1): {1.282, 1.645, 1.960, 2.326, 2.576},
	} {
		for i, p := range ps {
			if got := StudentQuantile(df, p); !scalar.EqualWithinAbs(got, want[i], 0.0006) {
				t.Errorf("t(%g) at %g: %.4f, table %.3f", df, p, got, want[i])
			}
			if got := StudentQuantile(df, 1-p); !scalar.EqualWithinAbs(got, -want[i], 0.0006) {
				t.Errorf("t(%g) at %g: %.4f, table %.3f", df, 1-p, got, -want[i])
			}
		}
	}
}

// Lognormal identities (median exp(mu), mean exp(mu+s2/2), quantile
// exp(mu+s z)): values recomputed with 30 digits for mean 10, sd 4 and for
// mu 0, s 1. Known sigma is Student t with infinitely many degrees of freedom.
func TestLognormalQuantiles(t *testing.T) {
	sigma := math.Sqrt(math.Log(1 + 0.16))
	e := Estimate{StandardMin: 1, Centre: math.Log(10) - sigma*sigma/2, Scale: sigma, DF: math.Inf(1)}
	for p, want := range map[float64]float64{0.1: 5.666962654, 0.5: 9.284766909, 0.8: 12.84060401, 0.9: 15.21218717, 0.95: 17.49753764} {
		if got := e.Quantile(p); !scalar.EqualWithinRel(got, want, 1e-9) {
			t.Errorf("quantile %g: %.9f, want %.9f", p, got, want)
		}
		if got := e.ChanceWithin(want); !scalar.EqualWithinAbs(got, p, 1e-9) {
			t.Errorf("chance within %.3f: %.9f, want %g", want, got, p)
		}
	}
	if got := (Estimate{StandardMin: 1, Scale: 1, DF: math.Inf(1)}).Quantile(0.9); !scalar.EqualWithinRel(got, 3.6022244793, 1e-9) {
		t.Errorf("unit lognormal q90 %.10f", got)
	}
	// A clamp too far out to matter leaves the lognormal mean.
	if got, want := clampedMean(math.Inf(1), 0.35, 1000), math.Exp(0.35*0.35/2); !scalar.EqualWithinRel(got, want, 1e-8) {
		t.Errorf("mean %.10f, want %.10f", got, want)
	}
}

// withSpread gives n past jobs of e(q) 19 whose logs have mean y and mean
// square deviation s2 about it.
func withSpread(n int, y, s2 float64) []PastJob {
	var out []PastJob
	for i := range n {
		d := 0.0
		if n > 1 && !(n%2 == 1 && i == n-1) {
			d = math.Sqrt(s2 * float64(n) / float64(n-n%2))
			if i%2 == 1 {
				d = -d
			}
		}
		x := pastJob("drill", 6, 19*math.Exp(y+d), 1+i)
		out = append(out, x)
	}
	return out
}

// The ratios of safe to likely and the weights of history, from the formulas
// by hand: t(6) at 0.8 is 0.9057, t(9) 0.8834, t(16) 0.8647.
func TestEstimateClosedForms(t *testing.T) {
	factory := Standard{SetupMin: 10, RunMin: 1.5}
	own := Standard{SetupMin: 10, RunMin: 1.5, Own: true}
	still := Settings{HalfLife: -1}
	for _, c := range []struct {
		name     string
		std      Standard
		pastJobs []PastJob
		ratio    float64
	}{
		{"no history, factory default", factory, nil, 1.57},
		{"no history, own standard", own, nil, 1.44},
		{"3 past jobs", factory, withSpread(3, 0, 0.35*0.35), 1.41},
		{"10 past jobs", factory, withSpread(10, 0, 0.35*0.35), 1.37},
	} {
		e := ForStep(c.std, 6, c.pastJobs, Pace{}, still)
		if got := e.SafeMin / e.LikelyMin; !scalar.EqualWithinAbs(got, c.ratio, 0.005) {
			t.Errorf("%s: safe/likely %.4f, want %.2f", c.name, got, c.ratio)
		}
	}
	for _, c := range []struct {
		std  Standard
		n    int
		want float64
	}{{factory, 1, 0.50}, {factory, 3, 0.75}, {factory, 10, 10.0 / 11}, {own, 1, 0.25}, {own, 3, 0.50}, {own, 10, 10.0 / 13}} {
		e := ForStep(c.std, 6, withSpread(c.n, 0.2, 0), Pace{}, still)
		if got := math.Log(e.Pace) / 0.2; !scalar.EqualWithinAbs(got, c.want, 1e-9) {
			t.Errorf("own %v, n %d: history weighs %.3f, want %.3f", c.std.Own, c.n, got, c.want)
		}
	}
	e := ForStep(factory, 6, nil, Pace{}, Settings{})
	if got := e.MeanMin / e.LikelyMin; !scalar.EqualWithinAbs(got, 1.17, 0.005) {
		t.Errorf("mean/median without history %.4f, want 1.17", got)
	}
	if e.LikelyMin != 19 || e.DF != 6 {
		t.Errorf("likely %g with %g degrees of freedom, want 19 and 6", e.LikelyMin, e.DF)
	}
	// One worked example by hand: y = 0.3, 0.1, 0.2, m0 = 0, k0 = 1:
	// m = 0.6/4 = 0.15; s2 = (6 x 0.1225 + 0.02 + 0.75 x 0.04)/9 = 0.08722.
	var three []PastJob
	for i, y := range []float64{0.3, 0.1, 0.2} {
		three = append(three, pastJob("drill", 6, 19*math.Exp(y), 1+i))
	}
	e = ForStep(factory, 6, three, Pace{}, still)
	if !scalar.EqualWithinAbs(math.Log(e.Pace), 0.15, 1e-12) || !scalar.EqualWithinAbs(e.Spread*e.Spread, 0.785/9, 1e-12) || e.DF != 9 {
		t.Errorf("m %.6f, s2 %.6f, df %g; want 0.15, %.6f, 9", math.Log(e.Pace), e.Spread*e.Spread, e.DF, 0.785/9)
	}
	if !scalar.EqualWithinAbs(e.Scale, e.Spread*math.Sqrt(1.25), 1e-12) {
		t.Errorf("scale %.6f", e.Scale)
	}
}

// Past jobs of other operations sharpen what is known of the spread, and a shop that
// is slower at everything is known before any one operation is.
func TestShopPace(t *testing.T) {
	var all []PastJob
	for _, operation := range []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"} {
		all = append(all, pastJob(operation, 6, 19*1.3, 3))
	}
	p := ShopPace(all, Settings{})
	if got := math.Exp(p.Factory.Centre); got < 1.22 || got > 1.3 {
		t.Errorf("after ten operations at 1.3 the shop's pace is %.3f", got)
	}
	if p.Jobs != 1 || p.Factory.Operations != 10 {
		t.Errorf("jobs %g, operations %d", p.Jobs, p.Factory.Operations)
	}
	bare := ForStep(Standard{SetupMin: 10, RunMin: 1.5}, 6, nil, Pace{}, Settings{})
	e := ForStep(Standard{SetupMin: 10, RunMin: 1.5}, 6, nil, p, Settings{})
	if e.LikelyMin < 22 || e.DF <= 6 || e.Scale >= bare.Scale || e.PaceLoad >= bare.PaceLoad {
		t.Errorf("an operation without past jobs: likely %.1f, df %.1f, scale %.3f", e.LikelyMin, e.DF, e.Scale)
	}
	if own := p.For(true); own.N != 0 {
		t.Errorf("own standards have a pool of %d", own.N)
	}
}

func TestSamplesThatDoNotCount(t *testing.T) {
	good := pastJob("drill", 6, 25, 1)
	for name, spoil := range map[string]func(*PastJob){
		"assumed end": func(x *PastJob) { x.Excluded = "assumed end"; x.Minutes = 300 },
		"no quantity": func(x *PastJob) { x.Quantity = 0 },
		"one minute":  func(x *PastJob) { x.Minutes = 1 },
		"not finite":  func(x *PastJob) { x.Minutes = math.Inf(1) },
	} {
		bad := good
		spoil(&bad)
		if bad.Counts() {
			t.Errorf("%s: counts", name)
		}
		std := Standard{SetupMin: 10, RunMin: 1.5}
		with := ForStep(std, 6, []PastJob{good, bad}, ShopPace([]PastJob{good, bad}, Settings{}), Settings{})
		without := ForStep(std, 6, []PastJob{good}, ShopPace([]PastJob{good}, Settings{}), Settings{})
		if with.N != 1 || with.SafeMin != without.SafeMin || with.LikelyMin != without.LikelyMin {
			t.Errorf("%s: moves the estimate", name)
		}
	}
}

func TestEstimateWarnings(t *testing.T) {
	std := Standard{SetupMin: 10, RunMin: 1.5}
	has := func(e Estimate, text string) bool { return strings.Contains(strings.Join(e.Warnings, "; "), text) }
	four := []PastJob{pastJob("drill", 6, 20, 1), pastJob("drill", 6, 25, 2), pastJob("drill", 6, 15, 3), pastJob("drill", 6, 30, 4)}
	if e := ForStep(std, 6, four, Pace{}, Settings{}); !has(e, "multiples of 5") {
		t.Errorf("timings of 20 25 15 30: %v", e.Warnings)
	}
	exact := append([]PastJob(nil), four...)
	exact[0].Minutes = 20.3
	if a, b := ForStep(std, 6, exact, Pace{}, Settings{}), ForStep(std, 6, four, Pace{}, Settings{}); has(a, "rounded") || a.Scale >= b.Scale {
		t.Errorf("one exact timing: %v, scale %.4f against %.4f", a.Warnings, a.Scale, b.Scale)
	}
	if e := ForStep(std, 10, four, Pace{}, Settings{}); !has(e, "outside your experience") {
		t.Errorf("10 holes after at most 6: %v", e.Warnings)
	}
	if e := ForStep(std, 9, four, Pace{}, Settings{}); has(e, "outside") {
		t.Errorf("9 holes after 6 are not outside: %v", e.Warnings)
	}
	wild := append(exact, pastJob("drill", 6, 19*5, 5))
	e := ForStep(std, 6, wild, Pace{}, Settings{})
	if len(e.UnusualTimes) == 0 || !e.UnusualTimes[0].Clamped || !scalar.EqualWithinAbs(e.UnusualTimes[0].Ratio, 5, 1e-9) {
		t.Errorf("unusual times %+v", e.UnusualTimes)
	}
	if e := ForStep(Standard{}, 6, nil, Pace{}, Settings{}); e.LikelyMin != 0 || len(e.Warnings) == 0 || e.Quantile(0.8) != 0 {
		t.Errorf("an operation without times: %+v", e)
	}
	resumed := pastJob("drill", 6, 29, 6)
	resumed.SetupsResumed, resumed.StandardMin = 1, 0
	if e := ForStep(std, 6, []PastJob{resumed}, Pace{}, Settings{}); !scalar.EqualWithinAbs(e.Pace, 1, 1e-12) {
		t.Errorf("19 min and one more set-up of 10 is pace %.3f, want 1", e.Pace)
	}
}

// A faster builder from past job to past job shows as a trend, is not carried
// forward, and noise alone is no trend.
func TestTrend(t *testing.T) {
	var faster, noise []PastJob
	for i := range 8 {
		faster = append(faster, pastJob("drill", 6, 30*math.Pow(0.93, float64(i)), 1+i))
		noise = append(noise, pastJob("drill", 6, 25+3*math.Pow(-1, float64(i)), 1+i))
	}
	std := Standard{SetupMin: 10, RunMin: 1.5}
	e := ForStep(std, 6, faster, Pace{}, Settings{})
	if e.Trend == nil || !scalar.EqualWithinAbs(e.Trend.PerJob, 0.93, 1e-6) {
		t.Errorf("trend %+v, want 0.93", e.Trend)
	}
	if e.LikelyMin < 30*math.Pow(0.93, 8) {
		t.Errorf("likely %.1f runs ahead of the trend", e.LikelyMin)
	}
	if e := ForStep(std, 6, noise, Pace{}, Settings{}); e.Trend != nil {
		t.Errorf("noise has a trend: %+v", e.Trend)
	}
}

func TestRefit(t *testing.T) {
	std := Standard{SetupMin: 10, RunMin: 1.5, Per: "holes"}
	var xs []PastJob
	for i, q := range []float64{2, 4, 6, 8, 2, 12, 3, 6} {
		xs = append(xs, pastJob("drill", q, 14+2*q, 1+i))
	}
	got, ok := Refit(std, xs)
	if !ok || !scalar.EqualWithinAbs(got.SetupMin, 14, 1e-9) || !scalar.EqualWithinAbs(got.RunMin, 2, 1e-9) {
		t.Errorf("refit %+v %v, want 14 + 2q", got, ok)
	}
	if _, ok := Refit(std, xs[:7]); ok {
		t.Error("seven past jobs were enough")
	}
	for i := range xs {
		xs[i].Quantity = 6
	}
	if _, ok := Refit(std, xs); ok {
		t.Error("one quantity was enough")
	}
}

// For any history the order of likely, mean and safe stands, estimates grow
// with the quantity, and the order in which past jobs come does not matter.
func TestEstimateProperties(t *testing.T) {
	const seed = 42
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		std := Standard{SetupMin: 30 * r.Float64(), RunMin: 0.05 + 10*r.Float64(), Own: r.IntN(2) == 0}
		var xs []PastJob
		for range r.IntN(12) {
			q := float64(1 + r.IntN(20))
			xs = append(xs, PastJob{Operation: "k", Quantity: q, Minutes: 2 + 100*r.Float64(), When: monday.Add(time.Duration(r.IntN(1e6)) * time.Minute), Necks: []string{"N1"}})
			xs[len(xs)-1].StandardMin = std.Expected(xs[len(xs)-1])
			xs[len(xs)-1].Own = std.Own
		}
		pace := ShopPace(xs, Settings{})
		a := ForStep(std, 5, xs, pace, Settings{})
		if !(a.LikelyMin <= a.MeanMin && a.MeanMin <= a.SafeMin) || math.IsNaN(a.SafeMin) {
			t.Fatalf("seed %d case %d: likely %.2f mean %.2f safe %.2f", seed, i, a.LikelyMin, a.MeanMin, a.SafeMin)
		}
		if b := ForStep(std, 6, xs, pace, Settings{}); b.LikelyMin <= a.LikelyMin {
			t.Fatalf("seed %d case %d: more work takes less time", seed, i)
		}
		r.Shuffle(len(xs), func(i, j int) { xs[i], xs[j] = xs[j], xs[i] })
		if b := ForStep(std, 5, xs, ShopPace(xs, Settings{}), Settings{}); !scalar.EqualWithinRel(a.SafeMin, b.SafeMin, 1e-9) {
			t.Fatalf("seed %d case %d: the order of past jobs moves safe from %.6f to %.6f", seed, i, a.SafeMin, b.SafeMin)
		}
	}
}
