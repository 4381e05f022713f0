package workshop

import "bookmatch/costing/bitlife"

// BitCompareAsk asks which type of bit to buy.
type BitCompareAsk struct{ Asked }

// BitCompareResult is what show holes cost by type of bit, the cheapest first.
type BitCompareResult struct {
	Meta
	Job   JobRow        `json:"job"`
	Types []BitTypeCost `json:"types"`
}

// BitTypeCost is what show holes cost with one type of bit.
type BitTypeCost struct {
	bitlife.TypeCost
	RetireAt *float64 `json:"retire_at_holes"`
}

// BitCompare compares types of bit by what a show hole costs.
var BitCompare = Define("bit compare", "", Long, (*Book).bitCompare)

func (b *Book) bitCompare(_ *BitCompareAsk, res *BitCompareResult) error {
	a, err := b.Advisor(false)
	if err != nil {
		return err
	}
	job, err := b.PlainJob()
	if err != nil {
		return err
	}
	types, err := a.Compare(job.TornHoleCost, HeadstockHoles)
	if err != nil {
		return err
	}
	res.Job, res.Types = b.jobRow(job), []BitTypeCost{}
	for _, t := range types {
		row := BitTypeCost{TypeCost: t, RetireAt: rounded(t.RetireAtM, holesOf)}
		row.RetireAtM = rounded(t.RetireAtM, roundM)
		row.NewEdge = b.Shop.Currency.Line(t.NewEdge)
		if t.PerHead != nil {
			head := b.Shop.Currency.Line(*t.PerHead)
			row.PerHead = &head
		}
		res.Types = append(res.Types, row)
	}
	return nil
}
