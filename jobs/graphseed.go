package jobs

import (
	"slices"
	"strings"
)

// Route is a graph of steps through which a neck passes, with the quantities of
// a neck that names none.
type Route struct {
	Name       string             `json:"name"`
	Title      string             `json:"title"`
	Steps      Graph              `json:"steps"`
	Quantities map[string]float64 `json:"quantities"` // by what they count
}

func step(name, after string) GraphStep {
	s := GraphStep{Name: name, Operation: name}
	for _, text := range strings.Fields(after) {
		n, err := ParseNeed(text)
		if err != nil {
			panic(err) // a seed that cannot be read is a bug
		}
		s.After = append(s.After, n)
	}
	return s
}

func when(name, after, quantity string) GraphStep {
	s := step(name, after)
	s.When = quantity
	return s
}

// repeated is a step that follows itself once cured. The window is common
// practice without a source; the label of the finish goes before it.
func repeated(name, after, quantity string, fromH, toH float64) GraphStep {
	s := step(name, after)
	s.Repeat, s.Window = quantity, &Window{fromH, toH}
	return s
}

// SeedRoutes gives the routes a new file starts with. Default areas and
// lengths are those of a plain headstock of 190 x 75 mm with both faces
// veneered.
func SeedRoutes() []Route {
	quantities := func(coats, frets, markers, edgeDots float64) map[string]float64 {
		return map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "inlay": 0, "coats": coats, "frets": frets, "markers": markers, "edge_dots": edgeDots, "scarf": 0, "ears": 0, "binding": 0}
	}
	return []Route{
		{"headstock", "a headstock, from choosing the veneer to fitting the tuners", headGraph(), quantities(0, 0, 0, 0)},
		{"neck", "a whole neck, from the blank to the strings", neckGraph(), quantities(6, 22, 10, 8)},
	}
}

func headGraph() Graph {
	return Graph{
		step("choose-veneer", ""),
		step("order-parts", ""),
		step("freeze-plan", ""),
		step("thickness-core", ""),
		step("joint-veneer", "choose-veneer"),
		step("glue-face", "thickness-core joint-veneer"),
		step("thickness-head", "glue-face:cured"),
		step("glue-back", "thickness-head"),
		step("flush-sand", "glue-face:cured glue-back:cured"),
		step("block-sand", "flush-sand"),
		step("print-template", "freeze-plan"),
		step("mark-posts", "print-template block-sand"),
		step("fit-backing", "mark-posts"),
		step("drill", "fit-backing"),
		step("ease-holes", "drill"),
		step("pilot-holes", "drill order-parts:cured"),
		when("inlay-draw", "choose-veneer freeze-plan", "inlay"),
		when("inlay-cut", "inlay-draw", "inlay"),
		when("inlay-rout", "inlay-cut ease-holes", "inlay"),
		when("inlay-glue", "inlay-rout", "inlay"),
		when("inlay-level", "inlay-glue:cured", "inlay"),
		when("finish-prep", "inlay-level pilot-holes ease-holes", "coats"),
		repeated("finish-coat", "finish-prep", "coats", 4, 48),
		when("ream-finish", "finish-coat:cured", "coats"),
		step("fit-tuners", "ream-finish pilot-holes ease-holes order-parts:cured"),
	}
}

// neckGraph is the headstock's graph between the board and the strings. The
// whole neck adds to the needs of some of its steps.
func neckGraph() Graph {
	head := headGraph()
	for name, more := range map[string]string{
		"choose-veneer": "choose-blank", "thickness-core": "true-blank true-scarf glue-ears:cured",
		"finish-prep": "profile-sand fret-dress", "ream-finish": "rub-out",
	} {
		i := slices.IndexFunc(head, func(s GraphStep) bool { return s.Name == name })
		head[i].After = append(head[i].After, step(name, more).After...)
	}
	return slices.Concat(Graph{
		step("choose-blank", ""),
		step("true-blank", "choose-blank"),
		when("cut-scarf", "true-blank", "scarf"),
		when("glue-scarf", "cut-scarf", "scarf"),
		when("true-scarf", "glue-scarf:cured", "scarf"),
		when("glue-ears", "true-blank true-scarf", "ears"),
		step("centre-line", "true-blank true-scarf"),
		step("rod-channel", "centre-line"),
		step("rod-fit", "rod-channel order-parts:cured"),
		step("board-true", "choose-blank"),
		step("slot-cut", "board-true"),
		step("board-taper", "slot-cut"),
		when("board-bind", "board-taper", "binding"),
		when("board-inlay", "slot-cut board-bind:cured", "markers"),
		step("board-glue", "rod-fit board-taper board-bind:cured thickness-core"),
		step("board-radius", "board-glue:cured board-inlay:cured"),
		when("edge-dots", "board-glue:cured", "edge_dots"),
		step("profile-rough", "board-glue:cured drill"),
		step("profile-shape", "profile-rough edge-dots"),
		step("fret-seat", "board-radius profile-shape"),
		step("fret-level", "fret-seat:cured"),
		step("fret-dress", "fret-level"),
		step("profile-sand", "profile-shape board-radius"),
		step("nut-shape", "fret-seat:cured order-parts:cured"),
	}, head, Graph{
		when("rub-out", "finish-coat:168h", "coats"),
		step("string-up", "fit-tuners nut-shape fret-dress rub-out"),
		step("nut-slot", "string-up"),
		step("adjust", "nut-slot"),
		step("re-check", "adjust:cured"),
	})
}
