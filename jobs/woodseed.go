package jobs

import (
	"fmt"
	"slices"
	"strings"
)

const (
	dustPlain = "dust irritates: extraction, fitted mask. Vacuum it, do not blow"
	dustSens  = "dust sensitises some people: extraction, fitted mask, covered skin. Stop at the first reaction"
	dustBoard = "dust is very fine, with resin: extraction at the bit, fitted mask"
)

// seedRow is one wood of the starting list. Table is the table of the USDA Wood
// Handbook (FPL-GTR-282, 2021, chapter 5, side hardness at 12 % moisture) and
// lbf its printed figure; newtons are the Handbook's own metric rounding to 100 N.
//
// The abrasion factor is judgement everywhere: hardness is a rough scale for
// wear at best. It follows the order of hardness, pressed together (a wood twice
// as hard does not wear an edge twice as fast), except where off is set: a wood
// that dulls tools by what is in it (silica, chalk) more than by hardness.
// Tear-out is judgement too (common practice, no source).
type seedRow struct {
	name, title string
	table       string
	lbf         float64
	abrasion    float64
	tear        int
	dust, trade string
	off         string
}

// botanical names the woods of the list (from memory, by the nomenclature of the Wood
// Handbook, chapters 1 and 2). What was sold under a trade name may be another species.
var botanical = map[string]string{
	"basswood": "Tilia americana", "limba": "Terminalia superba", "poplar": "Liriodendron tulipifera", "alder": "Alnus rubra", "mahogany": "Swietenia spp.", "khaya": "Khaya spp.",
	"soft-maple": "Acer rubrum", "cherry": "Prunus serotina", "teak": "Tectona grandis", "walnut": "Juglans nigra", "birch": "Betula alleghaniensis", "iroko": "Milicia excelsa",
	"beech": "Fagus grandifolia", "ash": "Fraxinus americana", "oak": "Quercus alba", "hard-maple": "Acer saccharum", "figured-maple": "Acer saccharum", "roasted-maple": "Acer saccharum",
	"sapele": "Entandrophragma cylindricum", "purpleheart": "Peltogyne spp.", "bubinga": "Guibourtia spp.", "rosewood-brazilian": "Dalbergia nigra", "rosewood": "Dalbergia latifolia",
	"wenge": "Millettia laurentii", "padauk": "Pterocarpus soyauxii", "ebony": "Diospyros spp.",
}

var woodSeed = []seedRow{
	{"basswood", "American basswood (lime)", "5-3b", 410, 0.4, 0, dustPlain, "", ""},
	{"limba", "limba", "5-5b", 490, 0.5, 1, dustPlain, "", ""},
	{"poplar", "yellow-poplar", "5-3b", 540, 0.5, 0, dustPlain, "", ""},
	{"alder", "red alder", "5-3b", 590, 0.5, 0, dustPlain, "", ""},
	{"mahogany", "true mahogany (Swietenia)", "5-5b", 800, 0.7, 1, dustSens, "listed under CITES", ""},
	{"khaya", "African mahogany (Khaya)", "5-5b", 830, 0.7, 1, dustSens, "listed under CITES", ""},
	{"soft-maple", "soft maple (red)", "5-3b", 950, 0.75, 0, dustPlain, "", ""},
	{"cherry", "black cherry", "5-3b", 950, 0.75, 0, dustPlain, "", ""},
	{"teak", "teak", "5-5b", 1000, 2.5, 0, dustSens, "", "silica in the wood"},
	{"walnut", "black walnut", "5-3b", 1010, 0.8, 1, dustSens, "", ""},
	{"birch", "yellow birch", "5-3b", 1260, 0.9, 0, dustPlain, "", ""},
	{"iroko", "iroko", "5-5b", 1260, 1.6, 1, dustSens, "", "chalky deposits in the wood"},
	{"beech", "American beech", "5-3b", 1300, 0.9, 0, dustPlain, "", ""},
	{"ash", "white ash", "5-3b", 1320, 1, 1, dustPlain, "", ""},
	{"oak", "white oak", "5-3b", 1360, 1, 1, dustPlain, "", ""},
	{"hard-maple", "hard maple (sugar)", "5-3b", 1450, 1, 0, dustPlain, "", ""},
	{"figured-maple", "hard maple with curl or quilt", "5-3b", 1450, 1, 1, dustPlain, "", ""},
	{"roasted-maple", "hard maple, roasted", "", 0, 0.9, 1, dustPlain, "", ""},
	{"sapele", "sapele", "5-5b", 1510, 1, 1, dustSens, "", ""},
	{"purpleheart", "purpleheart", "5-5b", 1860, 1.1, 1, dustPlain, "", ""},
	{"bubinga", "bubinga", "5-5b", 2690, 1.2, 0, dustPlain, "some species listed under CITES", ""},
	{"rosewood-brazilian", "Brazilian rosewood", "5-5b", 2720, 1.2, 1, dustSens, "listed under CITES, in the strictest appendix", ""},
	{"rosewood", "Indian rosewood", "5-5b", 3170, 1.2, 1, dustSens, "listed under CITES", ""},
	{"wenge", "wenge", "", 0, 1.1, 2, dustSens + ". Splinters fester", "", ""},
	{"padauk", "African padauk", "", 0, 1.1, 1, dustSens, "listed under CITES", ""},
	{"ebony", "ebony", "", 0, 1.4, 1, dustSens, "some species listed under CITES", ""},
	{"fibreboard", "fibreboard (as backing)", "", 0, 1.5, 0, dustBoard, "", ""},
	{"plywood", "birch plywood (as backing)", "", 0, 1.2, 1, dustBoard, "", ""},
	{"resin-board", "resin board", "", 0, 3, 0, dustBoard, "", ""},
}

// SeedWoods gives the starting list, in alphabetical order. Every factor is a
// setting.
func SeedWoods() []Wood {
	out := make([]Wood, 0, len(woodSeed))
	for _, r := range woodSeed {
		w := Wood{Name: r.name, Title: r.title, Botanical: botanical[r.name], Abrasion: r.abrasion, TearOut: r.tear, Dust: r.dust}
		if r.trade != "" {
			w.TradeControl = r.trade + " when last looked at (from memory): check the current rules before sale or export"
		}
		switch {
		case r.off != "":
			w.HardnessN = newtons(r.lbf)
			w.Source = fmt.Sprintf("our guess: %s weighs more than the hardness (Wood Handbook table %s: %.0f N)", r.off, r.table, w.HardnessN)
		case r.table != "":
			w.HardnessN = newtons(r.lbf)
			w.Source = fmt.Sprintf("our guess, in the order of side hardness (Wood Handbook table %s: %.0f N)", r.table, w.HardnessN)
		default:
			w.Source = "our guess, not in the Wood Handbook"
		}
		if r.name == "hard-maple" {
			w.Source = fmt.Sprintf("the reference, 1 by definition (Wood Handbook table %s: %.0f N)", r.table, w.HardnessN)
		}
		out = append(out, w)
	}
	slices.SortFunc(out, func(a, b Wood) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// newtons turns the Handbook's pounds-force into its metric column: 4.448222
// N per lbf, to the nearest 100 N.
func newtons(lbf float64) float64 { return float64(int(lbf*4.448222/100+0.5)) * 100 }
