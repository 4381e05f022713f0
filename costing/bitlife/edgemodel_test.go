package bitlife

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"bookmatch/jobs"
)

func model(t testing.TB, shape, expected float64, events, censored []float64) EdgeModel {
	t.Helper()
	m, err := NewEdgeModel(shape, expected, publishedLives{Events: events, Censored: censored}.lives())
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The worked case of the shop's own model, each digit derived apart from this
// code: shape 2.5, rated 2.25 m, the next cut six 15 mm holes = 0.09 m.
func TestChanceDullWorkedCase(t *testing.T) {
	prior := model(t, 2.5, 2.25, nil, nil)
	closed := model(t, 2.5, 2.25, []float64{1.35, 1.95, 1.65}, []float64{0.72, 0.60})
	for i, age := range []float64{0.6, 1.2, 1.8, 2.4} {
		for _, c := range []struct {
			m    EdgeModel
			want float64
		}{{prior, []float64{1.46, 3.30, 4.51, 4.95}[i]}, {closed, []float64{2.36, 5.79, 9.02, 11.34}[i]}} {
			if got := 100 * c.m.ChanceDull(age, 0.09); math.Abs(got-c.want) > 0.005 {
				t.Errorf("age %v with %v events: %.3f %%, want %.2f", age, c.m.Events, got, c.want)
			}
		}
	}
	// Lives 90, 130, 110 dull, 48 and 40 good, rated 150 holes: 125.0 holes.
	if got := closed.ScaleM() / 0.015; math.Abs(got-125) > 0.05 {
		t.Errorf("life from closed edges %v holes, want 125.0", got)
	}
	if low, high := prior.ChanceBand(0.6, 0.09); math.Abs(100*low-0.16) > 0.05 || math.Abs(100*high-3.4) > 0.05 {
		t.Errorf("band at 0.6 m: %.2f to %.2f %%, want 0.2 to 3.4", 100*low, 100*high)
	}
	// Lives 48, 60, 72 all moved while good: at least 68 holes (90 %), 95 (63 %).
	good := model(t, 2.5, 0, nil, []float64{48, 60, 72})
	if a, b := good.AtLeastM(0.9), good.AtLeastM(1-1/math.E); math.Round(a) != 68 || math.Round(b) != 95 {
		t.Errorf("at least %v (90 %%), %v (63 %%), want 68 and 95", a, b)
	}
}

// Known-shape values for published data (NIST e-Handbook 8.4.1.3 data, bearing
// cage): scale (sum t^b / r)^(1/b), lower bound from chi-square; recomputed with
// mpmath and scipy.
func TestKnownShape(t *testing.T) {
	nistF := []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386}
	nistC := []float64{500, 500, 500, 500, 500, 500, 500, 500, 500, 500}
	for shape, want := range map[float64]float64{1: 777.1, 1.5: 636.28595, 2: 580.77302, 2.5: 552.57873, 3: 536.23216, 1.7207972608: 606.527558} {
		if got := model(t, shape, 0, nistF, nistC).ScaleM(); relative(got, want) > 1e-8 {
			t.Errorf("shape %v: %v, want %v", shape, got, want)
		}
	}
	// The bounds below use chi-square(2r + 2), for lives cut off by time.
	for shape, want := range map[float64]float64{2: 445.92836, 2.5: 447.30226, 3: 449.63347} {
		if got := model(t, shape, 0, nistF, nistC).AtLeastM(0.95); relative(got, want) > 1e-7 {
			t.Errorf("shape %v lower 95 %%: %v, want %v", shape, got, want)
		}
	}
	for _, c := range []struct {
		shape float64
		ages  []float64
		conf  float64
		want  float64
	}{
		{2, []float64{500, 500, 500, 500, 500}, .5, 1342.8957}, {2, []float64{500, 500, 500, 500, 500}, .95, 645.95685},
		{1, []float64{500, 500, 500, 500, 500}, .95, 834.5205}, {2.5, []float64{500, 500, 500, 500, 500}, .95, 613.70097},
		{2, []float64{120, 200, 260}, .9, 230.18238}, {2, []float64{120, 200, 260}, .95, 201.80337},
	} {
		if got := model(t, c.shape, 0, nil, c.ages).AtLeastM(c.conf); relative(got, c.want) > 1e-7 {
			t.Errorf("%+v: got %v", c, got)
		}
	}
}

