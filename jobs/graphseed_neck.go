package jobs

// SeedGraphOperations gives the operations of the seeded graphs, in the order
// of a build.
func SeedGraphOperations() []GraphOperation {
	return append(neckOperations(), headOperations()...)
}

// neckOperations gives the operations that a whole neck has besides those of a
// headstock.
func neckOperations() []GraphOperation {
	return []GraphOperation{
		{Name: "choose-blank", Title: "choose the blank: grain, moisture, weight", Group: "joint", Per: "choice", RunMin: 20, Place: PlaceOff, Marks: marks("Z S")},
		{Name: "true-blank", Title: "true the blank: two faces square", Group: "joint", Per: "neck", SetupMin: 10, RunMin: 15, Place: PlaceForce, Marks: marks("N D M"), Cautions: caution("d")},
		{Name: "cut-scarf", Title: "cut the scarf", Group: "joint", Per: "scarf", SetupMin: 12, RunMin: 10, Place: PlaceForce, Marks: marks("N D M"), Cautions: caution("e")},
		{Name: "glue-scarf", Title: "glue the scarf", Group: "joint", Per: "scarf", SetupMin: 8, RunMin: 10, HandledH: 4, CuredH: 24, Place: PlaceLight, Marks: marks("1 K1 T"), Uses: []string{"wood glue"}, Cautions: caution("h")},
		{Name: "true-scarf", Title: "true the scarf", Group: "joint", Per: "scarf", SetupMin: 6, RunMin: 10, Place: PlaceForce, Marks: marks("N D M"), Uses: []string{"abrasive"}, Cautions: caution("d o")},
		{Name: "glue-ears", Title: "glue the ears on", Group: "joint", Per: "ears", SetupMin: 8, RunMin: 4, HandledH: 4, CuredH: 16, Place: PlaceLight, Marks: marks("1 K1 T"), Uses: []string{"wood glue"}, Cautions: caution("h")},
		{Name: "centre-line", Title: "mark the centre line, the datum and the nut line", Group: "joint", Per: "neck", RunMin: 8, Place: PlaceLight},
		{Name: "rod-channel", Title: "cut the channel of the truss rod", Group: "rod", Per: "neck", SetupMin: 15, RunMin: 10, Place: PlaceForce, Marks: marks("N D M"), Uses: []string{"cutters"}, Cautions: caution("a")},
		{Name: "rod-fit", Title: "fit the truss rod: works both ways before it is closed in", Group: "rod", Per: "neck", SetupMin: 5, RunMin: 12, Place: PlaceLight, Marks: marks("H"), Uses: []string{"sealant", "tape"}, Cautions: caution("n")},
		{Name: "board-true", Title: "true the fretboard", Group: "board", Per: "neck", SetupMin: 8, RunMin: 12, Place: PlaceOff, Marks: marks("N D M"), Cautions: caution("d")},
		{Name: "slot-cut", Title: "cut the fret slots", Group: "board", Per: "frets", SetupMin: 12, RunMin: 1.2, Place: PlaceOff, Marks: marks("D R"), Cautions: caution("n o")},
		{Name: "board-taper", Title: "taper the fretboard", Group: "board", Per: "neck", SetupMin: 8, RunMin: 6, Place: PlaceOff, Marks: marks("N D M"), Cautions: caution("e")},
		{Name: "board-bind", Title: "bind the fretboard", Group: "board", Per: "binding", SetupMin: 10, RunMin: 10, HandledH: 2, CuredH: 12, Place: PlaceOff, Marks: marks("1 T"), Uses: []string{"binding cement"}, Cautions: caution("f i")},
		{Name: "board-inlay", Title: "inlay the position markers", Group: "board", Per: "markers", SetupMin: 8, RunMin: 2.5, HandledH: 0.2, CuredH: 1, Place: PlaceOff, Uses: []string{"CA glue", "markers"}, Cautions: caution("f j")},
		{Name: "board-glue", Title: "glue the fretboard on: rod taped, glue kept out of it", Group: "board", Per: "neck", SetupMin: 10, RunMin: 12, HandledH: 4, CuredH: 24, Place: PlaceLight, Marks: marks("1 K2 T"), Uses: []string{"wood glue"}, Cautions: caution("h")},
		{Name: "board-radius", Title: "sand the radius of the fretboard", Group: "board", Per: "neck", SetupMin: 8, RunMin: 25, Place: PlaceLight, Marks: marks("D R"), Uses: []string{"abrasive"}, Cautions: caution("o j")},
		{Name: "edge-dots", Title: "set the side dots", Group: "board", Per: "edge_dots", SetupMin: 8, RunMin: 1.5, BenchWaitMin: 12, Place: PlaceLight, Uses: []string{"CA glue", "dot rod"}, Cautions: caution("c f")},
		{Name: "profile-rough", Title: "rough out the back", Group: "carving", Per: "neck", SetupMin: 12, RunMin: 20, Place: PlaceForce, Marks: marks("N D M"), Cautions: caution("e a")},
		{Name: "profile-shape", Title: "shape the back", Group: "carving", Per: "neck", SetupMin: 5, RunMin: 90, Place: PlaceForce, Marks: marks("D R"), Cautions: caution("n o")},
		{Name: "fret-seat", Title: "frets: seat", Group: "frets", Per: "frets", SetupMin: 15, RunMin: 2, HandledH: 0.5, CuredH: 1, Place: PlaceForce, Marks: marks("N R"), Uses: []string{"fretwire", "CA glue"}, Cautions: caution("k f")},
		{Name: "fret-level", Title: "frets: level", Group: "frets", Per: "frets", SetupMin: 15, RunMin: 0.8, Place: PlaceLight, Marks: marks("D"), Uses: []string{"abrasive"}, Cautions: caution("l")},
		{Name: "fret-dress", Title: "frets: crown and polish", Group: "frets", Per: "frets", SetupMin: 10, RunMin: 2, Place: PlaceLight, Marks: marks("R"), Uses: []string{"abrasive"}, Cautions: caution("l m")},
		{Name: "profile-sand", Title: "sand the back", Group: "carving", Per: "neck", SetupMin: 5, RunMin: 35, Place: PlaceLight, Marks: marks("D R"), Uses: []string{"abrasive"}, Cautions: caution("o")},
		{Name: "nut-shape", Title: "shape the nut", Group: "frets", Per: "neck", SetupMin: 10, RunMin: 20, Place: PlaceLight, Marks: marks("D H"), Uses: []string{"nut blank"}, Cautions: caution("j")},
		{Name: "rub-out", Title: "rub the finish out", Group: "finish", Per: "neck", SetupMin: 10, RunMin: 40, Place: PlaceLight, Marks: marks("R"), Uses: []string{"abrasive", "compound"}, Cautions: caution("m i")},
		{Name: "string-up", Title: "string it up", Group: "hardware", Per: "neck", SetupMin: 5, RunMin: 15, Place: PlaceLight, Marks: marks("H"), Uses: []string{"strings"}, Cautions: caution("p")},
		{Name: "nut-slot", Title: "cut the nut slots", Group: "adjust", Per: "holes", SetupMin: 10, RunMin: 4, Place: PlaceLight, Marks: marks("R"), Cautions: caution("l")},
		{Name: "adjust", Title: "adjust relief, slots and action", Group: "adjust", Per: "neck", SetupMin: 5, RunMin: 40, HandledH: 24, CuredH: 24, Place: PlaceLight, Cautions: caution("p")},
		{Name: "re-check", Title: "check again after a day", Group: "adjust", Per: "neck", RunMin: 15, Place: PlaceLight, Cautions: caution("p")},
	}
}
