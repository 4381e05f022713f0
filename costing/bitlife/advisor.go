package bitlife

import (
	"errors"
	"fmt"
	"math"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// Verdict is the answer to "will this bit do the next holes on this face,
// and when is a fresh edge the cheaper choice?". Lengths are cut metres; nil
// means that there is no such figure.
type Verdict struct {
	Bit       string  `json:"bit"`
	Keep      string  `json:"kept_for"`
	Edge      int     `json:"life"` // counts from 1, one for each sharpening
	AgeM      float64 `json:"age_m"`
	PossibleM float64 `json:"possible_m,omitempty"`
	Verdict   string  `json:"verdict"`
	// VerdictText is the verdict in capitals, Headline what to do in a sentence.
	VerdictText string   `json:"verdict_text"`
	Headline    string   `json:"headline"`
	RetireAtM   *float64 `json:"retire_at_m"`
	// TestUntilM is how far a test hole before every job still beats a fresh edge.
	TestUntilM     *float64     `json:"test_until_m,omitempty"`
	HolesLeft      *int         `json:"holes_left"`
	HeadstocksLeft *int         `json:"headstocks_left,omitempty"`
	Next           NextCut      `json:"next"`
	Life           LifeBasis    `json:"model"`
	TornHoleCost   money.Amount `json:"torn_hole_cost"`
	TornHoleBasis  string       `json:"torn_hole_basis"`
	Change         money.Amount `json:"new_edge_cost"`
	ChangeFrom     string       `json:"new_edge_from"` // own, class or unknown
	// TestCost is the price of a test hole, TestSaves what one saves on average
	// before this job.
	TestCost  money.Amount `json:"test_hole_cost"`
	TestSaves money.Amount `json:"test_hole_saves"`
	Hidden    bool         `json:"hidden,omitempty"`
	// Tested says that the last thing done with the bit is a clean test hole.
	Tested   bool     `json:"tested,omitempty"`
	Neck     string   `json:"neck,omitempty"`
	Away     string   `json:"away,omitempty"` // lost or broken: there is nothing to judge
	Reasons  []string `json:"reasons"`
	Warnings []string `json:"warnings,omitempty"`
}

// NextCut is the job at hand: its wear and the chance that it dulls the edge,
// with the 10 % to 90 % band.
type NextCut struct {
	Holes      int      `json:"holes"`
	CutM       float64  `json:"cut_m"`
	ChanceDull *float64 `json:"chance_dull"`
	Low        *float64 `json:"low"`
	High       *float64 `json:"high"`
}

// LifeBasis is what the life was learned from. Borrowed edges are counted apart.
type LifeBasis struct {
	Events           int      `json:"events"`
	Censored         int      `json:"censored"`
	BorrowedEvents   int      `json:"borrowed_events,omitempty"`
	BorrowedCensored int      `json:"borrowed_censored,omitempty"`
	Shape            float64  `json:"shape"`
	ScaleM           *float64 `json:"scale_m"`
	// Guessed says that no expected life was given: that of the class is taken.
	Guessed bool `json:"guessed,omitempty"`
	// Found is the share of failing bits that a test hole finds, from TestsFound
	// that found one and TestsMissed that were clean right before a rim tore.
	TestsFound  int      `json:"tests_found"`
	TestsMissed int      `json:"tests_missed"`
	Found       float64  `json:"found"`
	ExpectedM   float64  `json:"expected_m,omitempty"`
	Basis       string   `json:"basis"`
	MLE         *EdgeMLE `json:"mle"`
}

// EdgeMLE is the maximum-likelihood fit that is shown from MinFitEvents
// events on, or on request. Intervals are 95 % profile likelihood; edges in use
// count as censored at their age.
type EdgeMLE struct {
	Shape         float64  `json:"shape"`
	ScaleM        float64  `json:"scale_m"`
	ShapeInterval Interval `json:"shape_interval"`
	ScaleInterval Interval `json:"scale_interval_m"`
	Interval      string   `json:"interval"`
	Events        int      `json:"events"`
	Censored      int      `json:"censored"`
	Warning       string   `json:"warning,omitempty"`
}

// FaceJob is a drilling job for a bit: how many holes, their wear together,
// and what a torn hole would cost on this face.
type FaceJob struct {
	Neck          string
	Holes         int
	CutM          float64
	Hidden        bool
	SizeMM        float64      // of its holes
	Planned       bool         // a plan says the size: a bit must fit it
	TornHoleCost  money.Amount // repair or loss, without the fresh bit
	TornHoleBasis string
}

// Advisor answers questions about the bits of one book.
type Advisor struct {
	Book  jobs.BitBook
	Lives []jobs.EdgeLife
	Shape float64
	Test  money.Amount // cost of one test hole
	FitMM float64      // by how much a bit may differ from a planned hole
	Fit   bool         // the fit is shown whatever the number of events

	ages    []jobs.EdgeAge            // of all edges, in order of code and edge
	present map[string]int            // index of the present life of each bit
	fits    map[jobs.BitClass]EdgeMLE // made so far: a plan of an evening asks for the same few often
}

// NewAdvisor derives the lives of all edges once.
func NewAdvisor(book jobs.BitBook, shape float64, testHole money.Amount) Advisor {
	a := Advisor{Book: book, Lives: book.Lives(), Shape: shape, Test: testHole, present: map[string]int{}, fits: map[jobs.BitClass]EdgeMLE{}}
	a.ages = book.EdgeAges(a.Lives)
	for i, l := range a.Lives {
		a.present[l.Bit] = i // the last is the present one
	}
	return a
}

// Life gives the present edge of a bit.
func (a Advisor) Life(code string) (jobs.EdgeLife, bool) {
	if i, ok := a.present[code]; ok {
		return a.Lives[i], true
	}
	return jobs.EdgeLife{}, false
}

// Knows says whether the advisor has a bit and what speaks for it.
func (a Advisor) Knows(code string) bool { _, ok := a.present[code]; return ok }

// Verdict judges the present edge of a bit for a job. Holes of an unknown bit
// that may have been this one count in full: the verdict is on the safe side of
// what nobody remembers. Errors: an unknown bit (*jobs.NotFoundError), settings
// that cannot be used.
func (a Advisor) Verdict(code string, job FaceJob) (Verdict, error) {
	bit, err := a.Book.Bit(code)
	if err != nil {
		return Verdict{}, err
	}
	life, _ := a.Life(code)
	// The best age comes from closed edges, this one among them once it is closed;
	// the chance leaves it out, since its own survival comes in by its age.
	others := PoolFor(bit, life.Edge, a.ages)
	expected, guess := a.expected(bit, life, others)
	now, err := NewEdgeModel(a.Shape, expected, others.Lives())
	if err != nil {
		return Verdict{}, err
	}
	pool, m := others, now
	if life.Closed {
		pool = PoolFor(bit, 0, a.ages)
		if m, err = NewEdgeModel(a.Shape, expected, pool.Lives()); err != nil {
			return Verdict{}, err
		}
	}
	change, from := a.changeCost(bit)
	tornHole, basis := job.TornHoleCost, job.TornHoleBasis
	if !job.Hidden && change.Sign() > 0 {
		tornHole, basis = tornHole.Add(change), basis+", and a fresh bit"
	}
	found := a.found(bit.Class())
	v := Verdict{Bit: code, Keep: life.Keep, Edge: life.Edge, AgeM: life.WearM, PossibleM: life.PossibleM, Neck: job.Neck, TornHoleCost: tornHole,
		TornHoleBasis: basis, Change: change, ChangeFrom: from, TestCost: a.Test, Hidden: job.Hidden, Tested: life.Tested, Next: NextCut{Holes: job.Holes, CutM: job.CutM}}
	costs := FaceCosts{change.Float(), tornHole.Float(), a.Test.Float(), found.Share()}
	state := EdgeState{Keep: life.Keep, Gone: gone(life), Tested: life.Tested, Hidden: job.Hidden, AgeM: life.WearM + life.PossibleM, CutM: job.CutM,
		Known: m.Known(), Chance: now.ChanceDull(life.WearM+life.PossibleM, job.CutM), Costs: costs}
	if life.Event || life.Cause == "struck" {
		state.Dull = life.End
	}
	if m.Known() {
		state.Retire = RetireAge(m.Shape, m.ScaleM(), costs.Change, costs.TornHoleCost)
		if change.Sign() == 0 && !job.Hidden {
			state.Retire = capAt(m)
		}
	}
	if now.Known() && !life.Event {
		low, high := now.ChanceBand(state.AgeM, job.CutM)
		v.Next.ChanceDull, v.Next.Low, v.Next.High = &state.Chance, &low, &high
	}
	if state.Retire.Finite {
		perHole := job.CutM / float64(max(job.Holes, 1))
		state.UntilM = TestUntil(m.Shape, m.ScaleM(), job.CutM, perHole, costs, state.Retire)
		v.RetireAtM, v.TestUntilM = &state.Retire.AgeM, &state.UntilM
		left := state.Retire.AgeM - state.AgeM
		if state.Dull != "" {
			left = 0 // whatever the model had hoped for
		}
		v.left(left, perHole, job.Holes)
	}
	switch {
	case life.Missing:
		v.Away = "lost"
	case life.Cause == jobs.CauseBroken:
		v.Away = "broken"
	}
	v.Verdict, v.Reasons = Decide(state)
	v.Reasons = append(v.Reasons, a.context(m, pool, life)...)
	v.Reasons = append(v.Reasons, guess...)
	switch {
	case change.Sign() == 0:
		v.Reasons = append(v.Reasons, "No price is known of it or of its class. Its expected life is the limit.")
	case from == FromClass:
		v.Reasons = append(v.Reasons, "No price is known of it. The price of its class is taken.")
	}
	v.Warnings = warnings(life)
	v.Life = a.basis(m, pool, bit)
	v.Life.Found, v.Life.TestsFound, v.Life.TestsMissed, v.Life.Guessed = found.Share(), found.Found, found.Missed, len(guess) > 0
	if v.Next.ChanceDull != nil {
		v.TestSaves = money.FromDecimal(decimal.NewFromFloat(*v.Next.ChanceDull * costs.Found * costs.TornHoleCost).Round(2))
	}
	v.VerdictText, v.Headline = v.headWord(), v.headline()
	return v, nil
}

// left fills in what the edge still has to the best age: whole holes and whole
// headstocks, rounded down.
func (v *Verdict) left(m, perHole float64, holes int) {
	if !(perHole > 0) {
		return
	}
	n := int(math.Floor(max(m, 0)/perHole + 1e-9))
	heads := n / max(holes, 1)
	v.HolesLeft, v.HeadstocksLeft = &n, &heads
}

func gone(l jobs.EdgeLife) string {
	switch {
	case l.Missing && l.Event:
		return "It is lost, and was dull before."
	case l.Missing || l.Cause == jobs.CauseBroken:
		return sentence(l.End)
	case l.Keep == jobs.KeepScrap:
		return "It is scrap."
	}
	return ""
}

// context gives the reasons that say how much is known.
func (a Advisor) context(m EdgeModel, pool EdgePool, life jobs.EdgeLife) []string {
	out := []string{"Learned from " + pool.Basis(m) + "."}
	if events, censored := counts(pool.Lives()); events == 0 && censored > 0 {
		out = append(out, fmt.Sprintf("You have never worn one out. From that alone a life is at least %s (90 %% sure), or %s (63 %% sure).",
			HolesText(m.AtLeastM(0.9)), HolesText(m.AtLeastM(1-1/math.E))))
	}
	if life.PossibleM > 0 {
		out = append(out, fmt.Sprintf("Up to %s of an unknown bit of this size may be on it. They count in full.", HolesText(life.PossibleM)))
	}
	if life.EstimatedM > 0 {
		out = append(out, guessedText(life.EstimatedM))
	}
	return out
}

func warnings(l jobs.EdgeLife) []string {
	var out []string
	for _, w := range l.UnknownWoods {
		out = append(out, fmt.Sprintf("There is no wood %q. Its wear counts as hard maple.", w))
	}
	return out
}

func (a Advisor) basis(m EdgeModel, pool EdgePool, bit jobs.Bit) LifeBasis {
	b := LifeBasis{Shape: m.Shape, ExpectedM: m.ExpectedM, Basis: pool.Basis(m)}
	b.Events, b.Censored = counts(pool.Own)
	b.BorrowedEvents, b.BorrowedCensored = counts(pool.Borrowed)
	if s := m.ScaleM(); s > 0 {
		b.ScaleM = &s
	}
	if b.Events >= MinFitEvents || a.Fit {
		b.MLE = a.FitClass(bit.Class())
	}
	return b
}

// FitClass fits all lives of a class by maximum likelihood: closed edges, and
// those in the show set as censored at their age. Where there is no fit the
// warning says why and the figures are zero.
func (a Advisor) FitClass(class jobs.BitClass) *EdgeMLE {
	fit, known := a.fits[class]
	if !known {
		fit = *a.fitClass(class)
		a.fits[class] = fit
	}
	return &fit
}

func (a Advisor) fitClass(class jobs.BitClass) *EdgeMLE {
	var lives []LifeDatum
	for _, l := range a.ages {
		if l.Class == class && l.LifeM > 0 {
			lives = append(lives, LifeDatum{T: l.LifeM, Event: l.Event})
		}
	}
	out := &EdgeMLE{Interval: "95 % profile likelihood"}
	out.Events, out.Censored = counts(lives)
	if len(lives) < 2 {
		out.Warning = fmt.Sprintf("%d life on record. A fit needs two at least.", len(lives))
		return out
	}
	fit, err := FitWeibull(lives)
	if err != nil {
		out.Warning = sentence(err.Error())
		if errors.Is(err, ErrNoMaximum) {
			out.Warning = sentence("no fit: " + err.Error())
		}
		return out
	}
	out.Shape, out.ScaleM, out.ShapeInterval, out.ScaleInterval = fit.Shape, fit.ScaleM, fit.ShapeProfile, fit.ScaleProfile
	if out.Events < MinFitEvents {
		out.Warning = fmt.Sprintf("Only %d worn out. Below %d the fitted shape is nearly free and biased high. The verdict does not use it.", out.Events, MinFitEvents)
	}
	if low := fit.ShapeProfile.Low; low == nil || *low <= 1 {
		if out.Warning != "" {
			out.Warning += " "
		}
		out.Warning += "The shape may be 1 or less: these lives alone do not show wear."
	}
	return out
}

// guessedText says how much of an edge's wear was guessed.
func guessedText(m float64) string {
	if n := math.Round(m / jobs.RefHoleM); n <= 1 {
		return sentence(HolesText(m) + " of its wear is guessed")
	}
	return sentence(HolesText(m) + " of its wear are guessed")
}
