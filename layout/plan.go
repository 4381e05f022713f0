package layout

// Plan is a solved headstock. Neck and Version are the caller's; everything
// else follows from Spec and Mode, and Code is a short name for both together.
type Plan struct {
	Neck     string    `json:"neck"`
	Version  int       `json:"version"`
	Code     string    `json:"code"`
	Mode     string    `json:"mode"`
	ByHand   []Move    `json:"by_hand,omitempty"` // posts that were pushed along their strings
	Posts    []Post    `json:"posts"`             // row by row, from the fretboard end outward
	Rows     []RowSum  `json:"rows"`
	Findings []Finding `json:"findings"`
	Holes    []Hole    `json:"holes"`
	// Unchecked is what the spec does not say enough for.
	Unchecked []Unchecked `json:"unchecked"`
	Notes     []string    `json:"notes"` // what gave way, what was assumed
	Inches    Inches      `json:"-"`     // its texts in inches
	Spec      Spec        `json:"spec"`
}

// Post is one tuner post. Pointers are nil where there is nothing to tell: the
// pitch of a row's first post, edge distances without an outline.
type Post struct {
	String      int      `json:"string"`
	Side        string   `json:"side"`
	Place       int      `json:"place"` // in its row, 1 next to the fretboard end
	XMM         float64  `json:"x_mm"`
	YMM         float64  `json:"y_mm"`
	PitchMM     *float64 `json:"pitch_mm"`      // to the post before
	EdgeMM      *float64 `json:"edge_mm"`       // shortest distance to the outline
	EdgePart    string   `json:"edge_part"`     // measured to which part
	OffStringMM float64  `json:"off_string_mm"` // next to its place on the string, positive to the treble side
}

// RowSum is what one row comes to.
type RowSum struct {
	Side       string   `json:"side"`
	Posts      int      `json:"posts"`
	EndToEndMM float64  `json:"end_to_end_mm"`
	PitchMinMM *float64 `json:"pitch_min_mm"`
	PitchMaxMM *float64 `json:"pitch_max_mm"`
	EdgeMinMM  *float64 `json:"edge_min_mm"`
	EdgeMaxMM  *float64 `json:"edge_max_mm"`
	OffMaxMM   float64  `json:"off_string_max_mm"`
	Cost       *float64 `json:"cost"` // the balanced measure, where a target is known
}

// Results of a check.
const (
	Pass  = "pass"
	Tight = "tight"
	Fail  = "fail"
)

// Finding is the answer of one check at one place. The clearance is what is
// left before the limit, negative beyond it.
type Finding struct {
	Check       string  `json:"check"`
	Result      string  `json:"result"`
	Where       string  `json:"where"`
	ClearanceMM float64 `json:"clearance_mm"`
	Text        string  `json:"text"`
}

// Unchecked is a check that was not made, and the keys of the spec that it needs.
type Unchecked struct {
	Check string `json:"check"`
	Needs string `json:"needs"`
}

// ModeText is the mode in words, and whether a hand went over it.
func (p Plan) ModeText() string {
	if len(p.ByHand) > 0 {
		return p.Mode + ", moved by hand"
	}
	return p.Mode
}

// Worst is the worst result of the plan's findings.
func (p Plan) Worst() string {
	worst := Pass
	for _, f := range p.Findings {
		if f.Result == Fail {
			return Fail
		}
		if f.Result == Tight {
			worst = Tight
		}
	}
	return worst
}

// PostOf finds the post of a string; ok is false when there is none.
func (p Plan) PostOf(str int) (Post, bool) {
	for _, post := range p.Posts {
		if post.String == str {
			return post, true
		}
	}
	return Post{}, false
}
