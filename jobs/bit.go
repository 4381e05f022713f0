package jobs

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/money"
)

// Sets where a bit lives.
const (
	KeepShow    = "show"    // for holes whose rim must not tear
	KeepGeneral = "general" // for everything else
	KeepScrap   = "scrap"   // out of use, lost or broken
)

// BitSets lists the sets.
func BitKeeps() []string { return []string{KeepShow, KeepGeneral, KeepScrap} }

// KeepText says what a bit is kept for: "show holes".
func KeepText(keep string) string {
	switch keep {
	case KeepShow:
		return "show holes"
	case KeepGeneral:
		return "general use"
	}
	return keep
}

// BitPoints lists the points a bit may have.
func BitPoints() []string { return []string{"brad", "twist", "forstner", "countersink"} }

// RefHoleM is the wear of a reference hole: 15 mm through hard maple, in cut
// metres. People are shown wear in these.
const RefHoleM = 0.015

// Bit is one drill bit. Set is where it was put when it was added; moves change
// it from there (see Lives).
type Bit struct {
	Code         string  `json:"bit"`
	DiameterMM   float64 `json:"diameter_mm"`
	DiameterText string  `json:"diameter_text"` // as written: 10mm, 25/64in
	Point        string  `json:"point"`
	Material     string  `json:"material"`
	Keep         string  `json:"kept_for"`
	// Price of the bit new; NewEdgeCost of a fresh edge: a new bit, or having
	// this one sharpened. Zero means not known.
	Price       money.Amount `json:"price"`
	NewEdgeCost money.Amount `json:"new_edge_cost"`
	// ExpectedM is the life the builder or the maker believes in, in cut metres: the
	// prior of the estimate. 0 means not known.
	ExpectedM float64 `json:"expected_m,omitempty"`
	// MakersLabel is what the maker calls it. Bits of one label and diameter are
	// compared as one type.
	MakersLabel string `json:"label,omitempty"`
	// Supplier is where it is bought, DeliveryDays how long one takes to come.
	Supplier     string `json:"supplier,omitempty"`
	DeliveryDays int    `json:"delivery_days,omitempty"`
	// OnOrder is the bit of its class that was ordered in its place.
	OnOrder *OnOrder  `json:"on_order,omitempty"`
	Added   time.Time `json:"added"`
	Note    string    `json:"note,omitempty"`
}

// Where an edge comes from.
const (
	OriginNew       = "new"
	OriginSharpened = "sharpened"
)

// Edge is one cutting edge of a bit, from new or sharpened until dull; No
// counts from 1. DiameterMM is the measured size (a sharpened bit may cut
// smaller); ExpectedM overrides the bit's where it is above 0.
type Edge struct {
	Bit        string    `json:"bit"`
	No         int       `json:"edge"`
	Origin     string    `json:"origin"`
	Started    time.Time `json:"started"`
	DiameterMM float64   `json:"diameter_mm"`
	ExpectedM  float64   `json:"expected_m,omitempty"`
	Note       string    `json:"note,omitempty"`
}

// Causes of a move. They decide what the life counts as: dull is an
// event; suspected counts as one only once a test hole confirms it; the others
// end the life while the edge was good. found takes a lost back.
const (
	CauseDull      = "dull"
	CauseSuspected = "suspected"
	CauseLost      = "lost"
	CauseBroken    = "broken"
	CauseSwapped   = "swapped"
	CauseFound     = "found"
)

// MoveCauses lists the causes.
func MoveCauses() []string {
	return []string{CauseDull, CauseSuspected, CauseLost, CauseBroken, CauseSwapped, CauseFound}
}

// BitMove takes a bit to another set. IDs of moves and uses come from one
// sequence, so that (On, ID) orders them.
type BitMove struct {
	ID    uint64    `json:"id"`
	Bit   string    `json:"bit"`
	Edge  int       `json:"edge"`
	On    time.Time `json:"on"`
	To    string    `json:"to"`
	Cause string    `json:"cause"`
	Note  string    `json:"note,omitempty"`
}

