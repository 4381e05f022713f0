package estimate

import "math"

// Settings are the numbers behind the estimates. The zero value means the
// documented defaults; every one of them is a judgement that a shop may
// change.
type Settings struct {
	Spread        float64 `json:"spread,omitempty"`         // 0.35: log spread of one operation from evening to evening
	PriorN        float64 `json:"prior_n,omitempty"`        // 6: past jobs that the spread's default weighs
	WeightFactory float64 `json:"weight_factory,omitempty"` // 1: past jobs that a factory default weighs
	WeightOwn     float64 `json:"weight_own,omitempty"`     // 3: past jobs that the builder's own standard weighs
	HalfLife      float64 `json:"half_life,omitempty"`      // 8: past jobs until one counts half; below zero: no ageing
	Clamp         float64 `json:"clamp,omitempty"`          // 3: a past job's ratio is held in 1/3..3
	WideBeyond    float64 `json:"wide_beyond,omitempty"`    // 1.5: times the largest quantity seen
	WideFactor    float64 `json:"wide_factor,omitempty"`    // 1.3: on the scale beyond that
	Common        float64 `json:"common,omitempty"`         // 0.15: log spread that all steps of a job share
	PaceSD        float64 `json:"pace_sd,omitempty"`        // 0.25: log spread of shops against the factory defaults
	DrawClamp     float64 `json:"draw_clamp,omitempty"`     // 4: a draw is held in 1/4..4 of its median
	Draws         int     `json:"draws,omitempty"`          // 1000: of the walk that gives hours and date
	Seed          uint64  `json:"seed,omitempty"`           // 1
}

// WithDefaults fills in what is not set.
func (s Settings) WithDefaults() Settings {
	def := func(v *float64, d float64) {
		if *v == 0 || math.IsNaN(*v) {
			*v = d
		}
	}
	def(&s.Spread, 0.35)
	def(&s.PriorN, 6)
	def(&s.WeightFactory, 1)
	def(&s.WeightOwn, 3)
	def(&s.HalfLife, 8)
	def(&s.Clamp, 3)
	def(&s.WideBeyond, 1.5)
	def(&s.WideFactor, 1.3)
	def(&s.Common, 0.15)
	def(&s.PaceSD, 0.25)
	def(&s.DrawClamp, 4)
	if s.Draws <= 0 {
		s.Draws = 1000
	}
	if s.Seed == 0 {
		s.Seed = 1
	}
	return s
}

// age is the weight of the i-th newest past job.
func (s Settings) age(i int) float64 {
	if s.HalfLife < 0 {
		return 1
	}
	return math.Exp2(-float64(i) / s.HalfLife)
}
