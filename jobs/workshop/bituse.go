package workshop

import (
	"fmt"
	"strconv"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// BitUseAsk logs holes that were drilled without the clock.
type BitUseAsk struct {
	Asked
	Bit   string `json:"bit,omitempty" word:"[BIT]"`
	Holes *int   `json:"holes,omitempty" flag:"holes" arg:"N" help:"how many holes: N"`
	HoleAsk
	RimAsk
	Neck      string `json:"neck,omitempty" flag:"neck" arg:"NECK" help:"the NECK that was drilled"`
	Unknown   string `json:"unknown,omitempty" flag:"unknown" arg:"SIZE" help:"no bit, but the SIZE of a forgotten one"`
	Hidden    bool   `json:"hidden,omitempty" flag:"hidden" help:"hardware covers these holes"`
	Estimated bool   `json:"estimated,omitempty" flag:"estimated" help:"guessed afterwards"`
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitTestAsk logs test holes in an offcut.
type BitTestAsk struct {
	Asked
	Bit   string `json:"bit" word:"BIT"`
	Holes *int   `json:"holes,omitempty" flag:"holes" arg:"N" help:"how many test holes; one if left out"`
	HoleAsk
	RimAsk
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitUseResult is what logged holes came to.
type BitUseResult struct {
	Meta
	Use      jobs.BitUse `json:"use"`
	CutM     float64     `json:"cut_m"`
	CutHoles float64     `json:"cut_holes"` // of wear
	// Says is what the rims say of the bit: clean, dull, struck, or not seen. Why
	// says by what.
	Says   string  `json:"says"`
	Why    string  `json:"why,omitempty" own:"words"`
	Life   LifeRow `json:"life"`
	Before float64 `json:"age_before_m"`
}

// BitDropAsk removes holes that were logged.
type BitDropAsk struct {
	Asked
	Use string `json:"use" word:"N"`
}

// BitDropResult is the use that was removed.
type BitDropResult struct {
	Meta
	Use  jobs.BitUse `json:"dropped"`
	Life LifeRow     `json:"life"`
}

// BitUse and BitTest log holes, BitDrop removes them.
var (
	BitUse  = Define("bit use", "NOT LOGGED", Writes, (*Book).bitUse)
	BitTest = Define("bit test", "NOT LOGGED", Writes, (*Book).bitTest)
	BitDrop = Define("bit drop", "NOT CHANGED", Writes, (*Book).bitDrop)
)

func (b *Book) bitUse(ask *BitUseAsk, res *BitUseResult) error {
	if (ask.Bit == "") != (ask.Unknown != "") {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "name a bit, or the size of an unknown one", Type: []string{"bit use S10-1 --holes 6", "bit use --unknown 10 --holes 6"}}
	}
	if ask.Holes == nil {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "--holes is needed", Type: []string{fmt.Sprintf("bit use %s --holes 6", ask.Bit)}}
	}
	u := jobs.BitUse{Holes: *ask.Holes, Face: jobs.FaceShow, Note: ask.Note, Estimated: ask.Estimated}
	if ask.Hidden {
		u.Face = jobs.FaceHidden
	}
	if ask.Bit != "" {
		bit, err := b.FindBit(ask.Bit)
		if err != nil {
			return err
		}
		u.Bit = bit.Code
	} else {
		var err error
		if u.UnknownMM, _, err = jobs.ParseDiameter(ask.Unknown); err != nil {
			return err
		}
	}
	var neck *jobs.Neck
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return err
		}
		neck, u.Neck = &n, n.Code
	}
	return b.logHoles(u, ask.HoleAsk, ask.RimAsk, neck, ask.On, res)
}

func (b *Book) bitTest(ask *BitTestAsk, res *BitUseResult) error {
	bit, err := b.FindBit(ask.Bit)
	if err != nil {
		return err
	}
	if !ask.seen() {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "a test hole without a look at its rim proves nothing", Type: []string{"bit test " + bit.Code + " --wood hard-maple --grade 0"}}
	}
	u := jobs.BitUse{Bit: bit.Code, Holes: 1, Test: true, Note: ask.Note}
	if ask.Holes != nil {
		u.Holes = *ask.Holes
	}
	if ask.Backing == "" {
		ask.Backing = jobs.BackingTight
	}
	return b.logHoles(u, ask.HoleAsk, ask.RimAsk, nil, ask.On, res)
}