func TestEdgeModelRefusals(t *testing.T) {
	for _, c := range []struct{ shape, expected, age float64 }{{0, 2, 1}, {math.NaN(), 2, 1}, {2.5, -1, 1}, {2.5, 2, 0}, {2.5, 2, -3}, {2.5, math.Inf(1), 1}} {
		if _, err := NewEdgeModel(c.shape, c.expected, []LifeDatum{{T: c.age}}); !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("%+v: got %v, want a refusal", c, err)
		}
	}
	nothing := model(t, 2.5, 0, nil, []float64{1, 2})
	if nothing.Known() || !math.IsNaN(nothing.ChanceDull(1, 0.1)) || nothing.ScaleM() != 0 {
		t.Errorf("no expected life and no event: %+v is no history", nothing)
	}
}

func TestChanceDullProperties(t *testing.T) {
	const seed = 3
	r := rand.New(rand.NewPCG(seed, seed))
	for range 400 {
		var lives []LifeDatum
		for range r.IntN(8) {
			lives = append(lives, LifeDatum{T: 0.1 + 3*r.Float64(), Event: r.IntN(2) == 0})
		}
		expected, shape, age, cut := 0.5+3*r.Float64(), 1.2+3*r.Float64(), 3*r.Float64(), 0.01+0.2*r.Float64()
		base, _ := NewEdgeModel(shape, expected, lives)
		p := base.ChanceDull(age, cut)
		low, high := base.ChanceBand(age, cut)
		if !(p > 0 && p < 1 && low < high && low < p) {
			t.Fatalf("seed %d: chance %v band %v to %v", seed, p, low, high)
		}
		// More events at the same ages never lower the risk.
		for i := range lives {
			if lives[i].Event {
				continue
			}
			lives[i].Event = true
			worse, _ := NewEdgeModel(shape, expected, lives)
			if worse.ChanceDull(age, cut) < p || worse.ScaleM() > base.ScaleM() {
				t.Fatalf("seed %d: one more event lowered the risk from %v to %v", seed, p, worse.ChanceDull(age, cut))
			}
			lives[i].Event = false
		}
		// A longer cut is no safer; all lengths scaled change nothing.
		if base.ChanceDull(age, cut*1.01) < p {
			t.Fatalf("seed %d: a longer cut is safer", seed)
		}
		k := math.Exp(3*r.Float64() - 1.5)
		var scaled []LifeDatum
		for _, d := range lives {
			scaled = append(scaled, LifeDatum{T: k * d.T, Event: d.Event})
		}
		big, _ := NewEdgeModel(shape, k*expected, scaled)
		if relative(big.ChanceDull(k*age, k*cut), p) > 1e-9 || relative(big.ScaleM(), k*base.ScaleM()) > 1e-9 {
			t.Fatalf("seed %d: scaled by %v the chance is %v, not %v", seed, k, big.ChanceDull(k*age, k*cut), p)
		}
	}
}

// Kaplan and Meier's own small case is long in textbooks: 6-MP remission times,
// survival .8571, .8067, .7529, .6902, .6275, .5378, .4482 at 6, 7, 10, 13, 16,
// 22, 23 weeks (Freireich et al. 1963; values as in survival-analysis texts, from
// memory).
func TestSurvivalSteps(t *testing.T) {
	steps := SurvivalSteps(publishedLives{Events: []float64{6, 6, 6, 7, 10, 13, 16, 22, 23}, Censored: []float64{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35}}.lives())
	want := [][2]float64{{0, 1}, {6, .8571}, {7, .8067}, {10, .7529}, {13, .6902}, {16, .6275}, {22, .5378}, {23, .4482}}
	if len(steps) != len(want) {
		t.Fatalf("got %v", steps)
	}
	for i, w := range want {
		if steps[i].AgeM != w[0] || math.Abs(steps[i].Survival-w[1]) > 5e-5 {
			t.Errorf("step %d: got %+v, want %v", i, steps[i], w)
		}
	}
}
