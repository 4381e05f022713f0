package bitlife

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Age replacement, scale 1 and change 1: recomputed with mpmath at 30 digits
// from the formula of Barlow and Hunter (1960). The inputs shape 2.5, scale 1000,
// costs 1 and 5 are a published example (a reliability reference of 2012), whose
// printed answer 493.0470 is from memory.
func TestRetireAgeTable(t *testing.T) {
	for _, c := range []struct{ shape, ratio, age, rate, run, chance float64 }{
		{1.2, 5, 1.593212112, 5.268608852, 5.315440239, 0.826009},
		{1.2, 10, 0.6860863912, 10.01611994, 10.63088048, 0.470747},
		{1.5, 2, 2.17464138, 2.211999798, 2.215464335, 0.959517},
		{1.5, 5, 0.6754919921, 4.931299192, 5.538660837, 0.426028},
		{1.5, 10, 0.3781444916, 8.301616324, 11.07732167, 0.207477},
		{2, 2, 1.09079697, 2.181593939, 2.256758334, 0.695729},
		{2, 5, 0.5106552243, 4.085241794, 5.641895835, 0.229541},
		{2, 10, 0.3364511913, 6.056121443, 11.28379167, 0.107027},
		{2.5, 2, 0.8836016774, 2.076465913, 2.254120996, 0.519970},
		{2.5, 5, 0.4930469576, 3.462042739, 5.635302490, 0.156921},
		{2.5, 10, 0.3545744096, 4.750546799, 11.27060498, 0.0721296},
		{3, 2, 0.8103420274, 1.969962604, 2.239693043, 0.412638},
		{3, 5, 0.5026095821, 3.031396704, 5.599232609, 0.119238},
		{3, 10, 0.3824555311, 3.949350299, 11.19846522, 0.0544066},
		{4, 5, 0.5384021203, 2.497124911, 5.516313257, 0.080595},
	} {
		r := RetireAge(c.shape, 1, 1, c.ratio)
		if !r.Finite || relative(r.AgeM, c.age) > 1e-8 || relative(r.Rate, c.rate) > 1e-8 || relative(r.RunRate, c.run) > 1e-8 || math.Abs(r.Chance-c.chance) > 1e-6 {
			t.Errorf("shape %v ratio %v: got %+v", c.shape, c.ratio, r)
		}
		// At the optimum the cost rate is (Cf - Cp) times the hazard.
		if got := (c.ratio - 1) * c.shape * math.Pow(r.AgeM, c.shape-1); relative(got, r.Rate) > 1e-7 {
			t.Errorf("shape %v ratio %v: (Cf-Cp) h(T*) = %v, not the rate %v", c.shape, c.ratio, got, r.Rate)
		}
	}
	for name, c := range map[string][6]float64{ // shape, scale, change, damage, T*, rate
		"published inputs A":     {2.5, 1000, 1, 5, 493.0469576, 0.003462042739},
		"published inputs B":     {3, 150, 2, 8, 83.12298249, 0.03685029449},
		"the NIST fit, 10 to 50": {1.7207972608, 606.527558004, 10, 50, 340.4775698, 0.07484978784},
	} {
		if r := RetireAge(c[0], c[1], c[2], c[3]); relative(r.AgeM, c[4]) > 1e-8 || relative(r.Rate, c[5]) > 1e-8 {
			t.Errorf("%s: got %+v", name, r)
		}
	}
}

