package bitlife

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bookmatch/jobs"

	"gonum.org/v1/gonum/stat/distuv"
)

// MinFitEvents is the number of worn-out edges from which a maximum-likelihood
// fit is shown with the closed form. Below it the fitted shape is nearly free:
// with a true shape of 2.5, three events give anything from 1.9 to 10.
const MinFitEvents = 8

// EdgeModel is what closed edges of one class tell, with the shape assumed.
//
// Wear-out is Weibull with shape b; lambda = scale^-b has a gamma prior worth
// one event at the expected life L. With r events and the ages t of all closed
// edges the posterior of lambda is gamma(1 + r, L^b + sum t^b). This is the
// known-shape analysis of W. Nelson (J. Quality Technology 17:140-146, 1985)
// with the prior as one more event. Without an expected life there is no prior and
// at least one event is needed.
type EdgeModel struct {
	Shape     float64
	ExpectedM float64
	Events    float64 // weighted: a borrowed edge counts less than one
	Censored  float64
	SumPow    float64 // sum of weight x t^b over the closed edges
}

// NewEdgeModel gathers closed edges. Ages must be above zero.
func NewEdgeModel(shape, expectedM float64, closed []LifeDatum) (EdgeModel, error) {
	if !(shape > 0 && shape <= 20) {
		return EdgeModel{}, &jobs.FieldError{Field: "shape", Value: fmt.Sprint(shape), Want: "a number above 0, such as 2.5"}
	}
	if !(expectedM >= 0) || math.IsInf(expectedM, 0) {
		return EdgeModel{}, &jobs.FieldError{Field: "life", Value: fmt.Sprint(expectedM), Want: "a life in metres of cut"}
	}
	m := EdgeModel{Shape: shape, ExpectedM: expectedM}
	for _, d := range closed {
		if !(d.T > 0) || math.IsInf(d.T, 0) {
			return EdgeModel{}, &jobs.FieldError{Field: "life", Value: fmt.Sprint(d.T), Want: "an age above zero"}
		}
		m.SumPow += d.weight() * math.Pow(d.T, shape)
		if d.Event {
			m.Events += d.weight()
		} else {
			m.Censored += d.weight()
		}
	}
	return m, nil
}

// Known says that the model has anything to go by: an expected life or an event.
func (m EdgeModel) Known() bool { return m.ExpectedM > 0 || m.Events > 0 }

// posterior gives the gamma shape and the rate without the present edge.
func (m EdgeModel) posterior() (events, sum float64) {
	if m.ExpectedM > 0 {
		return 1 + m.Events, math.Pow(m.ExpectedM, m.Shape) + m.SumPow
	}
	return m.Events, m.SumPow
}

// ScaleM is the life from closed edges and prior: ((L^b + sum t^b)/(1 +
// events))^(1/b). It is 0 when nothing is known.
func (m EdgeModel) ScaleM() float64 {
	r, s := m.posterior()
	if r <= 0 {
		return 0
	}
	return math.Pow(s/r, 1/m.Shape)
}

// ChanceDull is the chance that the next cut dulls an edge that is good at
// ageM: 1 - [B/(B + (t+d)^b - t^b)]^(1+events), B = L^b + sum t^b + t^b. The
// present edge's survival so far belongs in B. NaN when nothing is known.
func (m EdgeModel) ChanceDull(ageM, cutM float64) float64 {
	r, s := m.posterior()
	if r <= 0 {
		return math.NaN()
	}
	before := math.Pow(ageM, m.Shape)
	b := s + before
	more := math.Pow(ageM+cutM, m.Shape) - before
	return -math.Expm1(-r * math.Log1p(more/b))
}

// ChanceBand gives the 10 % and 90 % quantiles of that chance: gamma quantiles
// of lambda.
func (m EdgeModel) ChanceBand(ageM, cutM float64) (low, high float64) {
	r, s := m.posterior()
	if r <= 0 {
		return math.NaN(), math.NaN()
	}
	before := math.Pow(ageM, m.Shape)
	more := math.Pow(ageM+cutM, m.Shape) - before
	g := distuv.Gamma{Alpha: r, Beta: s + before}
	at := func(q float64) float64 { return -math.Expm1(-g.Quantile(q) * more) }
	return at(0.1), at(0.9)
}

// AtLeastM is the life that the closed edges alone support at confidence c:
// (2 sum t^b / chi-square_c(2r + 2))^(1/b), no prior (Nelson 1985). It is the
// honest statement while no edge has worn out; 0 without closed edges.
func (m EdgeModel) AtLeastM(c float64) float64 {
	if m.SumPow <= 0 || !(c > 0 && c < 1) {
		return 0
	}
	chi := distuv.ChiSquared{K: 2*m.Events + 2}.Quantile(c)
	return math.Pow(2*m.SumPow/chi, 1/m.Shape)
}

// Survival is the share of edges still good at ageM under the scale of closed
// edges.
func (m EdgeModel) Survival(ageM float64) float64 {
	scale := m.ScaleM()
	if scale <= 0 {
		return math.NaN()
	}
	return math.Exp(-math.Pow(ageM/scale, m.Shape))
}

// SurvivalStep is one step of the product-limit curve: after AgeM the share
// Survival is still good.
type SurvivalStep struct {
	AgeM     float64 `json:"age_m"`
	Survival float64 `json:"survival"`
	AtRisk   float64 `json:"at_risk"`
	Events   float64 `json:"events"`
}

// SurvivalSteps is the product-limit estimate (E. Kaplan, P. Meier, J. American
// Statistical Association 53:457-481, 1958); an edge censored at the age of an
// event counts as at risk there. The first step is at 0.
func SurvivalSteps(lives []LifeDatum) []SurvivalStep {
	sorted := slices.Clone(lives)
	slices.SortFunc(sorted, func(a, b LifeDatum) int { return cmp.Compare(a.T, b.T) })
	atRisk := 0.0
	for _, d := range sorted {
		atRisk += d.weight()
	}
	steps := []SurvivalStep{{0, 1, atRisk, 0}}
	s := 1.0
	for i := 0; i < len(sorted); {
		t, dead, gone := sorted[i].T, 0.0, 0.0
		for ; i < len(sorted) && sorted[i].T == t; i++ {
			gone += sorted[i].weight()
			if sorted[i].Event {
				dead += sorted[i].weight()
			}
		}
		if dead > 0 {
			s *= 1 - dead/atRisk
			steps = append(steps, SurvivalStep{t, s, atRisk, dead})
		}
		atRisk -= gone
	}
	return steps
}
