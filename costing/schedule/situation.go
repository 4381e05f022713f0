package schedule

// Place is what a step does to the neck it is for. What a running cure blocks
// follows from it.
type Place uint8

// The three places of work.
const (
	Off   Place = iota // off the neck: a loose piece, paper, the telephone
	Light              // on the neck, without shaking or loading it
	Force              // shakes or loads the neck: machine, hammer, rasp
)

// Marks are the yes-or-no properties of a step.
type Marks uint8

// The marks.
const (
	Noisy      Marks = 1 << iota // ends by the quiet hour
	Dusty                        // not with a wet film in the room
	Machine                      // ends by the tired hour
	NoStop                       // done in one go
	Resumable                    // may be left after any whole piece
	Wet                          // leaves a wet film
	IsErrand                     // an errand or a decision, not bench work
	NeedsParts                   // waits for the bought parts
)

// Has says whether m holds all of want.
func (m Marks) Has(want Marks) bool { return m&want == want }

// Need is an earlier step of the same neck and how long after its end the
// later step may begin.
type Need struct {
	Step    int     `json:"step"`               // index in Neck.Steps
	WaitMin float64 `json:"wait_min,omitempty"` // 0 needs the step done and no more
}

// Shut is a gate that no record has met yet.
type Shut struct {
	Reason string `json:"reason"`
	// LiftsMin is when it opens, in minutes from now; below 0 nobody knows.
	LiftsMin float64 `json:"lifts_min"`
}

// Step is one step of a neck. Minutes are those still to do.
type Step struct {
	Name      string `json:"name"`
	Operation string `json:"operation"` // steps of one operation share a setup while consecutive
	Needs     []Need `json:"needs,omitempty"`
	Place     Place  `json:"place,omitempty"`
	Marks     Marks  `json:"marks,omitempty"`
	Clamps    int    `json:"clamps,omitempty"` // clamp sets held until handled
	// SafeSetupMin and SafeRunMin are planned with: 4 in 5 take less.
	SafeSetupMin int     `json:"safe_setup_min,omitempty"`
	SafeRunMin   int     `json:"safe_run_min,omitempty"`
	MeanSetupMin float64 `json:"mean_setup_min,omitempty"`
	MeanRunMin   float64 `json:"mean_run_min,omitempty"`
	// Left is the quantity left. Up to 1 a part is counted in quarter hours,
	// else in whole pieces.
	Left float64 `json:"left,omitempty"`
	// HandledMin and CuredMin run from the end of the step; CuredMin of an
	// order is its lead time.
	HandledMin float64 `json:"handled_min,omitempty"`
	CuredMin   float64 `json:"cured_min,omitempty"`
	Done       bool    `json:"done,omitempty"`
	DoneMin    float64 `json:"done_min,omitempty"` // when it ended, in minutes from now (below 0)
	Shut       *Shut   `json:"shut,omitempty"`
}

// Neck is a neck that is not finished. Its steps come in any order; their
// needs must have no loop.
type Neck struct {
	Code   string
	Weight int // see Weight
	Steps  []Step
}

// Window is a coming evening, in minutes from now.
type Window struct{ FromMin, ToMin float64 }

// Evening is tonight and what the search must know of later evenings.
type Evening struct {
	Minutes       int // from now until the end
	NoiseUntil    int // the quiet hour, in minutes from now
	MachinesUntil int // the tired hour, in minutes from now
	ClampSets     int
	DustFreeRoom  bool
	Unlogged      float64 // evening minutes for one logged minute
	UsualMin      float64 // length of a usual evening
	// Later are the coming evenings in order. The last seven days of the list
	// go on week after week.
	Later []Window
}

// Situation is all that tonight's plan depends on.
type Situation struct {
	Evening Evening
	Necks   []Neck
}

// Weight says how much a neck's date presses. 4: past saving even with the
// bench to itself; 3: tight; 2: dated; 1: without a date. daysLeft runs to the
// date, daysAlone is what the neck needs alone. The figures are a judgement.
func Weight(dated bool, daysLeft, daysAlone float64) int {
	switch {
	case !dated:
		return 1
	case daysLeft < daysAlone:
		return 4
	case daysLeft < 2*daysAlone:
		return 3
	}
	return 2
}
