package workshop

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// BitSetAsk changes what is known of a bit.
type BitSetAsk struct {
	Asked
	Bit     string        `json:"bit" word:"BIT"`
	Price   *money.Amount `json:"price,omitempty" flag:"price" arg:"PRICE" help:"PRICE of the bit"`
	NewEdge *money.Amount `json:"new_edge_cost,omitempty" flag:"new-edge" arg:"COST" help:"COST of a sharpening"`
	Life    *string       `json:"life,omitempty" flag:"life" arg:"HOLES" help:"life you expect in HOLES of wear, or 2.0m of cut; none"`
	Label   *string       `json:"label,omitempty" flag:"label" help:"the maker's label: bits of one label are compared as one"`
	PurchaseFields
	Note *string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitSetResult is a bit with what was changed of it: "price none to 14.00".
type BitSetResult struct {
	BitResult
	Changed []string `json:"changed"`
}

// BitSet changes price, expected life, label or note of a bit.
var BitSet = Define("bit set", "NOT CHANGED", Writes, (*Book).bitSet)

func (b *Book) bitSet(ask *BitSetAsk, res *BitSetResult) error {
	bit, err := b.FindBit(ask.Bit)
	if err != nil {
		return err
	}
	if ask.Price == nil && ask.NewEdge == nil && ask.Life == nil && ask.Label == nil && ask.Note == nil && ask.PurchaseFields == (PurchaseFields{}) {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "nothing to change is given", Type: []string{fmt.Sprintf("bit set %s --price 14.00", bit.Code)}}
	}
	changed := func(what, was, is string) {
		if was != is {
			res.Changed = append(res.Changed, fmt.Sprintf("%s %s to %s", what, orNothing(was), orNothing(is)))
		}
	}
	amount := func(a money.Amount) string {
		if a.Sign() == 0 {
			return ""
		}
		return b.Shop.Currency.Print(a)
	}
	old := bit
	if ask.Price != nil {
		if bit.Price, err = amountOf("price", ask.Price); err != nil {
			return err
		}
	}
	if ask.NewEdge != nil {
		if bit.NewEdgeCost, err = amountOf("new-edge", ask.NewEdge); err != nil {
			return err
		}
	}
	if ask.Life != nil {
		if bit.ExpectedM = 0; *ask.Life != "none" {
			if bit.ExpectedM, err = jobs.ParseLife("life", *ask.Life); err != nil {
				return err
			}
		}
	}
	if ask.Label != nil {
		if bit.MakersLabel, err = labelOf(*ask.Label); err != nil {
			return err
		}
	}
	if ask.Note != nil {
		bit.Note = strings.TrimSpace(*ask.Note)
	}
	ask.buy(&bit.Supplier, &bit.DeliveryDays)
	changed("supplier", old.Supplier, bit.Supplier)
	changed("delivery days", jobs.NumberText(float64(old.DeliveryDays)), jobs.NumberText(float64(bit.DeliveryDays)))
	changed("price", amount(old.Price), amount(bit.Price))
	changed("new edge", amount(old.NewEdgeCost), amount(bit.NewEdgeCost))
	changed("expected life", expectedText(old.ExpectedM), expectedText(bit.ExpectedM))
	changed("label", old.MakersLabel, bit.MakersLabel)
	changed("note", old.Note, bit.Note)
	if err := store.Put(b.Tx, store.Bits, bit); err != nil {
		return err
	}
	life, err := b.PresentLife(bit.Code)
	if err == nil && ask.Life != nil && life.ExpectedM != bit.ExpectedM {
		b.Warnf("own-life", "Its present life has an expected life of its own since it was sharpened: %s.", expectedText(life.ExpectedM))
	}
	if err != nil {
		return err
	}
	return b.bitResult(bit, &res.BitResult)
}

// labelOf checks a maker's label.
func labelOf(s string) (string, error) {
	s = strings.TrimSpace(s)
	if len(s) > 40 {
		return "", &jobs.FieldError{Field: "label", Value: s, Want: "at most 40 characters, such as \"long spurs\""}
	}
	return s, nil
}

func expectedText(m float64) string {
	if m == 0 {
		return ""
	}
	return fmt.Sprintf("%s holes", jobs.NumberText(holesOf(m)))
}

func orNothing(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
