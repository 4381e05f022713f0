package layout

// Modes of Solve.
const (
	StraightRow = "straight-row"
	EvenPitch   = "even-pitch"
	EvenEdge    = "even-edge"
	Balanced    = "balanced"
)

// mode is one way to place a row. A further mode is a row of the table below and
// its place function.
type mode struct {
	name         string
	needsOutline bool // it minds the edge of the head
	place        func(*solver, row) (placing, error)
	// firstStays: in a mirrored row the first post keeps its place on its string.
	firstStays bool
	kept       string // what the mode keeps, in words
	// What gives way, as far as it is known: places next to the strings, edge
	// distances, pitches.
	givesString, givesEdge, givesPitch bool
}

// modes is the table, in the order in which modes are compared. It is a function
// because the place functions reach it again.
func modes() []mode {
	return []mode{
		{name: StraightRow, place: (*solver).straightRow, givesString: true, givesEdge: true,
			kept: "the row is straight and evenly divided"},
		{name: EvenPitch, place: (*solver).evenPitch, givesEdge: true,
			kept: "every post is on its string and the pitch is even"},
		{name: EvenEdge, place: (*solver).evenEdge, needsOutline: true, givesPitch: true,
			kept: "every post is on its string and the edge distance even"},
		{name: Balanced, place: (*solver).balanced, needsOutline: true, firstStays: true, givesEdge: true, givesPitch: true,
			kept: "every post is on its string, pitch and edge share the error"},
	}
}

// Modes lists the names in the order they are compared.
func Modes() []string {
	var names []string
	for _, m := range modes() {
		names = append(names, m.name)
	}
	return names
}

// modeOf finds a mode by its name. An unknown name is a *SpecError.
func modeOf(name string) (mode, error) {
	for _, m := range modes() {
		if m.name == name {
			return m, nil
		}
	}
	return mode{}, oneOf("mode", name, Modes()...)
}
