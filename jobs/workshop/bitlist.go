package workshop

import (
	"math"
	"slices"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// BitListAsk asks for all bits.
type BitListAsk struct {
	Asked
	All bool `json:"all,omitempty" flag:"all" help:"scrapped, lost and broken ones too"`
	// Press adds which bit is for which neck that is drilled next.
	Press bool `json:"press,omitempty"`
}

// JobRow is the drilling that verdicts are given for.
type JobRow struct {
	Neck        string  `json:"neck,omitempty"`
	Holes       int     `json:"holes"`
	CutM        float64 `json:"cut_m"`
	Wear        float64 `json:"wear_holes"`
	Hidden      bool    `json:"hidden,omitempty"`
	TornHole    string  `json:"torn_hole"` // what a torn hole costs, printed
	TornHoleWhy string  `json:"torn_hole_basis"`
}

// BitsResult is every bit with its lives, its holes and its rims. All says that
// the screen shows bits that are scrap too.
type BitsResult struct {
	Meta
	All      bool                 `json:"all,omitempty"`
	Job      JobRow               `json:"job"`
	Shape    float64              `json:"shape"`
	Bits     []BitRow             `json:"bits"`
	Lives    []LifeRow            `json:"lives"`
	Survival []Survival           `json:"survival"`
	Uses     []UseRow             `json:"uses"`
	TearOut  []bitlife.TearOutRow `json:"tear_out"`
	Plan     []PlanRow            `json:"plan,omitempty"`
}

// Survival is how long the bits of a class lasted: the steps that were seen, and
// the curve of the model.
type Survival struct {
	Class string          `json:"class"`
	Basis string          `json:"basis"`
	Life  float64         `json:"life_holes"`
	Fit   *SurvivalFit    `json:"fit,omitempty"`
	Steps []SurvivalPoint `json:"steps"`
	Curve []SurvivalPoint `json:"curve"`
}

// SurvivalFit is the fit by maximum likelihood, where enough bits are worn out.
type SurvivalFit struct {
	Shape float64 `json:"shape"`
	Life  float64 `json:"life_holes"`
}

// SurvivalPoint is a share of bits that are still good at an age. Seen is nil on
// the model's curve, AtRisk and Worn where nothing was worn out.
type SurvivalPoint struct {
	Age    float64  `json:"age_holes"`
	Seen   *float64 `json:"seen,omitempty"`
	Model  float64  `json:"model"`
	AtRisk *float64 `json:"at_risk,omitempty"`
	Worn   *float64 `json:"worn,omitempty"`
	// Low and High hold 8 times of 10, on the model's curve.
	Low  float64 `json:"low,omitzero"`
	High float64 `json:"high,omitzero"`
}

// BitList gives all bits: wear, holes left, verdict on a plain face.
var BitList = Define("bit list", "", Long, (*Book).bitList)

func (b *Book) bitList(ask *BitListAsk, res *BitsResult) error {
	book, err := b.BitBook()
	if err != nil {
		return err
	}
	a := b.AdvisorOn(book, false)
	job, err := b.PlainJob()
	if err != nil {
		return err
	}
	res.All, res.Job, res.Shape = ask.All, b.jobRow(job), a.Shape
	res.Bits, res.Survival = []BitRow{}, []Survival{}
	done := map[jobs.BitClass]bool{}
	for _, bit := range book.Bits {
		v, err := a.Verdict(bit.Code, job)
		if err != nil {
			return err
		}
		life, _ := a.Life(bit.Code)
		res.Bits = append(res.Bits, b.bitRow(bit, life, v))
		if class := bit.Class(); !done[class] {
			done[class] = true
			if s, ok := survivalOf(a, bit); ok {
				res.Survival = append(res.Survival, s)
			}
		}
	}
	slices.SortFunc(res.Bits, func(x, y BitRow) int { return jobs.CompareCodes(x.Bit, y.Bit) })
	res.Lives, res.Uses = lifeRows(book, a.Lives, ""), useRows(book, "")
	res.TearOut = bitlife.TearOut(book)
	for i := range res.TearOut {
		r := &res.TearOut[i]
		r.Share, r.Low, r.High = roundChance(r.Share), roundChance(r.Low), roundChance(r.High)
	}
	if ask.Press {
		press := BitVerdictResult{}
		if err := b.bitsTonight(a, &press); err != nil {
			return err
		}
		res.Plan = press.Plan
	}
	return nil
}

func (b *Book) jobRow(j bitlife.FaceJob) JobRow {
	return JobRow{Neck: j.Neck, Holes: j.Holes, CutM: roundM(j.CutM), Wear: holesOf(j.CutM), Hidden: j.Hidden,
		TornHole: b.Shop.Currency.Print(j.TornHoleCost), TornHoleWhy: j.TornHoleBasis}
}

// curvePoints is the number of steps of a model curve.
const curvePoints = 40

// survivalOf gives the lives of a bit's class. Steps are empty while none has ended; ok
// is false where nothing is known of the class.
func survivalOf(a bitlife.Advisor, bit jobs.Bit) (s Survival, ok bool) {
	pool := bitlife.PoolFor(bit, 0, a.Book.EdgeAges(a.Lives))
	life, _ := a.Life(bit.Code)
	m, err := bitlife.NewEdgeModel(a.Shape, life.ExpectedM, pool.Own)
	if err != nil || !m.Known() {
		return s, false
	}
	s = Survival{Class: bit.Class().String(), Basis: pool.Basis(m), Life: holesOf(m.ScaleM())}
	if fit := a.FitClass(bit.Class()); fit.Events >= bitlife.MinFitEvents && fit.ScaleM > 0 {
		s.Fit = &SurvivalFit{roundChance(fit.Shape), holesOf(fit.ScaleM)}
	}
	oldest := 0.0
	for _, d := range pool.Own {
		oldest = max(oldest, d.T)
	}
	point := func(age float64, seen float64) SurvivalPoint {
		x := roundChance(seen)
		return SurvivalPoint{Age: holesOf(age), Seen: &x, Model: modelAt(m, age)}
	}
	for k := range curvePoints + 1 {
		age := 1.3 * max(oldest, m.ScaleM()) * float64(k) / curvePoints
		p := SurvivalPoint{Age: holesOf(age), Model: modelAt(m, age)}
		low, high := m.ChanceBand(0, age)
		p.Low, p.High = roundChance(1-high), roundChance(1-low)
		s.Curve = append(s.Curve, p)
	}
	if len(pool.Own) == 0 {
		return s, true
	}
	last := 1.0
	steps := bitlife.SurvivalSteps(pool.Own)
	for k, x := range steps {
		if k > 0 { // a step: the same age twice
			s.Steps = append(s.Steps, point(x.AgeM, last))
		}
		p := point(x.AgeM, x.Survival)
		atRisk, worn := roundChance(x.AtRisk), roundChance(x.Events)
		p.AtRisk, p.Worn = &atRisk, &worn
		s.Steps = append(s.Steps, p)
		last = x.Survival
	}
	if steps[len(steps)-1].AgeM < oldest {
		s.Steps = append(s.Steps, point(oldest, last))
	}
	return s, true
}

// modelAt is the share still good at an age by the model, 0 where it knows
// nothing.
func modelAt(m bitlife.EdgeModel, age float64) float64 {
	if p := m.Survival(age); !math.IsNaN(p) {
		return roundChance(p)
	}
	return 0
}
