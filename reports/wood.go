package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Woods lists what is known of each wood.
func Woods(r *workshop.WoodListResult) Report {
	out := Report{Name: "woods", Title: "Woods", Made: r.Made, Headline: []string{jobs.CountText(len(r.Woods), "wood") + "."},
		Notes: []string{"Abrasion is wear on a bit, hard maple = 1 (our guess: hardness is a rough scale).",
			"Rim is the grade that a sharp bit with a tight backing leaves.", "Hardness is from the USDA Wood Handbook, where it lists the wood."},
		Next: []string{"wood show hard-maple"}}
	out.Add(Build(Table{Name: "woods", Empty: "No wood is saved yet."}, r.Woods, []Col[jobs.Wood]{
		{Column{Key: "wood", Header: "wood", Max: 20}, func(w jobs.Wood) Cell { return Text(w.Name) }},
		{Column{Key: "abrasion", Header: "abrasion", Kind: KindNumber, Digits: 2}, func(w jobs.Wood) Cell { return Number(w.Abrasion) }},
		{Column{Key: "tear_out", Header: "rim", Kind: KindCount}, func(w jobs.Wood) Cell { return Count(w.TearOut) }},
		{Column{Key: "hardness_n", Header: "hardness", Unit: "N", Kind: KindCount}, func(w jobs.Wood) Cell {
			if w.HardnessN == 0 {
				return Empty()
			}
			return Count(int(w.HardnessN))
		}},
		{Column{Key: "trade", Header: "trade", Max: 12}, func(w jobs.Wood) Cell {
			if w.TradeControl == "" {
				return Empty()
			}
			return Text("look it up")
		}},
		{Column{Key: "title", Header: "title"}, func(w jobs.Wood) Cell { return Text(w.Title) }},
	}))
	return out
}

// WoodCard is one wood with its cautions and sources.
func WoodCard(r *workshop.WoodResult) Report {
	w := r.Wood
	out := Report{Name: "wood", Title: w.Name, Made: r.Made, Headline: []string{woodLine(w),
		fmt.Sprintf("Abrasion %s (hard maple = 1): %s.", jobs.NumberText(w.Abrasion), w.Source),
		fmt.Sprintf("A sharp bit with a tight backing leaves rim grade %d.", w.TearOut)}}
	for _, line := range []struct{ name, text string }{{"", w.Dust}, {"Your note: ", w.Reaction}, {"Trade: ", w.TradeControl}} {
		if line.text != "" {
			out.Cautions = append(out.Cautions, upper(line.name+strings.TrimRight(line.text, "."))+".")
		}
	}
	return out
}

func woodLine(w jobs.Wood) string {
	if w.Botanical != "" {
		return fmt.Sprintf("%s: %s, %s.", w.Name, w.Title, w.Botanical)
	}
	return fmt.Sprintf("%s: %s.", w.Name, w.Title)
}
