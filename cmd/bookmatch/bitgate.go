package main

import (
	"bookmatch/jobs"
)

// freshest gives the bit with the least wear on its edge.
func (b *bench) freshest(bits []jobs.Bit) (jobs.Bit, string, error) {
	var codes []string
	for _, x := range bits {
		codes = append(codes, x.Code)
	}
	book, err := b.tx.BitBook(codes...)
	if err != nil {
		return jobs.Bit{}, "", err
	}
	best, least := bits[0], -1.0
	for _, x := range bits {
		if l, ok := book.Life(x.Code); ok && (least < 0 || l.WearM < least) {
			best, least = x, l.WearM
		}
	}
	return best, "", nil
}

// bitGate asks the verdict on a bit for this work.
func (b *bench) bitGate(g *drillGate, bit jobs.Bit, kind jobs.Kind, states []jobs.NeckState, anyway string) error {
	g.text = bit.Code
	return nil
}
