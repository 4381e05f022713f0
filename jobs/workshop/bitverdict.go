package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// BitVerdictAsk asks whether a bit is good for the next holes, or all show bits.
type BitVerdictAsk struct {
	Asked
	Bit   string `json:"bit,omitempty" word:"[BIT]"`
	Holes *int   `json:"holes,omitempty" flag:"holes" arg:"N" help:"N holes of the job at hand"`
	HoleAsk
	TornHole *money.Amount `json:"torn_hole,omitempty" flag:"torn-hole" arg:"AMOUNT" help:"AMOUNT of repair or loss, without the fresh bit"`
	Necks    []string      `json:"necks,omitempty" flag:"neck" arg:"NECK" read:"necks" help:"holes, wood and cost from NECK[+NECK]"`
	Tonight  bool          `json:"tonight,omitempty" flag:"tonight" help:"which bit for each neck that is drilled next"`
	Hidden   bool          `json:"hidden,omitempty" flag:"hidden" help:"hardware covers these holes"`
	Fit      bool          `json:"fit,omitempty" flag:"fit" help:"fit the life by maximum likelihood too (on --why)"`
}

// VerdictRow is a verdict with how to set up the press.
type VerdictRow struct {
	BitRow
	Drilling bitlife.DrillAdvice `json:"drilling"`
	WoodName string              `json:"wood"`
}

// BitVerdictResult is the verdict on each bit that was asked about.
type BitVerdictResult struct {
	Meta
	Job     JobRow       `json:"job"`
	Assumed []string     `json:"assumed,omitempty"` // what nobody typed: "hard maple", "15 mm deep"
	Named   bool         `json:"named,omitempty"`   // one bit was named
	Fitting string       `json:"fitting,omitempty"` // the holes that bits were chosen for: " of 10 mm"
	Bits    []VerdictRow `json:"bits"`
	Tonight bool         `json:"tonight,omitempty"`
	Plan    []PlanRow    `json:"plan,omitempty"`
}

// TestFirst is the first bit that a test hole would make good, empty when one is good
// already or none can be.
func (r *BitVerdictResult) TestFirst() (bit string) {
	for _, v := range r.Bits {
		switch v.Verdict.Verdict {
		case bitlife.VerdictReady, bitlife.VerdictLast:
			return ""
		case bitlife.VerdictTest, bitlife.VerdictNoRecord:
			bit = cmp.Or(bit, v.Bit)
		}
	}
	return bit
}

// PlanRow is the bit to take for a neck.
type PlanRow struct {
	Neck    string  `json:"neck"`
	Bit     string  `json:"bit,omitempty"`
	Why     string  `json:"why"`
	Verdict *BitRow `json:"verdict,omitempty"`
}

// BitVerdict judges bits for the next holes.
var BitVerdict = Define("bit verdict", "", Reads, (*Book).bitVerdict)

func (b *Book) bitVerdict(ask *BitVerdictAsk, res *BitVerdictResult) error {
	var named []string
	if ask.Bit != "" && !ask.Tonight {
		bit, err := b.FindBit(ask.Bit)
		if err != nil {
			return err
		}
		named = []string{bit.Code}
	}
	a, err := b.Advisor(ask.Fit, named...)
	if err != nil {
		return err
	}
	res.Bits, res.Named, res.Tonight = []VerdictRow{}, len(named) > 0, ask.Tonight
	if ask.Tonight {
		return b.bitsTonight(a, res)
	}
	job, wood, err := b.faceJob(ask, res)
	if err != nil {
		return err
	}
	if job.Planned {
		res.Fitting = fmt.Sprintf(" of %s mm", jobs.FormatMM(job.SizeMM))
	}
	if len(named) == 0 {
		named = b.showBits(a, job)
	} else if life, _ := a.Life(named[0]); job.Planned && !jobs.Fits(life.MeasuredMM, job.SizeMM, a.FitMM, true) {
		return jobs.Refuse("misfit", fmt.Sprintf("bit %s is %s, the plan of %s says %s mm", named[0], jobs.SizeText(life.MeasuredMM), job.Neck, jobs.FormatMM(job.SizeMM)),
			"bit verdict --neck "+job.Neck)
	}
	for _, code := range named {
		v, err := a.Verdict(code, job)
		if err != nil {
			return err
		}
		bit, err := a.Book.Bit(code)
		if err != nil {
			return err
		}
		life, _ := a.Life(code)
		advice := bitlife.AdviseDrilling(bit, wood, b.Shop.SpindleRPM)
		advice.RPM = jobs.Round2(advice.RPM)
		res.Bits = append(res.Bits, VerdictRow{b.bitRow(bit, life, v), advice, wood.Name})
	}
	res.Job = b.jobRow(job)
	return nil
}

