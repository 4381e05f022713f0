package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// WoodListAsk asks for all woods.
type WoodListAsk struct{ Asked }

// WoodListResult is all woods, by name.
type WoodListResult struct {
	Meta
	Woods []jobs.Wood `json:"woods"`
}

// WoodShowAsk asks for one wood.
type WoodShowAsk struct {
	Asked
	Wood string `json:"wood" word:"WOOD"`
}

// WoodResult is one wood.
type WoodResult struct {
	Meta
	jobs.Wood
}

// WoodSetAsk changes what is known of a wood, or adds one.
type WoodSetAsk struct {
	Asked
	Wood      string   `json:"wood" word:"WOOD"`
	New       bool     `json:"new,omitempty" flag:"new" help:"add a wood that is not there yet"`
	Abrasion  *float64 `json:"abrasion,omitempty" flag:"abrasion" arg:"FACTOR" help:"wear on a bit, hard maple = 1"`
	TearOut   *string  `json:"tear_out,omitempty" flag:"tear-out" arg:"GRADE" help:"rim that a sharp bit leaves, 0 to 3"`
	HardnessN *float64 `json:"hardness_n,omitempty" flag:"hardness" arg:"N" help:"side hardness in newtons"`
	Title     *string  `json:"title,omitempty" flag:"title" help:"the full name"`
	Botanical *string  `json:"botanical,omitempty" flag:"botanical" help:"the botanical name, for papers"`
	Dust      *string  `json:"dust,omitempty" flag:"dust" help:"caution about its dust"`
	Trade     *string  `json:"trade,omitempty" flag:"trade" help:"trade rule to look up before sale or export"`
	Reaction  *string  `json:"reaction,omitempty" flag:"reaction" help:"your own note on how its dust treats you"`
	Source    *string  `json:"source,omitempty" flag:"source" help:"where the factor comes from"`
}

// WoodList lists the woods, WoodShow shows one, WoodSet changes one.
var (
	WoodList = Define("wood list", "", Reads, (*Book).woodList)
	WoodShow = Define("wood show", "", Reads, (*Book).woodShow)
	WoodSet  = Define("wood set", "NOT CHANGED", Writes, (*Book).woodSet)
)

func (b *Book) woodList(_ *WoodListAsk, res *WoodListResult) error {
	woods, err := store.All(b.Tx, store.Woods)
	res.Woods = append([]jobs.Wood{}, woods...)
	return err
}

func (b *Book) woodShow(ask *WoodShowAsk, res *WoodResult) (err error) {
	res.Wood, err = b.FindWood(ask.Wood)
	return err
}

func (b *Book) woodSet(ask *WoodSetAsk, res *WoodResult) error {
	w, err := b.woodToSet(ask)
	if err != nil {
		return err
	}
	if ask.Abrasion != nil {
		w.Abrasion, w.Source = *ask.Abrasion, "set by the builder"
	}
	if ask.HardnessN != nil {
		if w.HardnessN = *ask.HardnessN; w.HardnessN < 0 || w.HardnessN > 50000 {
			return &jobs.FieldError{Field: "hardness", Value: jobs.NumberText(w.HardnessN), Want: "newtons from 0 to 50000, such as 6400"}
		}
	}
	if ask.TearOut != nil {
		g, err := ParseGrade(*ask.TearOut)
		if err != nil {
			return &jobs.FieldError{Field: "tear-out", Value: *ask.TearOut, Want: "0 clean, 1 fuzz, 2 hidden or 3 torn, such as 1"}
		}
		w.TearOut = *g
	}
	for _, f := range []struct {
		typed, to *string
	}{{ask.Title, &w.Title}, {ask.Botanical, &w.Botanical}, {ask.Dust, &w.Dust}, {ask.Trade, &w.TradeControl}, {ask.Reaction, &w.Reaction}, {ask.Source, &w.Source}} {
		if f.typed != nil {
			*f.to = *f.typed
		}
	}
	res.Wood = w
	return store.Put(b.Tx, store.Woods, w)
}

// woodToSet gives the wood that is changed: one of the file, or a fresh one.
func (b *Book) woodToSet(ask *WoodSetAsk) (jobs.Wood, error) {
	if !ask.New {
		return b.FindWood(ask.Wood)
	}
	if as := store.Taken(b.Tx, store.Woods, ask.Wood); as != "" { // exactly: pine is no reason to refuse pine-red
		return jobs.Wood{}, jobs.Refuse("taken", fmt.Sprintf("wood %s is there already", as), "wood set "+as+" --abrasion 1")
	}
	return jobs.Wood{Name: ask.Wood, Title: ask.Wood, Abrasion: 1, Source: "set by the builder"}, nil
}
