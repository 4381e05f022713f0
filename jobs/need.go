package jobs

import (
	"fmt"
	"strconv"
	"strings"
)

// Degree is how far an earlier step must be before a later one may begin.
type Degree string

// The degrees. Without one a need asks for cured when the earlier step has a
// cure, else for done.
const (
	DegreeDone    Degree = "done"    // worked, even if still in clamps
	DegreeHandled Degree = "handled" // clamps off, may be moved
	DegreeCured   Degree = "cured"   // may be sanded, drilled, loaded
)

// maxNeedHours is the longest own wait of a need: a year.
const maxNeedHours = 24 * 365

// Need is one earlier step that a step waits for.
type Need struct {
	Step   string
	Degree Degree
	Hours  float64 // own wait after its end; 0 goes by the degree
}

// ParseNeed reads a need as it is typed: inlay-rout, glue-back:cured or
// finish-coat:168h. It gives a *FieldError.
func ParseNeed(text string) (Need, error) {
	const want = "a step with done, handled, cured or hours, such as glue-back:cured or finish-coat:168h"
	name, degree, has := strings.Cut(strings.TrimSpace(text), ":")
	n := Need{Step: name}
	plain, copy, repeated := strings.Cut(name, "#") // finish-coat#2 is the second copy
	if _, err := strconv.Atoi(copy); repeated && err != nil {
		return Need{}, &FieldError{"need", text, want}
	}
	if err := ValidName("step", plain); err != nil {
		return Need{}, err
	}
	switch d := Degree(degree); {
	case !has:
	case d == DegreeDone || d == DegreeHandled || d == DegreeCured:
		n.Degree = d
	default:
		h, err := strconv.ParseFloat(strings.TrimSuffix(degree, "h"), 64)
		if err != nil || !strings.HasSuffix(degree, "h") || !(h > 0 && h <= maxNeedHours) {
			return Need{}, &FieldError{"need", text, want}
		}
		n.Hours = h
	}
	return n, nil
}

// String writes a need as ParseNeed reads it.
func (n Need) String() string {
	switch {
	case n.Hours > 0:
		return n.Step + ":" + strconv.FormatFloat(n.Hours, 'f', -1, 64) + "h"
	case n.Degree != "":
		return n.Step + ":" + string(n.Degree)
	}
	return n.Step
}

// MarshalText writes a need as text.
func (n Need) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads a need from text.
func (n *Need) UnmarshalText(text []byte) error {
	read, err := ParseNeed(string(text))
	if err != nil {
		return err
	}
	*n = read
	return nil
}

// Wait gives the minutes between the end of the earlier step and the later
// one, from the cure of the earlier step.
func (n Need) Wait(handledMin, curedMin float64) float64 {
	switch {
	case n.Hours > 0:
		return n.Hours * 60
	case n.Degree == DegreeDone:
		return 0
	case n.Degree == DegreeHandled:
		return handledMin
	}
	return max(handledMin, curedMin)
}

// Place is where a step is worked. What its cure blocks follows from it.
type Place string

// The places.
const (
	PlaceOff   Place = "off"   // off the neck: a loose piece, paper, the telephone
	PlaceLight Place = "light" // light work on the neck
	PlaceForce Place = "force" // work that shakes or loads the neck
)

// ParsePlace reads a place. It gives a *FieldError.
func ParsePlace(text string) (Place, error) {
	switch p := Place(text); p {
	case PlaceOff, PlaceLight, PlaceForce:
		return p, nil
	}
	return "", &FieldError{"place", text, "off, light or force"}
}

// Marks are the properties of an operation that a plan heeds.
type Marks struct {
	Noisy, Dusty, Machine bool
	NoStop                bool
	Resumable             bool
	PauseHours            float64 // longest pause of a resumable step, 0 for any
	Wet                   bool    // leaves a wet film
	StillAir, Daylight    bool
	Temperature           bool // the cold factor stretches its cure
	Errand                bool // an errand or a decision
	Parts, Plan, Gate     bool // needs the bought parts, a frozen plan, another record
	Clamps                int  // clamp sets held until handled
}

// letters gives the letters of the short form, in the order they are printed.
// A film also wants still air.
func (m *Marks) letters() []struct {
	letter byte
	on     *bool
} {
	return []struct {
		letter byte
		on     *bool
	}{{'N', &m.Noisy}, {'D', &m.Dusty}, {'M', &m.Machine}, {'1', &m.NoStop}, {'R', &m.Resumable}, {'F', &m.Wet}, {'A', &m.StillAir}, {'Z', &m.Errand}, {'S', &m.Daylight}, {'T', &m.Temperature}, {'H', &m.Parts}, {'P', &m.Plan}, {'G', &m.Gate}}
}

// ParseMarks reads the short form: "N D M", "1 K2 T". Blanks do not matter. It
// gives a *FieldError.
func ParseMarks(text string) (Marks, error) {
	var m Marks
	word := strings.ReplaceAll(text, " ", "")
	for i := 0; i < len(word); i++ {
		if word[i] == 'K' && i+1 < len(word) && word[i+1] >= '1' && word[i+1] <= '9' {
			m.Clamps = int(word[i+1] - '0')
			i++
			continue
		}
		known := false
		for _, l := range m.letters() {
			if l.letter == word[i] {
				*l.on, known = true, true
			}
		}
		if !known {
			return Marks{}, &FieldError{"marks", text, "letters of N D M 1 R F A Z S T H P G, and K with a number of clamp sets"}
		}
	}
	if m.NoStop && m.Resumable {
		return Marks{}, &FieldError{"marks", text, "1 (no stop) or R (may be left midway), not both"}
	}
	m.StillAir = m.StillAir || m.Wet
	return m, nil
}

// String writes the short form.
func (m Marks) String() string {
	var out []string
	for _, l := range m.letters() {
		if *l.on && !(l.letter == 'A' && m.Wet) {
			out = append(out, string(l.letter))
		}
		if l.letter == 'R' && m.Clamps > 0 {
			out = append(out, fmt.Sprintf("K%d", m.Clamps))
		}
	}
	return strings.Join(out, " ")
}