// bitsTonight deals the bits out to the necks whose drilling is next.
func (b *Book) bitsTonight(a bitlife.Advisor, res *BitVerdictResult) error {
	plans, err := b.TonightBits(a, nil, 0)
	if err != nil {
		return err
	}
	for _, p := range plans {
		row := PlanRow{Neck: p.Neck, Bit: p.Bit, Why: p.Why}
		if p.Bit != "" {
			bit, err := a.Book.Bit(p.Bit)
			if err != nil {
				return err
			}
			life, _ := a.Life(p.Bit)
			v := b.bitRow(bit, life, p.Verdict)
			row.Verdict = &v
		}
		res.Plan = append(res.Plan, row)
	}
	return nil
}

// showBits lists the bits that are kept for show holes, or for general use where
// the job is hidden. With a plan only those that fit it. Those with the least wear
// come first.
func (b *Book) showBits(a bitlife.Advisor, job bitlife.FaceJob) []string {
	keep := jobs.KeepShow
	if job.Hidden {
		keep = jobs.KeepGeneral
	}
	var lives []jobs.EdgeLife
	for _, bit := range a.Book.Bits {
		if l, ok := a.Life(bit.Code); ok && l.Keep == keep && (job.SizeMM == 0 || jobs.Fits(l.MeasuredMM, job.SizeMM, a.FitMM, job.Planned)) {
			lives = append(lives, l)
		}
	}
	slices.SortStableFunc(lives, func(x, y jobs.EdgeLife) int { return cmp.Compare(x.WearM+x.PossibleM, y.WearM+y.PossibleM) })
	var codes []string
	for _, l := range lives {
		codes = append(codes, l.Bit)
	}
	return codes
}

// faceJob gives the job at hand: from necks, from what was typed, or both.
func (b *Book) faceJob(ask *BitVerdictAsk, res *BitVerdictResult) (job bitlife.FaceJob, wood jobs.Wood, err error) {
	table, err := b.woodTable()
	if err != nil {
		return job, wood, err
	}
	var neck *jobs.Neck
	if len(ask.Necks) > 0 {
		states, err := b.States(ask.Necks)
		if err != nil {
			return job, wood, err
		}
		drills := jobs.DrillsPosts
		if ask.Hidden {
			drills = jobs.DrillsHidden
		}
		work, err := b.NeckJobs(b.DrillOperation(drills), states)
		if err != nil {
			return job, wood, err
		}
		job, neck = SumJobs(work), &states[0].Neck
	}
	if ask.Holes != nil {
		if *ask.Holes < 1 || *ask.Holes > 1000 {
			return job, wood, &jobs.FieldError{Field: "holes", Value: jobs.NumberText(float64(*ask.Holes)), Want: "a number from 1 to 1000, such as 6"}
		}
		if job.Holes > 0 {
			job.CutM *= float64(*ask.Holes) / float64(job.Holes)
		}
		job.Holes = *ask.Holes
	}
	if job.Holes == 0 {
		job.Holes = HeadstockHoles
	}
	wood = table["hard-maple"]
	if neck != nil && neck.Wood != "" {
		wood = table[neck.Wood]
	}
	if neck == nil || ask.described() {
		u := jobs.BitUse{Bit: "any", Holes: job.Holes}
		if res.Assumed, err = b.hole(ask.HoleAsk, &u, neck); err != nil {
			return job, wood, err
		}
		if err := u.Validate(); err != nil {
			return job, wood, err
		}
		job.CutM, wood = u.Cut(table), table[u.Layers[0].Wood]
	}
	job.Hidden = ask.Hidden
	switch {
	case ask.TornHole != nil:
		job.TornHoleBasis = "as typed"
		job.TornHoleCost, err = amountOf("torn-hole", ask.TornHole)
	case neck == nil && !ask.Hidden:
		job.TornHoleCost, job.TornHoleBasis, err = b.TornHoleOf(nil)
	}
	return job, wood, err
}

// DrillOperation gives the first operation that drills posts or hidden holes.
func (b *Book) DrillOperation(drills string) jobs.Operation {
	for _, name := range jobs.SortedKeys(b.Operations) {
		if k := b.Operations[name]; k.Drills == drills {
			return k
		}
	}
	return jobs.Operation{Name: "drill", Drills: drills}
}

// WoodWords is the name of a wood in words: "hard maple".
func WoodWords(name string) string { return strings.ReplaceAll(name, "-", " ") }
