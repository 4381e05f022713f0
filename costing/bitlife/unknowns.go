package bitlife

import (
	"fmt"
	"math"
	"slices"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// Where the cost of a fresh bit comes from.
const (
	FromOwn     = "own"
	FromClass   = "class"
	FromUnknown = "unknown"
)

// changeCost is what a fresh bit costs: its own sharpening or price, else the
// middle one of its class. Zero where nobody knows.
func (a Advisor) changeCost(bit jobs.Bit) (cost money.Amount, from string) {
	if c := bit.ChangeCost(); c.Sign() > 0 {
		return c, FromOwn
	}
	last := map[string]money.Amount{}
	for _, x := range a.ages {
		if x.Class == bit.Class() && x.NewEdge.Sign() > 0 {
			last[x.Bit] = x.NewEdge
		}
	}
	if len(last) == 0 {
		return money.Zero, FromUnknown
	}
	var known []money.Amount
	for _, code := range jobs.SortedKeys(last) {
		known = append(known, last[code])
	}
	slices.SortFunc(known, money.Amount.Cmp)
	return known[(len(known)-1)/2], FromClass
}

// expected is the life that is believed in, in metres of cut: that of the bit,
// else the longest that a bit of its class stayed good, else the mean of what is
// expected of its class. 0 where nothing is known, or where worn-out bits of the
// class say it all. why says what was taken.
func (a Advisor) expected(bit jobs.Bit, life jobs.EdgeLife, pool EdgePool) (m float64, why []string) {
	if life.ExpectedM > 0 {
		return life.ExpectedM, nil
	}
	longest := 0.0
	for _, d := range pool.Lives() {
		if d.Event {
			return 0, []string{"No expected life is given. Ended lives of its class are taken."}
		}
		longest = max(longest, d.T)
	}
	if longest > 0 {
		return longest, []string{fmt.Sprintf("No expected life is given. The longest that one of its class stayed good is taken: %s.", HolesText(longest))}
	}
	sum, n := 0.0, 0
	for _, x := range a.ages {
		if x.Class == bit.Class() && x.ExpectedM > 0 {
			sum, n = sum+x.ExpectedM, n+1
		}
	}
	if n == 0 {
		return 0, nil
	}
	m = sum / float64(n)
	return m, []string{fmt.Sprintf("No expected life is given. That of its class is taken: %s.", HolesText(m))}
}

// capAt retires a bit at its expected life where no price says better.
func capAt(m EdgeModel) Replacement {
	age := m.ExpectedM
	if age == 0 {
		age = m.ScaleM()
	}
	return Replacement{Finite: age > 0, AgeM: age, Chance: -math.Expm1(-math.Pow(age/m.ScaleM(), m.Shape)), Why: "no price is known"}
}

// TestRecord counts test holes of a class: Found found a dull bit, Missed were
// clean right before a rim tore.
type TestRecord struct{ Found, Missed int }

// The prior of the share of failing bits that a test hole finds: 4 in 5, worth
// five test holes (our guess).
const (
	foundPrior  = 4.0
	missedPrior = 1.0
)

// Share is the mean of the Beta posterior: (4 + found)/(5 + found + missed).
func (r TestRecord) Share() float64 {
	return (foundPrior + float64(r.Found)) / (foundPrior + missedPrior + float64(r.Found+r.Missed))
}

// found counts the test holes of a class.
func (a Advisor) found(class jobs.BitClass) (r TestRecord) {
	for _, x := range a.ages {
		if x.Class == class {
			r.Found, r.Missed = r.Found+x.Found, r.Missed+x.Missed
		}
	}
	return r
}
