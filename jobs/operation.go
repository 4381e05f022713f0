package jobs

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	"bookmatch/costing/money"
)

// PerUnits are the units that an operation's run time can grow with. A neck carries
// one quantity for each that its route needs.
var PerUnits = []Per{
	{"neck", "neck", "once a neck"},
	{"choice", "choice", "decisions to make"},
	{"holes", "hole", "tuner post holes"},
	{"pilots", "pilot", "small holes for screws or pins"},
	{"inlay", "inlay", "inlays"},
	{"cm2", "cm2", "area of face"},
	{"edge_cm", "cm", "length of edge"},
	{"frets", "fret", "frets"},
	{"coats", "coat", "coats of finish"},
	{"pages", "page", "pages of template"},
	{"scarf", "joint", "scarf joints"},
	{"ears", "ear", "ears glued to the head"},
	{"binding", "side", "bound sides of the fretboard"},
	{"markers", "marker", "position markers"},
	{"edge_dots", "dot", "side dots"},
}

// Per is what a run time grows with: the word typed, the unit printed.
type Per struct{ Name, Unit, Help string }

// PerNamed finds a unit by name or unit.
func PerNamed(name string) (Per, bool) {
	for _, d := range PerUnits {
		if d.Name == name || d.Unit == name {
			return d, true
		}
	}
	return Per{}, false
}

// RecipeLine is what one operation uses of a supply: PerUnit of the supply's
// unit for each unit, and Waste once per mix.
type RecipeLine struct {
	Supply  string    `json:"supply"`
	PerUnit money.Qty `json:"per_unit"`
	Waste   money.Qty `json:"waste"`
}

// What an operation drills.
const (
	DrillsPosts  = "posts"  // the show holes of the plan
	DrillsHidden = "hidden" // holes nobody sees
)

// Operation is an operation. It is kept in the file: seeded with defaults,
// changed with `operation set`, added to with `operation add`.
type Operation struct {
	Name     string   `json:"name"`
	Title    string   `json:"title"`
	Aliases  []string `json:"aliases,omitempty"`
	SetupMin float64  `json:"setup_min"` // once a session
	RunMin   float64  `json:"run_min"`   // per unit
	Per      string   `json:"per"`
	Own      bool     `json:"own,omitempty"` // the builder wrote the standard: it weighs more than a factory guess
	// From restarts learning: passes that ended before it stay visible but no
	// longer count.
	From *time.Time `json:"from,omitempty"`
	// UnclampMin and CureMin are unattended minutes after `done`: when clamps may
	// come off, and when the next step may begin.
	UnclampMin float64 `json:"unclamp_min,omitempty"`
	CureMin    float64 `json:"cure_min,omitempty"`
	Clamps     int     `json:"clamps,omitempty"`   // sets of clamps held until UnclampMin
	Noise      bool    `json:"noise,omitempty"`    // stops at the quiet hours
	Dust       bool    `json:"dust,omitempty"`     // never next to an open finish or glue film
	NoStop     bool    `json:"no_stop,omitempty"`  // cannot stop midway
	Decide     bool    `json:"decide,omitempty"`   // thinking, may be done off the bench
	Repair     bool    `json:"repair,omitempty"`   // puts right what was done, on a finished neck too: always rework
	Drills     string  `json:"drills,omitempty"`   // DrillsPosts, DrillsHidden or nothing
	PlanNeed   bool    `json:"plan,omitempty"`     // works from the layout plan
	Hardware   bool    `json:"hardware,omitempty"` // needs the bought-in parts on the bench
	Wet        bool    `json:"wet,omitempty"`      // leaves an open film that dust would spoil
	Group      string  `json:"group,omitempty"`    // a heading, without a rule of its own
	Place      Place   `json:"place,omitempty"`    // empty: as its other marks say, see At
	Machine    bool    `json:"machine,omitempty"`  // ends by the tired hour
	Resumable  bool    `json:"resumable,omitempty"`
	PauseH     float64 `json:"pause_h,omitempty"` // longest pause of a resumable step, 0 for any
	StillAir   bool    `json:"still_air,omitempty"`
	Daylight   bool    `json:"daylight,omitempty"`
	Cold       bool    `json:"cold,omitempty"` // a cold shop stretches its cure
	HardMin    float64 `json:"hard_min,omitempty"`
	// BenchWaitMin is a wait at the bench. It is part of the step, once a session.
	BenchWaitMin float64 `json:"bench_wait_min,omitempty"`
	Gates        []Gate  `json:"gates,omitempty"` // besides those of the marks
	// Chances that a pass has to be repeated or ends the neck: judgement until
	// the log says better.
	ReworkChance float64       `json:"rework_chance,omitempty"`
	ScrapChance  float64       `json:"scrap_chance,omitempty"`
	Labour       *money.Amount `json:"labour_per_h,omitempty"` // own rate; nil takes the shop's
	Recipe       []RecipeLine  `json:"recipe,omitempty"`
	Cautions     []string      `json:"cautions,omitempty"` // shown once an evening, see CautionTexts
	Uses         []string      `json:"uses,omitempty"`     // supplies without an amount
	Source       string        `json:"source,omitempty"`
	// An operation that got another name keeps its record, so that what was logged under
	// the old name is as it was: Became is the new name, Renamed when. The new
	// operation lists the names it had in Was.
	Became  string     `json:"became,omitempty"`
	Renamed *time.Time `json:"renamed,omitempty"`
	Was     []string   `json:"was,omitempty"`
}