// logHoles writes a use with its hole, its rims and its time, and says what it
// shows of the bit.
func (b *Book) logHoles(u jobs.BitUse, h HoleAsk, r RimAsk, neck *jobs.Neck, on string, res *BitUseResult) error {
	assumed, err := b.hole(h, &u, neck)
	if err != nil {
		return err
	}
	if err := r.rims(&u); err != nil {
		return err
	}
	if u.On, err = b.stamp(on, true); err != nil {
		return err
	}
	if err := u.Validate(); err != nil {
		return err
	}
	before, err := b.bitLife(u.Bit)
	if err != nil {
		return err
	}
	if u, err = b.LogUse(u); err != nil {
		return err
	}
	after, err := b.bitLife(u.Bit)
	if err != nil {
		return err
	}
	table, err := b.woodTable()
	if err != nil {
		return err
	}
	res.Use, res.Before, res.Life = u, roundM(before.WearM), lifeRow(after)
	res.CutM, res.CutHoles = roundM(u.Cut(table)), holesOf(u.Cut(table))
	tale, why := u.Tale(table)
	res.Says, res.Why = tales[tale], why
	b.warnAssumed(assumed)
	b.warnUse(u, before)
	return nil
}

// tales are the words of what a use shows.
var tales = map[jobs.Tale]string{jobs.TaleSilent: "not seen", jobs.TaleClean: "clean", jobs.TaleDull: "dull", jobs.TaleShock: "struck"}

// warnUse warns where holes sit oddly with what is known of their bit.
func (b *Book) warnUse(u jobs.BitUse, before jobs.EdgeLife) {
	if u.Bit == "" {
		return
	}
	began := jobs.DayOf(b.Wall(before.Started))
	if before.Edge == 1 && jobs.DayOf(b.Wall(u.On)) < began {
		b.Warnf("before-bit", "%s was added on %s only. The holes count on its first life.", u.Bit, began)
	}
	if u.GradeOut != nil && u.Backing.State != jobs.BackingTight {
		b.Warnf("no-backing", "The exit rim had no tight backing. It says nothing about the bit.")
	}
	if before.Event && u.Face != jobs.FaceHidden && !u.Test {
		b.Warn(jobs.Warning{Code: "dull-before", Text: fmt.Sprintf("%s was dull before: %s.", u.Bit, before.End), Hint: "bit sharpen " + u.Bit})
	}
	if before.Missing || before.Cause == jobs.CauseBroken {
		down := before.Cause
		if before.Missing {
			down = jobs.CauseLost
		}
		b.Warn(jobs.Warning{Code: "bit-away", Text: fmt.Sprintf("Logged. %s was recorded as %s. Found it?", u.Bit, down), Hint: fmt.Sprintf("bit move %s --to show --why found", u.Bit)})
	}
}

func (b *Book) bitDrop(ask *BitDropAsk, res *BitDropResult) error {
	id, err := strconv.ParseUint(ask.Use, 10, 64)
	if err != nil {
		return &jobs.Refusal{Code: "invalid", Class: jobs.Invalid, Why: fmt.Sprintf("%q is no number of a use", ask.Use), Type: []string{"report bits --table uses"}}
	}
	u, ok, err := store.GetID(b.Tx, store.BitUses, id)
	if err != nil {
		return err
	}
	if !ok {
		return &jobs.Refusal{Code: "missing", Class: jobs.Missing, Why: fmt.Sprintf("there is no use %d of a bit", id), Type: []string{"report bits --table uses"}}
	}
	if u.Entry != 0 {
		return jobs.Refuse("of-entry", fmt.Sprintf("use %d belongs to entry %d. The holes follow the entry", id, u.Entry), fmt.Sprintf("entry drop %d --why \"a slip\"", u.Entry))
	}
	if err := store.Delete(b.Tx, store.BitUses, u); err != nil {
		return err
	}
	life, err := b.bitLife(u.Bit)
	res.Use, res.Life = u, lifeRow(life)
	return err
}