func TestCostRateValues(t *testing.T) {
	// Shape 2.5, scale 1000, costs 1 and 5; recomputed with mpmath.
	for age, want := range map[float64]float64{100: .01013544033, 200: .005381954191, 300: .004030625032, 400: .003562442328, 500: .003462492914,
		600: .003550288908, 800: .003985418494, 1000: .004516405502, 2000: .005622418182} {
		if got := CostRate(age, 2.5, 1000, 1, 5); relative(got, want) > 1e-9 {
			t.Errorf("at %v: got %.10g, want %.10g", age, got, want)
		}
	}
	// Shape 2 has the closed form 2T (sqrt(pi)/2) erf(T) - (1 - exp(-T^2)) = 1/(ratio - 1).
	for _, ratio := range []float64{2, 4, 7.7, 30} {
		x := RetireAge(2, 1, 1, ratio).AgeM
		if got := 2*x*math.Sqrt(math.Pi)/2*math.Erf(x) + math.Expm1(-x*x); relative(got, 1/(ratio-1)) > 1e-9 {
			t.Errorf("ratio %v: T* %v does not meet the closed form", ratio, x)
		}
	}
}

// Shape 2.5, scale 1.8 m, change 9: the ages in reference holes of 15 mm.
func TestRetireAgeInHoles(t *testing.T) {
	for tornHole, holes := range map[float64]float64{25: 83, 45: 59, 70: 48, 120: 37, 300: 25} {
		r := RetireAge(2.5, 1.8, 9, tornHole)
		if got := math.Round(r.AgeM / 0.015); got != holes {
			t.Errorf("damage %v: %v holes (%.3f m), want %v", tornHole, got, r.AgeM, holes)
		}
	}
	if r := RetireAge(2.5, 1.8, 9, 70); math.Abs(r.AgeM-0.72) > 0.005 || math.Abs(r.Rate*0.015-0.319) > 0.0005 {
		t.Errorf("damage 70: got %v m at %v a hole, want about 0.72 m at 0.319", r.AgeM, r.Rate*0.015)
	}
}

func TestNoFiniteAge(t *testing.T) {
	for _, c := range [][4]float64{{0.5, 1, 1, 2}, {0.8, 1, 1, 2}, {1, 1, 1, 2}, {2.5, 1, 9, 9}, {2.5, 1, 9, 4}, {1.2, 1, 1, 1.5}, {2.5, 1, 0, 70}, {2.5, 0, 9, 70}} {
		if r := RetireAge(c[0], c[1], c[2], c[3]); r.Finite || r.Why == "" {
			t.Errorf("%v: got %+v, want no finite age and the reason", c, r)
		}
	}
	// Running to failure: damage / (scale x Gamma(1 + 1/shape)).
	for shape, want := range map[float64]float64{0.5: 1, 0.8: 1.765220242, 1: 2} {
		if r := RetireAge(shape, 1, 1, 2); relative(r.RunRate, want) > 1e-9 {
			t.Errorf("shape %v: %v, want %v", shape, r.RunRate, want)
		}
	}
}

func TestRetireAgeProperties(t *testing.T) {
	const seed = 11
	r := rand.New(rand.NewPCG(seed, seed))
	for range 300 {
		shape, scale, change := 1.05+4*r.Float64(), math.Exp(6*r.Float64()-3), 1+20*r.Float64()
		tornHole := change * (1.05 + 40*r.Float64())
		a := RetireAge(shape, scale, change, tornHole)
		if !a.Finite {
			continue
		}
		if dearer := RetireAge(shape, scale, change, tornHole*1.1); dearer.AgeM > a.AgeM*(1+1e-9) {
			t.Fatalf("seed %d: a larger damage raised T*: %v to %v", seed, a.AgeM, dearer.AgeM)
		}
		k := math.Exp(4*r.Float64() - 2)
		if b := RetireAge(shape, k*scale, change, tornHole); relative(b.AgeM, k*a.AgeM) > 1e-8 {
			t.Fatalf("seed %d: scaled by %v: %v, want %v", seed, k, b.AgeM, k*a.AgeM)
		}
		for _, f := range []float64{0.5, 0.9, 1.1, 2} {
			if CostRate(f*a.AgeM, shape, scale, change, tornHole) < a.Rate*(1-1e-12) {
				t.Fatalf("seed %d: %v is cheaper than T* = %v", seed, f*a.AgeM, a.AgeM)
			}
		}
	}
}
