package jobs

import "bookmatch/costing/money"

// Cautions are short and shown once an evening. They never replace the label of
// the product, the manual of the machine or local rules.
const (
	cautionDust    = "dust: extraction and a fitted mask, eyes and ears; some species sensitise"
	cautionSpindle = "spindle: both hands away, small gap, against the rotation, no loose sleeves or hair; extraction, mask, ears"
	cautionDrill   = "drill: clamp or fence the work, no gloves or loose sleeves, chuck key out, eyes covered, brush chips away"
	cautionBlade   = "blades: guards on, hands behind the edge"
	cautionGlue    = "glue: gloves and fresh air; epoxies sensitise the skin; follow the product label"
	cautionFast    = "fast glue: fresh air, gloves, eyes; it bonds skin and heats on cotton; accelerator burns"
	cautionFinish  = "finish: fresh air, no flame or spark; oily rags flat or under water in a closed metal can; follow the label"
	cautionInlay   = "shell and some inlay dust is fine and harmful: work it wet or extracted, fitted mask"
)

// overNight is the cure of a veneer glue-up. Common practice, no source: a
// veneer stays clamped over night. The glue's label goes before it.
const overNight = 10 * 60

func qty(s string) money.Qty {
	q, err := money.ParseQty(s)
	if err != nil {
		panic(err)
	}
	return q
}

// SeedOperations gives the operations a new file starts with. Every minute and chance is
// a judgement to overwrite, not a measured value; the order is that of a build.
func SeedOperations() []Operation {
	const guess = "our guess, no source: write your own over it"
	operations := []Operation{
		{Name: "decide", Title: "make a decision", RunMin: 25, Per: "choice", Decide: true},
		{Name: "choose-veneer", Title: "choose veneer and design", RunMin: 25, Per: "choice", Decide: true},
		{Name: "thickness-core", Title: "thickness the core, true the face", SetupMin: 12, RunMin: 0.10, Per: "cm2", Noise: true, Dust: true, Caution: cautionBlade + "; " + cautionDust, ScrapChance: 0.005},
		{Name: "joint-veneer", Title: "cut and joint the veneer", SetupMin: 10, RunMin: 0.10, Per: "cm2", Caution: cautionBlade},
		{Name: "glue-face", Title: "glue the face veneer", Aliases: []string{"glue-up"}, SetupMin: 8, RunMin: 0.05, Per: "cm2", UnclampMin: overNight, CureMin: overNight, Clamps: 1, NoStop: true, Caution: cautionGlue, ReworkChance: 0.04,
			Recipe: []RecipeLine{{"wood-glue", qty("0.02"), qty("2")}}},
		{Name: "glue-back", Title: "glue the back veneer", SetupMin: 8, RunMin: 0.05, Per: "cm2", UnclampMin: overNight, CureMin: overNight, Clamps: 1, NoStop: true, Caution: cautionGlue, ReworkChance: 0.04,
			Recipe: []RecipeLine{{"wood-glue", qty("0.02"), qty("2")}}},
		{Name: "flush-sand", Title: "flush the edges on the spindle", Aliases: []string{"sand"}, SetupMin: 6, RunMin: 0.12, Per: "edge_cm", Noise: true, Dust: true, Caution: cautionSpindle, ReworkChance: 0.02,
			Recipe: []RecipeLine{{"abrasive-sleeve", qty("0.004"), qty("0")}}},
		{Name: "block-sand", Title: "block the edges by hand", RunMin: 12, Per: "neck", Dust: true, Caution: cautionDust},
		{Name: "thickness-head", Title: "check and bring to thickness", SetupMin: 4, RunMin: 0.08, Per: "cm2", Noise: true, Dust: true, Caution: cautionDust},
		{Name: "print-template", Title: "print, check and stick the template", SetupMin: 8, RunMin: 1, Per: "pages", PlanNeed: true},
		{Name: "mark-posts", Title: "lay out and prick the posts", SetupMin: 6, RunMin: 1.5, Per: "holes", PlanNeed: true},
		{Name: "fit-backing", Title: "stick the backing on", SetupMin: 3, RunMin: 4, Per: "neck", CureMin: 5, NoStop: true, Caution: cautionFast,
			Recipe: []RecipeLine{{"ca-glue", qty("1"), qty("0.5")}}},
		{Name: "drill", Title: "drill the posts", SetupMin: 10, RunMin: 1.5, Per: "holes", Noise: true, Drills: DrillsPosts, PlanNeed: true, NoStop: true, Caution: cautionDrill, ReworkChance: 0.03, ScrapChance: 0.015},
		{Name: "ease-holes", Title: "take the backing off, ease the rims", SetupMin: 2, RunMin: 0.5, Per: "holes"},
		{Name: "pilot-holes", Title: "drill pilots for screws and pins", SetupMin: 5, RunMin: 0.7, Per: "pilots", Noise: true, Drills: DrillsHidden, Caution: cautionDrill},
		{Name: "inlay-draw", Title: "inlay: draw and trace", SetupMin: 15, RunMin: 4, Per: "inlay"},
		{Name: "inlay-cut", Title: "inlay: cut the pieces", SetupMin: 10, RunMin: 12, Per: "inlay", Caution: cautionInlay, ReworkChance: 0.05},
		{Name: "inlay-rout", Title: "inlay: rout the pockets and fit", SetupMin: 15, RunMin: 9, Per: "inlay", Noise: true, Dust: true, Caution: cautionBlade + "; " + cautionDust, ReworkChance: 0.03, ScrapChance: 0.01},
		{Name: "inlay-glue", Title: "inlay: glue and fill", SetupMin: 8, RunMin: 2, Per: "inlay", CureMin: overNight, NoStop: true, Wet: true, Caution: cautionGlue,
			Recipe: []RecipeLine{{"epoxy", qty("0.4"), qty("3")}}},
		{Name: "inlay-level", Title: "inlay: level", SetupMin: 5, RunMin: 3, Per: "inlay", Dust: true, Caution: cautionInlay},
		{Name: "finish-coat", Title: "coat of finish", SetupMin: 12, RunMin: 4, Per: "coats", CureMin: 24 * 60, NoStop: true, Wet: true, Caution: cautionFinish, ReworkChance: 0.06,
			Recipe: []RecipeLine{{"finish-oil", qty("6"), qty("2")}}},
		{Name: "ream-finish", Title: "ream finish from the holes", SetupMin: 4, RunMin: 0.7, Per: "holes"},
		{Name: "fit-tuners", Title: "fit the tuners", SetupMin: 5, RunMin: 3.5, Per: "holes", Hardware: true},
		{Name: "fret-seat", Title: "frets: seat", SetupMin: 15, RunMin: 2, Per: "frets", Noise: true},
		{Name: "fret-level", Title: "frets: level", SetupMin: 15, RunMin: 0.8, Per: "frets", Dust: true, Caution: cautionDust},
		{Name: "fret-dress", Title: "frets: dress", SetupMin: 10, RunMin: 2, Per: "frets"},
	}
	for i := range operations {
		operations[i].Source = guess
	}
	return operations
}

