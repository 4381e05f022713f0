package schedule

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// checkLengths is a part of case 10: evenings of planned 150 minutes, + for
// those that ended for want of work.
func checkLengths(t *testing.T) {
	lengths := func(text string) (out []Seen) {
		for _, word := range strings.Fields(text) {
			var minutes float64
			fmt.Sscan(strings.TrimSuffix(word, "+"), &minutes)
			out = append(out, Seen{PlannedMin: 150, SpanMin: minutes, AtLeast: strings.HasSuffix(word, "+")})
		}
		return out
	}
	for _, c := range []struct {
		name, evenings string
		factor, spread float64
	}{
		{"censored", "152 61+ 148 74+ 90+ 163 55+ 131 82+ 140", 0.987, 0.144},
		{"taken as short", "152 61 148 74 90 163 55 131 82 140", 0.760, 0},
		{"all of them at least", "60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+", 1.000, 0},
		{"none", "", 1, 0.2},
	} {
		got := LearnLength(lengths(c.evenings))
		if math.Round(got.Factor*1000)/1000 != c.factor || c.spread > 0 && math.Round(got.Spread*1000)/1000 != c.spread {
			t.Errorf("%s: %.4f, spread %.4f, want %.3f and %.3f", c.name, got.Factor, got.Spread, c.factor, c.spread)
		}
	}
}

// TestCensoredNormalAgreesWithScipy compares the fit without a prior with the
// largest likelihood that scipy finds on twenty sets.
func TestCensoredNormalAgreesWithScipy(t *testing.T) {
	python := "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import scipy").Run(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3 with scipy is not installed, but CI asks for every check")
		}
		t.Skip("python3 with scipy is not installed")
	}
	type set struct {
		Y       []float64 `json:"y"`
		AtLeast []bool    `json:"at_least"`
	}
	r := rand.New(rand.NewPCG(10, 16))
	var sets []set
	for k := range 20 {
		var s set
		mu, sd := r.NormFloat64()*0.3, 0.1+0.3*r.Float64()
		for range 8 + 4*k {
			y, limit := mu+sd*r.NormFloat64(), mu+0.3*r.NormFloat64()
			s.Y, s.AtLeast = append(s.Y, min(y, limit)), append(s.AtLeast, limit < y)
		}
		sets = append(sets, s)
	}
	in, err := json.Marshal(sets)
	if err != nil {
		t.Fatal(err)
	}
	const script = `
import json, sys
import numpy as np
from scipy.optimize import minimize
from scipy.stats import norm
out = []
for s in json.load(sys.stdin):
    y, c = np.array(s["y"]), np.array(s["at_least"])
    def loss(p):
        sd = np.exp(p[1])
        return -(norm.logpdf(y[~c], p[0], sd).sum() + norm.logsf(y[c], p[0], sd).sum())
    best = minimize(loss, [y.mean(), np.log(y.std() + 0.05)], method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 20000, "maxfev": 20000})
    out.append([best.x[0], float(np.exp(best.x[1]))])
print(json.dumps(out))
`
	cmd := exec.Command(python, "-c", script)
	cmd.Stdin = strings.NewReader(string(in))
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][2]float64
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	for k, s := range sets {
		mu, sd := censoredNormal(s.Y, s.AtLeast, 0, 0.2, 20000)
		if math.Abs(mu-want[k][0]) > 1e-5 || math.Abs(sd-want[k][1]) > 1e-5 {
			t.Errorf("set %d: %.6f, %.6f; scipy %.6f, %.6f", k, mu, sd, want[k][0], want[k][1])
		}
	}
}
