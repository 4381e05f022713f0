package jobs

// GraphOperation is an operation of a graph of steps: its standard, its cure,
// where it is worked and what a plan must heed. Every number is a judgement to
// overwrite. A product's label goes before its cure.
type GraphOperation struct {
	Name, Title  string
	Group        string // a heading, without a rule of its own
	Per          string
	SetupMin     float64
	RunMin       float64 // per unit
	BenchWaitMin float64 // part of the step, never scaled by pace
	// HandledH and CuredH run from the end of the step; HardH is when a finish
	// is hard.
	HandledH, CuredH, HardH float64
	Place                   Place
	Marks                   Marks
	Gates                   []Gate   // besides those of the marks, see AllGates
	Uses                    []string // supplies
	Cautions                []string
}

// marks reads the short form of a seed. A seed that cannot be read is a bug.
func marks(text string) Marks {
	m, err := ParseMarks(text)
	if err != nil {
		panic(err)
	}
	return m
}

// headOperations gives the operations of a headstock.
func headOperations() []GraphOperation {
	return []GraphOperation{
		{Name: "choose-veneer", Title: "choose the veneer", Group: "head", Per: "choice", RunMin: 25, Place: PlaceOff, Marks: marks("Z S")},
		{Name: "order-parts", Title: "order the parts", Group: "hardware", Per: "choice", RunMin: 5, CuredH: 240, Place: PlaceOff, Marks: marks("Z")},
		{Name: "freeze-plan", Title: "freeze the plan: layout solved, checks read", Group: "head", Per: "choice", RunMin: 2, Place: PlaceOff, Marks: marks("Z")},
		{Name: "thickness-core", Title: "thickness the core and true its face", Group: "head", Per: "cm2", SetupMin: 12, RunMin: 0.1, Place: PlaceForce, Marks: marks("N D M"), Cautions: caution("d o")},
		{Name: "joint-veneer", Title: "cut and joint the veneer", Group: "head", Per: "cm2", SetupMin: 10, RunMin: 0.1, Place: PlaceOff, Uses: []string{"tape"}, Cautions: caution("n o")},
		{Name: "glue-face", Title: "glue the face veneer", Group: "head", Per: "cm2", SetupMin: 8, RunMin: 0.05, HandledH: 10, CuredH: 16, Place: PlaceLight, Marks: marks("1 K1 T"), Uses: []string{"wood glue", "release film"}, Cautions: caution("h")},
		{Name: "thickness-head", Title: "measure, then sand to thickness", Group: "head", Per: "cm2", SetupMin: 4, RunMin: 0.08, Place: PlaceForce, Marks: marks("N D M"), Uses: []string{"abrasive"}, Cautions: caution("d o")},
		{Name: "glue-back", Title: "glue the back veneer", Group: "head", Per: "cm2", SetupMin: 8, RunMin: 0.05, HandledH: 10, CuredH: 16, Place: PlaceLight, Marks: marks("1 K1 T G"), Gates: []Gate{GateStack}, Uses: []string{"wood glue", "release film"}, Cautions: caution("h")},
		{Name: "flush-sand", Title: "sand the edges flush on the spindle sander", Group: "head", Per: "edge_cm", SetupMin: 6, RunMin: 0.12, Place: PlaceForce, Marks: marks("N D M"), Uses: []string{"abrasive sleeve"}, Cautions: caution("b")},
		{Name: "block-sand", Title: "block-sand the edges by hand", Group: "head", Per: "neck", RunMin: 12, Place: PlaceLight, Marks: marks("D"), Uses: []string{"abrasive"}, Cautions: caution("o")},
		{Name: "print-template", Title: "print the template and measure its bars", Group: "head", Per: "pages", SetupMin: 8, RunMin: 1, Place: PlaceOff, Marks: marks("P"), Uses: []string{"paper"}},
		{Name: "mark-posts", Title: "stick the template, mark and prick the posts", Group: "head", Per: "holes", SetupMin: 6, RunMin: 1.5, Place: PlaceLight, Marks: marks("P"), Uses: []string{"spray glue"}, Cautions: caution("q")},
		{Name: "fit-backing", Title: "stick on the backing board", Group: "head", Per: "neck", SetupMin: 3, RunMin: 4, BenchWaitMin: 6, Place: PlaceLight, Marks: marks("1"), Uses: []string{"CA glue", "tape"}, Cautions: caution("f")},
		{Name: "drill", Title: "drill the tuner holes", Group: "head", Per: "holes", SetupMin: 10, RunMin: 1.5, Place: PlaceForce, Marks: marks("N M 1 P G"), Gates: []Gate{GateBit}, Cautions: caution("c")},
		{Name: "ease-holes", Title: "take off the backing, ease the hole rims", Group: "head", Per: "holes", SetupMin: 2, RunMin: 0.5, Place: PlaceLight, Cautions: caution("n")},
		{Name: "pilot-holes", Title: "drill the pilot holes for screws and pins", Group: "head", Per: "pilots", SetupMin: 5, RunMin: 0.7, Place: PlaceForce, Marks: marks("N M"), Cautions: caution("c")},
		{Name: "inlay-draw", Title: "inlay: draw and trace", Group: "inlay", Per: "inlay", SetupMin: 15, RunMin: 4, Place: PlaceOff, Marks: marks("R")},
		{Name: "inlay-cut", Title: "inlay: cut the inlays", Group: "inlay", Per: "inlay", SetupMin: 10, RunMin: 12, Place: PlaceOff, Marks: marks("R"), Uses: []string{"blades", "shell"}, Cautions: caution("j")},
		{Name: "inlay-rout", Title: "inlay: rout the pockets and fit", Group: "inlay", Per: "inlay", SetupMin: 15, RunMin: 9, Place: PlaceForce, Marks: marks("N D M R"), Uses: []string{"cutters"}, Cautions: caution("a")},
		{Name: "inlay-glue", Title: "inlay: glue and fill", Group: "inlay", Per: "inlay", SetupMin: 8, RunMin: 2, HandledH: 12, CuredH: 24, Place: PlaceLight, Marks: marks("1 T"), Uses: []string{"epoxy"}, Cautions: caution("g")},
		{Name: "inlay-level", Title: "inlay: sand level", Group: "inlay", Per: "inlay", SetupMin: 5, RunMin: 3, Place: PlaceLight, Marks: marks("D"), Uses: []string{"abrasive"}, Cautions: caution("j o")},
		{Name: "finish-prep", Title: "prepare the surface for the finish", Group: "finish", Per: "neck", SetupMin: 5, RunMin: 12, Place: PlaceLight, Marks: marks("D"), Uses: []string{"filler", "tape"}, Cautions: caution("o")},
		{Name: "finish-coat", Title: "one coat of finish", Group: "finish", Per: "coats", SetupMin: 12, RunMin: 4, HandledH: 8, CuredH: 24, HardH: 168, Place: PlaceLight, Marks: marks("1 F T"), Uses: []string{"finish"}, Cautions: caution("i")},
		{Name: "ream-finish", Title: "ream the finish out of the holes", Group: "finish", Per: "holes", SetupMin: 4, RunMin: 0.7, Place: PlaceLight, Cautions: caution("r")},
		{Name: "fit-tuners", Title: "fit the tuners", Group: "hardware", Per: "holes", SetupMin: 5, RunMin: 3.5, Place: PlaceLight, Marks: marks("H"), Uses: []string{"screws"}, Cautions: caution("n")},
	}
}