// Validate reports what cannot be used.
func (m BitMove) Validate() error {
	if !slices.Contains(BitKeeps(), m.To) {
		return &FieldError{"to", m.To, strings.Join(BitKeeps(), ", ") + ", such as general"}
	}
	if !slices.Contains(MoveCauses(), m.Cause) {
		return &FieldError{"why", m.Cause, strings.Join(MoveCauses(), ", ") + ", such as dull"}
	}
	return nil
}

// ChangeCost is what a fresh bit costs: a sharpening as given, else the price. Zero
// means that neither is known.
func (b Bit) ChangeCost() money.Amount {
	if b.NewEdgeCost.Sign() > 0 {
		return b.NewEdgeCost
	}
	return b.Price
}

// Validate reports what cannot be used.
func (b Bit) Validate() error {
	if b.Code == "" || len(b.Code) > 24 || strings.ContainsAny(b.Code, " \t\n/\\,+") {
		return &FieldError{"bit", b.Code, "a code without spaces, such as S10-1"}
	}
	if !(b.DiameterMM >= MinDiameterMM && b.DiameterMM <= MaxDiameterMM) {
		return &FieldError{"diameter", trimFloat(b.DiameterMM), "a size from 0.3 to 120 mm"}
	}
	if !slices.Contains(BitPoints(), b.Point) {
		return &FieldError{"point", b.Point, strings.Join(BitPoints(), ", ") + ", such as brad"}
	}
	if !kebab(b.Material) {
		return &FieldError{"material", b.Material, "a word such as hss"}
	}
	if !slices.Contains(BitKeeps(), b.Keep) {
		return &FieldError{"keep", b.Keep, strings.Join(BitKeeps(), ", ") + ", such as show"}
	}
	if b.Price.Sign() < 0 || b.NewEdgeCost.Sign() < 0 {
		return &FieldError{"price", b.Price.String(), "an amount of zero or more"}
	}
	if !(b.ExpectedM >= 0 && b.ExpectedM <= 10000) {
		return &FieldError{"life", trimFloat(b.ExpectedM), "a life such as 2.25m"}
	}
	return wholeDays("delivery-days", b.DeliveryDays)
}

// diameterClasses by their lower bound in mm. Judgement: bits of one class share
// their steel, their speed and their load.
var diameterClasses = []struct {
	fromMM float64
	name   string
}{
	{20, "20 mm and up"},
	{14, "14 to 20 mm"},
	{11, "11 to 14 mm"},
	{9, "9 to 11 mm"},
	{7, "7 to 9 mm"},
	{4, "4 to 7 mm"},
}

// DiameterClass names the class whose lives are pooled: "9 to 11 mm".
func DiameterClass(mm float64) string {
	for _, c := range diameterClasses {
		if mm >= c.fromMM {
			return c.name
		}
	}
	return "under 4 mm"
}

// Fits says that a bit of sizeMM drills a hole of holeMM. Where a plan says the
// hole, it may differ by fitMM. Else the hole is a guess, and any bit of its class
// will do.
func Fits(sizeMM, holeMM, fitMM float64, planned bool) bool {
	if planned {
		return math.Abs(sizeMM-holeMM) <= fitMM+1e-9
	}
	return DiameterClass(sizeMM) == DiameterClass(holeMM)
}

// SizeText prints the size of a bit with one decimal at least: "9.0 mm".
func SizeText(mm float64) string {
	s := FormatMM(mm)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s + " mm"
}

// BitClass says which lives are pooled as alike: diameter class, material and
// point.
type BitClass struct{ Diameter, Material, Point string }

// UsualPostMM is the size of a post hole, and UsualPilotMM of a hidden one, where
// no plan says better (judgement).
const (
	UsualPostMM  = 10
	UsualPilotMM = 3
)

// Class gives the class of b.
func (b Bit) Class() BitClass { return BitClass{DiameterClass(b.DiameterMM), b.Material, b.Point} }

func (c BitClass) String() string {
	return fmt.Sprintf("%s, %s, %s point", c.Diameter, c.Material, c.Point)
}

// Label is the code with its size: "S10-1 (10mm brad)".
func (b Bit) Label() string { return fmt.Sprintf("%s (%s %s)", b.Code, b.DiameterText, b.Point) }
