package bitlife

import (
	"cmp"
	"math"
	"slices"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"
)

// What a comparison says of a type of bit.
const (
	Cheapest  = "cheapest"
	Dearer    = "dearer"
	TooFew    = "too few to tell" // its interval overlaps that of the cheapest
	NoCompare = "no price or life"
)

// TypeCost is what show holes cost with one type of bit: fresh bits and torn holes
// in the long run, when each bit is changed at its best age. Low and High hold it
// 4 times in 5. Amounts are nil where price or life is not known.
type TypeCost struct {
	Type       string        `json:"type"`
	Bits       int           `json:"bits"`
	LivesEnded int           `json:"lives_ended"`
	WornOut    int           `json:"worn_out"`
	Holes      int           `json:"holes"` // drilled so far
	PerHole    *money.Amount `json:"cost_per_hole"`
	Low        *money.Amount `json:"low"`
	High       *money.Amount `json:"high"`
	PerHead    *money.Amount `json:"cost_per_headstock"`
	NewEdge    money.Amount  `json:"new_edge_cost"`
	RetireAtM  *float64      `json:"retire_at_m"`
	Says       string        `json:"says"`
}

// TypeOf names the type of a bit: its maker's label, else material and point, and
// the diameter.
func TypeOf(b jobs.Bit) string {
	name := b.MakersLabel
	if name == "" {
		name = b.Material + " " + b.Point
	}
	return name + ", " + b.DiameterText
}

// Compare gives the types of bit that were kept for show holes, the cheapest first.
// damage is the repair or the loss of a torn hole without the fresh bit, holes those
// of a headstock. A hole is a hole of wear.
func (a Advisor) Compare(tornHole money.Amount, holes int) ([]TypeCost, error) {
	members := map[string][]jobs.Bit{}
	for _, b := range a.Book.Bits {
		if l, ok := a.Life(b.Code); b.Keep == jobs.KeepShow || ok && l.Keep == jobs.KeepShow {
			members[TypeOf(b)] = append(members[TypeOf(b)], b)
		}
	}
	out := []TypeCost{}
	for _, name := range jobs.SortedKeys(members) {
		t, err := a.typeCost(name, members[name], tornHole, holes)
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	slices.SortStableFunc(out, func(x, y TypeCost) int {
		switch {
		case x.PerHole == nil || y.PerHole == nil:
			return cmp.Compare(known(y.PerHole), known(x.PerHole))
		}
		return x.PerHole.Cmp(*y.PerHole)
	})
	for i := range out {
		switch t := &out[i]; {
		case t.PerHole == nil:
			t.Says = NoCompare
		case i == 0:
			t.Says = Cheapest
		case t.Low.Cmp(*out[0].High) <= 0:
			t.Says = TooFew
		default:
			t.Says = Dearer
		}
	}
	return out, nil
}

func known(a *money.Amount) int {
	if a == nil {
		return 0
	}
	return 1
}

// typeCost works out one type from the ended lives of its bits.
func (a Advisor) typeCost(name string, bits []jobs.Bit, tornHole money.Amount, holes int) (TypeCost, error) {
	t := TypeCost{Type: name, Bits: len(bits)}
	var lives []LifeDatum
	expected, n := 0.0, 0
	for _, l := range a.Lives {
		if !slices.ContainsFunc(bits, func(b jobs.Bit) bool { return b.Code == l.Bit }) {
			continue
		}
		t.Holes += l.Holes
		if l.ExpectedM > 0 {
			expected, n = expected+l.ExpectedM, n+1
		}
		if l.Closed && l.LifeM > 0 {
			lives = append(lives, LifeDatum{T: l.LifeM, Event: l.Event})
		}
	}
	events, censored := counts(lives)
	t.LivesEnded, t.WornOut = events+censored, events
	if n > 0 {
		expected /= float64(n)
	} else if events == 0 {
		for _, d := range lives {
			expected = max(expected, d.T)
		}
	}
	m, err := NewEdgeModel(a.Shape, expected, lives)
	if err != nil {
		return t, err
	}
	for _, b := range bits {
		if c, _ := a.changeCost(b); c.Cmp(t.NewEdge) > 0 {
			t.NewEdge = c
		}
	}
	if !m.Known() || t.NewEdge.Sign() == 0 {
		return t, nil
	}
	change, torn := t.NewEdge.Float(), tornHole.Add(t.NewEdge).Float()
	short, long := m.ScaleBand()
	perHole := func(scale float64) *money.Amount {
		x := money.FromDecimal(decimal.NewFromFloat(RateAt(a.Shape, scale, change, torn) * jobs.RefHoleM).Round(4))
		return &x
	}
	t.PerHole, t.Low, t.High = perHole(m.ScaleM()), perHole(long), perHole(short)
	head := t.PerHole.MulInt(int64(holes))
	t.PerHead = &head
	if r := RetireAge(a.Shape, m.ScaleM(), change, torn); r.Finite {
		t.RetireAtM = &r.AgeM
	}
	return t, nil
}

// RateAt is the long-run cost per cut metre at the best age, or of running each bit
// until it is dull where no age is best.
func RateAt(shape, scale, change, tornHole float64) float64 {
	r := RetireAge(shape, scale, change, tornHole)
	if r.Finite {
		return r.Rate
	}
	return r.RunRate
}

// ScaleBand gives the 10 % and 90 % quantiles of the life: gamma quantiles of
// lambda = scale^-b. Zero where nothing is known.
func (m EdgeModel) ScaleBand() (low, high float64) {
	r, s := m.posterior()
	if r <= 0 {
		return 0, 0
	}
	g := distuv.Gamma{Alpha: r, Beta: s}
	at := func(q float64) float64 { return math.Pow(g.Quantile(q), -1/m.Shape) }
	return at(0.9), at(0.1)
}
