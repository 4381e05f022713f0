package estimate

import (
	"math"
	"math/rand/v2"
)

// Shared holds the standard normal draws that steps have in common.
type Shared struct{ Job, Past, Pace float64 }

// DrawShared draws the three again.
func DrawShared(rng *rand.Rand) Shared {
	return Shared{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
}

// Drawer draws minutes of one step.
type Drawer struct {
	centre, scale        float64
	df                   float64 // 0 for the normal
	job, past, pace, own float64 // loadings on unit normals, squares adding to 1
	limit                float64 // of |ln(T/median)|
	rework, zero         float64
}

// NewDrawer prepares the draws of one step under the settings of a shop.
func NewDrawer(w Work, set Settings) Drawer {
	e := w.Estimate
	d := Drawer{rework: w.Rework, limit: math.Log(set.DrawClamp)}
	if e.StandardMin <= 0 {
		d.zero = 1
		return d
	}
	d.centre, d.scale, d.df = e.Centre, e.Scale, e.DF
	fix := 1.0
	if d.df > manyDF {
		d.df = 0
	} else {
		fix = meanDivisor(d.df)
	}
	if d.scale <= 0 {
		return d
	}
	load := func(sd float64) float64 { return sd / (d.scale * fix) }
	d.job, d.past, d.pace = load(set.Common), load(e.JobLoad), load(e.PaceLoad)
	if sum := d.job*d.job + d.past*d.past + d.pace*d.pace; sum > 0.95 {
		f := math.Sqrt(0.95 / sum)
		d.job, d.past, d.pace = d.job*f, d.past*f, d.pace*f
	}
	d.own = math.Sqrt(1 - d.job*d.job - d.past*d.past - d.pace*d.pace)
	return d
}

// meanDivisor is E sqrt(df/chi2(df)): a Student t is a normal divided by
// sqrt(chi2/df), which would enlarge the shared parts by this on average.
// Below 1.5 degrees of freedom it is taken there.
func meanDivisor(df float64) float64 {
	df = math.Max(df, 1.5)
	a, _ := math.Lgamma((df - 1) / 2)
	b, _ := math.Lgamma(df / 2)
	return math.Sqrt(df/2) * math.Exp(a-b)
}

// Draw gives minutes, with a second pass when the coin says so. Products are
// converted to float64 before they are added, which keeps a compiler from
// fusing them: the same bits on every machine.
func (d *Drawer) Draw(rng *rand.Rand, c Shared) float64 {
	if d.zero > 0 {
		return 0
	}
	common := float64(d.job*c.Job) + float64(d.past*c.Past) + float64(d.pace*c.Pace)
	t := d.once(rng, common)
	if d.rework > 0 && rng.Float64() < d.rework {
		t += d.once(rng, common)
	}
	return t
}

func (d *Drawer) once(rng *rand.Rand, common float64) float64 {
	z := common + float64(d.own*rng.NormFloat64())
	if d.df > 0 {
		z /= math.Sqrt(chi2(rng, d.df) / d.df)
	}
	z = math.Max(-d.limit, math.Min(d.limit, float64(d.scale*z)))
	return math.Exp(d.centre + z)
}
