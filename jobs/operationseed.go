package jobs

import (
	"strings"

	"bookmatch/costing/money"
)

func qty(s string) money.Qty {
	q, err := money.ParseQty(s)
	if err != nil {
		panic(err)
	}
	return q
}

// seedExtra is what a seeded operation has besides its place in a graph.
type seedExtra struct {
	aliases       []string
	drills        string
	rework, scrap float64 // chances, judgement
	recipe        []RecipeLine
}

// seedExtras gives them by operation.
func seedExtras() map[string]seedExtra {
	veneerGlue := []RecipeLine{{"wood-glue", qty("0.02"), qty("2")}}
	return map[string]seedExtra{
		"thickness-core": {scrap: 0.005},
		"glue-face":      {aliases: []string{"glue-up"}, rework: 0.04, recipe: veneerGlue},
		"glue-back":      {rework: 0.04, recipe: veneerGlue},
		"flush-sand":     {aliases: []string{"sand"}, rework: 0.02, recipe: []RecipeLine{{"abrasive-sleeve", qty("0.004"), qty("0")}}},
		"fit-backing":    {recipe: []RecipeLine{{"ca-glue", qty("1"), qty("0.5")}}},
		"drill":          {drills: DrillsPosts, rework: 0.03, scrap: 0.015},
		"pilot-holes":    {drills: DrillsHidden},
		"inlay-cut":      {rework: 0.05},
		"inlay-rout":     {rework: 0.03, scrap: 0.01},
		"inlay-glue":     {recipe: []RecipeLine{{"epoxy", qty("0.4"), qty("3")}}},
		"finish-coat":    {rework: 0.06, recipe: []RecipeLine{{"finish-oil", qty("6"), qty("2")}}},
		"glue-scarf":     {rework: 0.02, recipe: []RecipeLine{{"wood-glue", qty("3"), qty("2")}}},
		"glue-ears":      {recipe: []RecipeLine{{"wood-glue", qty("1"), qty("2")}}},
		"board-glue":     {rework: 0.02, recipe: []RecipeLine{{"wood-glue", qty("8"), qty("2")}}},
		"rod-channel":    {scrap: 0.005},
		"profile-rough":  {scrap: 0.01},
		"fret-seat":      {rework: 0.03},
	}
}

// SeedOperations gives the operations a new file starts with, in the order of a
// build. Every minute, amount and chance is a judgement to overwrite, not a
// measured value.
func SeedOperations() []Operation {
	out := []Operation{{Name: "decide", Title: "make a decision", RunMin: 25, Per: "choice", Decide: true, Place: PlaceOff}}
	out = append(out, Operation{Name: "repair", Title: "repair: a torn rim, a dent, a fret", RunMin: 60, Per: "neck", Repair: true, Resumable: true, Place: PlaceForce,
		Cautions: append(caution("n"), "The cautions of the step you repair hold here too: dust, glue, finish, hammer.")})
	extras := seedExtras()
	for _, g := range SeedGraphOperations() {
		x := extras[g.Name]
		o := operationOf(g)
		o.Aliases, o.Drills, o.ReworkChance, o.ScrapChance, o.Recipe = x.aliases, x.drills, x.rework, x.scrap, x.recipe
		for _, l := range x.recipe {
			o.Uses = without(o.Uses, l.Supply)
		}
		out = append(out, o)
	}
	for i := range out {
		out[i].Source = "our guess, no source: write your own over it"
	}
	return out
}

// without takes a supply out of a list, written with blanks or hyphens.
func without(uses []string, supply string) (out []string) {
	for _, u := range uses {
		if strings.ReplaceAll(strings.ToLower(u), " ", "-") != supply {
			out = append(out, u)
		}
	}
	return out
}

// operationOf gives the operation of a step of a graph.
func operationOf(g GraphOperation) Operation {
	m := g.Marks
	return Operation{Name: g.Name, Title: g.Title, Group: g.Group, Per: g.Per, SetupMin: g.SetupMin, RunMin: g.RunMin, BenchWaitMin: g.BenchWaitMin,
		UnclampMin: g.HandledH * 60, CureMin: g.CuredH * 60, HardMin: g.HardH * 60, Place: g.Place, Gates: g.Gates, Uses: g.Uses, Cautions: g.Cautions,
		Noise: m.Noisy, Dust: m.Dusty, Machine: m.Machine, NoStop: m.NoStop, Resumable: m.Resumable, PauseH: m.PauseHours, Wet: m.Wet, StillAir: m.StillAir && !m.Wet, Daylight: m.Daylight,
		Cold: m.Temperature, Decide: m.Errand, Hardware: m.Parts, PlanNeed: m.Plan, Clamps: m.Clamps}
}