// Route is the ordered operations through which a neck passes, with the quantities
// that stand when a neck names none.
type Route struct {
	Name       string             `json:"name"`
	Title      string             `json:"title"`
	Steps      []RouteStep        `json:"steps"`
	Quantities map[string]float64 `json:"quantities"` // default quantity by what it counts
}

// RouteStep is one step of a route. A step whose quantity, or whose Needs, has no
// quantity on a neck falls away (an inlay step on a neck without inlay, reaming
// where nothing was sprayed).
type RouteStep struct {
	Operation string `json:"operation"`
	Needs     string `json:"needs,omitempty"`
	Note      string `json:"note,omitempty"`
}

// SeedRoutes gives the routes a new file starts with. Default areas and lengths
// are those of a plain headstock of 190 x 75 mm with both faces veneered.
func SeedRoutes() []Route {
	steps := func(operations ...string) []RouteStep {
		out := make([]RouteStep, len(operations))
		for i, k := range operations {
			out[i].Operation = k
			if k == "ream-finish" {
				out[i].Needs = "coats"
			}
		}
		return out
	}
	head := map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "coats": 0, "inlay": 0, "frets": 0}
	whole := map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "coats": 6, "inlay": 0, "frets": 22}
	return []Route{
		{"headstock", "a headstock, from choosing the veneer to fitting the tuners", steps("choose-veneer", "thickness-core", "joint-veneer", "glue-face", "thickness-head", "glue-back", "flush-sand", "block-sand",
			"print-template", "mark-posts", "fit-backing", "drill", "ease-holes", "pilot-holes", "inlay-draw", "inlay-cut", "inlay-rout", "inlay-glue", "inlay-level", "finish-coat", "ream-finish", "fit-tuners"), head},
		{"neck", "a whole neck: headstock, frets and finish", steps("choose-veneer", "thickness-core", "joint-veneer", "glue-face", "thickness-head", "glue-back", "flush-sand", "block-sand",
			"print-template", "mark-posts", "fit-backing", "drill", "ease-holes", "pilot-holes", "inlay-draw", "inlay-cut", "inlay-rout", "inlay-glue", "inlay-level", "fret-seat", "fret-level", "fret-dress",
			"finish-coat", "ream-finish", "fit-tuners"), whole},
	}
}