// PresentName gives the name that an operation has now: that of an old record leads
// to the one it became.
func PresentName(name string, operations map[string]Operation) string {
	for range len(operations) {
		k, ok := operations[name]
		if !ok || k.Became == "" {
			break
		}
		name = k.Became
	}
	return name
}

// ValidName says whether s can name an operation, a wood, a route or a supply: lower
// case words joined by hyphens.
func ValidName(field, s string) error {
	good := len(s) <= 40
	for _, word := range strings.Split(s, "-") {
		good = good && word != ""
		for _, r := range word {
			good = good && (unicode.IsLower(r) || r >= '0' && r <= '9')
		}
	}
	if !good {
		return &FieldError{field, s, "lower case words joined by hyphens, such as glue-face"}
	}
	return nil
}

// Validate says what is wrong with an operation, if anything.
func (k Operation) Validate() error {
	if err := ValidName("operation", k.Name); err != nil {
		return err
	}
	if _, ok := PerNamed(k.Per); !ok {
		return &FieldError{"per", k.Per, "one of " + perList()}
	}
	for name, v := range map[string]float64{"setup": k.SetupMin, "run": k.RunMin, "cure": k.CureMin, "unclamp": k.UnclampMin} {
		if math.IsNaN(v) || v < 0 || v > 100000 {
			return &FieldError{name, fmt.Sprint(v), "minutes from 0 to 100000"}
		}
	}
	if k.SetupMin+k.RunMin <= 0 {
		return &FieldError{"run", "0", "a setup or a run above zero"}
	}
	for name, v := range map[string]float64{"rework chance": k.ReworkChance, "scrap chance": k.ScrapChance} {
		if !(v >= 0 && v < 1) {
			return &FieldError{name, fmt.Sprint(v), "a fraction from 0 to 1"}
		}
	}
	return nil
}

func perList() string {
	s := ""
	for i, d := range PerUnits {
		if i > 0 {
			s += ", "
		}
		s += d.Name
	}
	return s
}

// StandardMin is the standard's time e(q) = setup + wait at the bench + run x q
// in minutes.
func (k Operation) StandardMin(q float64) float64 { return k.SetupMin + k.BenchWaitMin + k.RunMin*q }

// Unit is the word for one unit of the quantity.
func (k Operation) Unit() string { d, _ := PerNamed(k.Per); return d.Unit }

// Cure gives how long clamps stay and how long the next step waits after a
// pass done at a temperature (nil: not measured), and whether cold stretched
// them. Minutes come from the operation; a product's label goes before them.
func (k Operation) Cure(shop Shop, tempC *float64) (unclamp, full time.Duration, cold bool) {
	f := 1.0
	if k.Cold && tempC != nil && *tempC < shop.ColdBelowC {
		f, cold = shop.ColdFactor, true
	}
	minutes := func(m float64) time.Duration {
		return time.Duration(m * f * float64(time.Minute)).Truncate(time.Second)
	}
	return minutes(k.UnclampMin), minutes(math.Max(k.CureMin, k.UnclampMin)), cold && k.CureMin > 0
}

// At gives where the operation is worked. One without a place is worked off the
// neck when it is a decision, with force when it is noisy, else lightly.
func (k Operation) At() Place {
	switch {
	case k.Place != "":
		return k.Place
	case k.Decide:
		return PlaceOff
	case k.Noise || k.Machine:
		return PlaceForce
	}
	return PlaceLight
}

// Graph gives the operation as a step of a graph needs it.
func (k Operation) Graph() GraphOperation {
	g := GraphOperation{Name: k.Name, Title: k.Title, Group: k.Group, Per: k.Per, SetupMin: k.SetupMin, RunMin: k.RunMin, BenchWaitMin: k.BenchWaitMin,
		HandledH: k.UnclampMin / 60, CuredH: max(k.CureMin, k.UnclampMin) / 60, HardH: k.HardMin / 60, Place: k.At(), Gates: k.Gates,
		Marks: Marks{Noisy: k.Noise, Dusty: k.Dust, Machine: k.Machine, NoStop: k.NoStop, Resumable: k.Resumable, PauseHours: k.PauseH, Wet: k.Wet, StillAir: k.StillAir || k.Wet, Daylight: k.Daylight,
			Temperature: k.Cold, Errand: k.Decide, Parts: k.Hardware, Plan: k.PlanNeed, Gate: len(k.Gates) > 0, Clamps: k.Clamps}}
	g.Uses = append(g.Uses, k.Uses...)
	for _, l := range k.Recipe {
		g.Uses = append(g.Uses, l.Supply)
	}
	g.Cautions = k.Cautions
	return g
}

// Marks names the properties of an operation, as their flags are called.
func (k Operation) Marks() []string {
	out := []string{}
	for _, m := range []struct {
		name string
		has  bool
	}{{"place " + string(k.At()), true}, {"noise", k.Noise}, {"dusty", k.Dust}, {"machine", k.Machine}, {"resumable", k.Resumable}, {"no-stop", k.NoStop}, {"decide", k.Decide}, {"repair", k.Repair}, {"wet", k.Wet}, {"still-air", k.StillAir}, {"daylight", k.Daylight}, {"cold", k.Cold}, {"plan", k.PlanNeed}, {"hardware", k.Hardware}, {"drills " + k.Drills, k.Drills != ""}} {
		if m.has {
			out = append(out, m.name)
		}
	}
	return out
}
