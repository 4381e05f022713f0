package workshop

import (
	"math"
	"slices"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// roundM rounds metres of cut to a thousandth of a millimetre.
func roundM(m float64) float64 { return math.Round(m*1e6) / 1e6 }

// roundChance rounds a chance or a share to ten decimals.
func roundChance(p float64) float64 { return math.Round(p*1e10) / 1e10 }

// holesOf gives metres of cut as holes of wear, rounded to a hundredth.
func holesOf(m float64) float64 { return jobs.Round2(m / jobs.RefHoleM) }

func rounded(v *float64, round func(float64) float64) *float64 {
	if v == nil {
		return nil
	}
	x := round(*v)
	return &x
}

// LifeRow is one life of a bit, from new or from a sharpening, as results show
// it. Each length is in metres of cut and in holes of wear.
type LifeRow struct {
	Bit       string    `json:"bit"`
	Life      int       `json:"life"`
	Origin    string    `json:"origin"`
	Since     time.Time `json:"since"`
	Keep      string    `json:"kept_for"`
	SizeMM    float64   `json:"size_mm"`
	Drilled   int       `json:"drilled"`
	WearM     float64   `json:"wear_m"`
	Wear      float64   `json:"wear_holes"`
	Estimated float64   `json:"estimated_holes,omitempty"`
	Possible  float64   `json:"possible_holes,omitempty"`
	LifeM     float64   `json:"life_m"`
	LifeHoles float64   `json:"life_holes"`
	Event     bool      `json:"event"`
	Closed    bool      `json:"closed"`
	// CountsAs is worn out, retired while good, or in use.
	CountsAs      string     `json:"counts_as"`
	Cause         string     `json:"cause,omitempty"`
	End           string     `json:"end,omitempty"`
	Ended         *time.Time `json:"ended,omitempty"`
	LastGrade     *int       `json:"last_grade"`
	LastUse       *time.Time `json:"last_use,omitempty"`
	ExpectedM     float64    `json:"expected_m,omitempty"`
	ExpectedHoles float64    `json:"expected_holes,omitempty"`
	Woods         []string   `json:"woods,omitempty"`
}

// What a life counts as.
const (
	WornOut = "worn out"
	Retired = "retired while good"
	InUse   = "in use"
)

func lifeRow(l jobs.EdgeLife) LifeRow {
	r := LifeRow{Bit: l.Bit, Life: l.Edge, Origin: l.Origin, Since: l.Started, Keep: l.Keep, SizeMM: l.MeasuredMM, Drilled: l.Holes,
		WearM: roundM(l.WearM), Wear: holesOf(l.WearM), Estimated: holesOf(l.EstimatedM), Possible: holesOf(l.PossibleM), LifeM: roundM(l.LifeM), LifeHoles: holesOf(l.LifeM),
		Event: l.Event, Closed: l.Closed, CountsAs: InUse, Cause: l.Cause, End: l.End, LastGrade: l.LastGrade, ExpectedM: roundM(l.ExpectedM), ExpectedHoles: holesOf(l.ExpectedM)}
	switch {
	case l.Event:
		r.CountsAs = WornOut
	case l.Closed:
		r.CountsAs = Retired
	}
	if !l.EndedOn.IsZero() {
		r.Ended = &l.EndedOn
	}
	if !l.LastUse.IsZero() {
		r.LastUse = &l.LastUse
	}
	return r
}

// BitRow is a bit with the verdict on it, as lists show it.
type BitRow struct {
	bitlife.Verdict
	Wear          float64      `json:"wear_holes"`
	RetireAt      *float64     `json:"retire_at_holes"`
	NextWear      float64      `json:"next_wear_holes"`
	DiameterMM    float64      `json:"diameter_mm"`
	DiameterText  string       `json:"diameter_text"`
	Point         string       `json:"point"`
	Material      string       `json:"material"`
	Class         string       `json:"class"`
	MakersLabel   string       `json:"label,omitempty"`
	Drilled       int          `json:"drilled"` // in the present life
	Since         time.Time    `json:"since"`
	Origin        string       `json:"origin"`
	LastGrade     *int         `json:"last_grade"`
	LastUse       *time.Time   `json:"last_use,omitempty"`
	ExpectedHoles float64      `json:"expected_holes,omitempty"`
	Price         money.Amount `json:"price"`
	Note          string       `json:"note,omitempty"`
}

// bitRow puts a verdict and what is known of its bit into a row.
func (b *Book) bitRow(bit jobs.Bit, life jobs.EdgeLife, v bitlife.Verdict) BitRow {
	v = b.roundVerdict(v)
	l := lifeRow(life)
	r := BitRow{Verdict: v, Wear: holesOf(life.WearM + life.PossibleM), NextWear: holesOf(v.Next.CutM), DiameterMM: bit.DiameterMM, DiameterText: bit.DiameterText, Point: bit.Point, Material: bit.Material,
		Class: bit.Class().String(), MakersLabel: bit.MakersLabel, Drilled: l.Drilled, Since: b.Wall(l.Since), Origin: l.Origin, LastGrade: l.LastGrade, LastUse: l.LastUse, ExpectedHoles: l.ExpectedHoles, Price: b.Shop.Currency.Line(bit.Price), Note: bit.Note}
	r.RetireAt = rounded(v.RetireAtM, holesOf)
	return r
}

// roundVerdict rounds the figures of a verdict once, for every output.
func (b *Book) roundVerdict(v bitlife.Verdict) bitlife.Verdict {
	v.AgeM, v.PossibleM = roundM(v.AgeM), roundM(v.PossibleM)
	v.RetireAtM, v.TestUntilM = rounded(v.RetireAtM, roundM), rounded(v.TestUntilM, roundM)
	v.Next.CutM = roundM(v.Next.CutM)
	v.Next.ChanceDull, v.Next.Low, v.Next.High = rounded(v.Next.ChanceDull, roundChance), rounded(v.Next.Low, roundChance), rounded(v.Next.High, roundChance)
	v.Life.ScaleM, v.Life.ExpectedM, v.Life.Found = rounded(v.Life.ScaleM, roundM), roundM(v.Life.ExpectedM), roundChance(v.Life.Found)
	if m := v.Life.MLE; m != nil {
		fit := *m
		fit.Shape, fit.ScaleM = roundChance(fit.Shape), roundM(fit.ScaleM)
		fit.ShapeInterval = bitlife.Interval{Low: rounded(m.ShapeInterval.Low, roundChance), High: rounded(m.ShapeInterval.High, roundChance)}
		fit.ScaleInterval = bitlife.Interval{Low: rounded(m.ScaleInterval.Low, roundM), High: rounded(m.ScaleInterval.High, roundM)}
		v.Life.MLE = &fit
	}
	line := b.Shop.Currency.Line
	v.TornHoleCost, v.Change, v.TestCost, v.TestSaves = line(v.TornHoleCost), line(v.Change), line(v.TestCost), line(v.TestSaves)
	return v
}

// UseRow is logged holes with the wear of the bit after them.
type UseRow struct {
	Use       uint64    `json:"use"`
	On        time.Time `json:"on"`
	Bit       string    `json:"bit,omitempty"` // empty: nobody remembers which
	UnknownMM float64   `json:"unknown_mm,omitempty"`
	Life      int       `json:"life,omitempty"`
	Neck      string    `json:"neck,omitempty"`
	Holes     int       `json:"holes"`
	Woods     []string  `json:"woods"`
	Backing   string    `json:"backing,omitempty"`
	WearAfter float64   `json:"wear_after_holes,omitempty"`
	GradeIn   *int      `json:"grade_in"`
	GradeOut  *int      `json:"grade_out"`
	Test      bool      `json:"test,omitempty"`
	Estimated bool      `json:"estimated,omitempty"`
	Says      string    `json:"says"`
	Signs     []string  `json:"signs,omitempty"`
	Note      string    `json:"note,omitempty"`
}

// useRows gives the uses of a book by time, of one bit or of all.
func useRows(book jobs.BitBook, code string) []UseRow {
	woods := jobs.NewWoodTable(book.Woods)
	type life struct {
		bit string
		no  int
	}
	age := map[life]float64{}
	out := []UseRow{}
	for _, u := range book.InOrder() {
		k := life{u.Bit, u.Edge}
		age[k] += u.Cut(woods)
		if code != "" && u.Bit != code {
			continue
		}
		tale, _ := u.Tale(woods)
		r := UseRow{Use: u.ID, On: u.On, Bit: u.Bit, UnknownMM: u.UnknownMM, Life: u.Edge, Neck: u.Neck, Holes: u.Holes, Woods: woodsOf(u.Layers), Backing: u.Backing.State,
			GradeIn: u.GradeIn, GradeOut: u.GradeOut, Test: u.Test, Estimated: u.Estimated, Says: tales[tale], Signs: u.Signs, Note: u.Note}
		if u.Bit != "" {
			r.WearAfter = holesOf(age[k])
		}
		out = append(out, r)
	}
	return out
}

// woodsOf names the woods of layers. Veneers of the core's wood are named once.
func woodsOf(layers []jobs.Layer) []string {
	out := []string{}
	for _, l := range layers {
		if n := len(out); n == 0 || out[n-1] != l.Wood {
			out = append(out, l.Wood)
		}
	}
	return out
}

// lifeRows gives the lives of a bit, or of all, with the woods that each met.
func lifeRows(book jobs.BitBook, lives []jobs.EdgeLife, code string) []LifeRow {
	out := []LifeRow{}
	for _, l := range lives {
		if code != "" && l.Bit != code {
			continue
		}
		r := lifeRow(l)
		for _, u := range book.Uses {
			if u.Bit != l.Bit || u.Edge != l.Edge {
				continue
			}
			for _, w := range woodsOf(u.Layers) {
				if !slices.Contains(r.Woods, w) {
					r.Woods = append(r.Woods, w)
				}
			}
		}
		out = append(out, r)
	}
	return out
}
