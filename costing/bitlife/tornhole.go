package bitlife

import (
	"fmt"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Defaults until there is a history (judgement): a torn face takes an hour and a
// half to repair, and one in ten cannot be repaired.
const (
	RepairMinutes = 90
	ScrapShare    = 0.10
	repairPrior   = 2 // repairs that the default minutes count for
	scrapPrior    = 10
)

// TornFace is what is known about torn show faces: minutes of each past repair
// (rework with the bit as its cause), how many faces were scrapped for it, the
// cost of an hour, and what is sunk in the neck so far.
type TornFace struct {
	RepairMin []float64
	Scrapped  int
	PerHour   money.Amount // labour and overhead
	Sunk      money.Amount
}

// TornHoleCost is what a torn hole is expected to cost on that face: chance of repair
// x repair + chance of scrap x what is sunk, with its basis in words. Minutes
// and chance start from the defaults and give way to the history.
func (f TornFace) TornHoleCost() (money.Amount, string) {
	total := repairPrior * float64(RepairMinutes)
	for _, m := range f.RepairMin {
		total += m
	}
	n := len(f.RepairMin)
	minutes := total / float64(repairPrior+n)
	repair := f.PerHour.Times(time.Duration(minutes*60) * time.Second)
	scrap := decimal.NewFromFloat((ScrapShare*scrapPrior + float64(f.Scrapped)) / float64(scrapPrior+n+f.Scrapped)).Round(3)
	one := decimal.NewFromInt(1)
	tornHole := repair.Mul(one.Sub(scrap)).Add(f.Sunk.Mul(scrap))
	share, _ := scrap.Float64()
	basis := fmt.Sprintf("%.0f min of repair, a %s chance to lose the headstock", minutes, Percent(share))
	if f.Sunk.Sign() > 0 {
		basis += fmt.Sprintf(" with %s in it", f.Sunk.Fixed(2))
	}
	if n+f.Scrapped > 0 {
		basis += fmt.Sprintf(" (on record: repairs %d, lost %d)", n, f.Scrapped)
	}
	return tornHole.Round(2), basis
}
