package bitlife

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"bookmatch/jobs"
)

type publishedLives struct {
	Name, Basis      string
	Events, Censored []float64
	Counted          [][2]float64
	Shape, Scale     float64
	LogLik           float64     `json:"log_lik"`
	ShapeSE          float64     `json:"shape_se"`
	ScaleSE          float64     `json:"scale_se"`
	ShapeWald        *[2]float64 `json:"shape_wald"`
	ScaleWald        *[2]float64 `json:"scale_wald"`
	ShapeProfile     *[2]float64 `json:"shape_profile"`
	ScaleProfile     *[2]float64 `json:"scale_profile"`
}

func (p publishedLives) lives() []LifeDatum {
	var out []LifeDatum
	for _, t := range p.Events {
		out = append(out, LifeDatum{T: t, Event: true})
	}
	for _, t := range p.Censored {
		out = append(out, LifeDatum{T: t})
	}
	for _, c := range p.Counted {
		out = append(out, LifeDatum{T: c[0], Weight: c[1]})
	}
	return out
}

// relative says how far got is from want, as a share of want.
func relative(got, want float64) float64 { return math.Abs(got-want) / math.Abs(want) }

// Published sets: each file of testdata/bitlife names its source and says which
// digits were printed and which recomputed with other tools.
func TestFitWeibullPublished(t *testing.T) {
	files, _ := filepath.Glob("../../testdata/bitlife/*.json")
	if len(files) < 7 {
		t.Fatalf("only %d data sets", len(files))
	}
	for _, f := range files {
		var p publishedLives
		text, err := os.ReadFile(f)
		if err == nil {
			err = json.Unmarshal(text, &p)
		}
		if err != nil {
			t.Fatal(f, err)
		}
		t.Run(filepath.Base(f), func(t *testing.T) {
			fit, err := FitWeibull(p.lives())
			if err != nil {
				t.Fatal(err)
			}
			check := func(what string, got, want, tolerance float64) {
				if !(relative(got, want) <= tolerance) {
					t.Errorf("%s: got %.10g, want %.10g", what, got, want)
				}
			}
			check("shape", fit.Shape, p.Shape, 2e-9)
			check("scale", fit.ScaleM, p.Scale, 2e-9)
			check("logL", fit.LogLik, p.LogLik, 2e-9)
			check("SE shape", fit.ShapeSE, p.ShapeSE, 1e-6)
			check("SE scale", fit.ScaleSE, p.ScaleSE, 1e-6)
			interval := func(what string, got Interval, want *[2]float64) {
				if want == nil {
					return
				}
				if got.Low == nil || got.High == nil {
					t.Errorf("%s: not bounded, want %v", what, *want)
					return
				}
				check(what+" low", *got.Low, want[0], 1e-6)
				check(what+" high", *got.High, want[1], 1e-6)
			}
			interval("Wald shape", fit.ShapeWald, p.ShapeWald)
			interval("Wald scale", fit.ScaleWald, p.ScaleWald)
			interval("profile shape", fit.ShapeProfile, p.ShapeProfile)
			interval("profile scale", fit.ScaleProfile, p.ScaleProfile)
		})
	}
	// As printed: NIST/SEMATECH e-Handbook 8.4.1.3.
	var p publishedLives
	text, _ := os.ReadFile("../../testdata/bitlife/nist-8413.json")
	if err := json.Unmarshal(text, &p); err != nil {
		t.Fatal(err)
	}
	fit, err := FitWeibull(p.lives())
	if err != nil || relative(fit.ScaleM, 606.5280) > 1e-6 || math.Abs(fit.Shape-1.7208) > 5e-5 || math.Abs(fit.LogLik+75.135) > 5e-4 {
		t.Errorf("NIST prints 606.5280, 1.7208, -75.135: got %v %v %v %v", fit.ScaleM, fit.Shape, fit.LogLik, err)
	}
}

// Recomputed with mpmath at 30 digits; not published.
func TestFitWeibullNearTheEdge(t *testing.T) {
	lives := func(events []float64, censored ...float64) []LifeDatum {
		return publishedLives{Events: events, Censored: censored}.lives()
	}
	for name, c := range map[string]struct {
		lives        []LifeDatum
		shape, scale float64
		profile      *[4]float64
	}{
		"one event, the largest is censored": {lives([]float64{200}, 100, 150, 300), 3.61147906925, 324.782697155, nil},
		"two events":                         {lives([]float64{120, 210}, 90, 150, 260), 3.12677210751, 252.15603496, nil},
		"three events": {lives([]float64{150, 260, 310}, 90, 200, 330, 330), 3.59136302202, 343.303842078,
			&[4]float64{1.0934876, 8.285431, 254.69287, 748.80256}},
	} {
		fit, err := FitWeibull(c.lives)
		if err != nil || relative(fit.Shape, c.shape) > 1e-9 || relative(fit.ScaleM, c.scale) > 1e-9 {
			t.Errorf("%s: got %v %v %v", name, fit.Shape, fit.ScaleM, err)
		}
		if p := c.profile; p != nil && (relative(*fit.ShapeProfile.Low, p[0]) > 1e-6 || relative(*fit.ShapeProfile.High, p[1]) > 1e-6 ||
			relative(*fit.ScaleProfile.Low, p[2]) > 1e-6 || relative(*fit.ScaleProfile.High, p[3]) > 1e-6) {
			t.Errorf("%s: profile intervals %v %v", name, fit.ShapeProfile, fit.ScaleProfile)
		}
	}
	one, err := FitWeibull(lives([]float64{200}, 100, 150, 300))
	if err != nil || one.ScaleProfile.High == nil || relative(*one.ScaleProfile.High, 23795.017) > 1e-6 {
		t.Errorf("one event bounds the scale at 73 times the estimate: got %v, %v", one.ScaleProfile, err)
	}
	few := append(lives([]float64{200}), LifeDatum{T: 300, Weight: 400})
	if fit, err := FitWeibull(few); err != nil || fit.ScaleProfile.High != nil || fit.ScaleProfile.Low == nil {
		t.Errorf("one event in 401 bounds no scale from above: got %+v, %v", fit, err)
	}
	for name, bad := range map[string][]LifeDatum{
		"no lives": nil, "no event": lives(nil, 100, 200), "one event and it is the largest": lives([]float64{300}, 100, 300),
		"all events equal": lives([]float64{200, 200}, 100, 150),
	} {
		if _, err := FitWeibull(bad); !errors.Is(err, ErrNoMaximum) {
			t.Errorf("%s: got %v, want no best fit", name, err)
		}
	}
	for _, x := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := FitWeibull([]LifeDatum{{T: x, Event: true}, {T: 3}}); !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("a life of %v: got %v, want a refusal", x, err)
		}
	}
}

func TestFitWeibullScalesWithLength(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, seed))
	for range 40 {
		var lives, scaled []LifeDatum
		k := math.Exp(8 * (r.Float64() - 0.5))
		for i := range 4 + r.IntN(20) {
			d := LifeDatum{T: 0.1 + 3*r.Float64(), Event: i%3 != 0}
			lives = append(lives, d)
			scaled = append(scaled, LifeDatum{T: k * d.T, Event: d.Event})
		}
		a, errA := FitWeibull(lives)
		b, errB := FitWeibull(scaled)
		if errA != nil || errB != nil || relative(b.Shape, a.Shape) > 1e-8 || relative(b.ScaleM, k*a.ScaleM) > 1e-8 {
			t.Fatalf("seed %d: %v %v %v / %v %v %v", seed, a.Shape, a.ScaleM, errA, b.Shape, b.ScaleM, errB)
		}
	}
}
