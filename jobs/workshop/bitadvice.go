package workshop

import (
	"cmp"
	"slices"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// Advisor reads what speaks for some bits, or all bits when none is named, and
// the settings of the model.
func (b *Book) Advisor(fit bool, codes ...string) (a bitlife.Advisor, err error) {
	var book jobs.BitBook
	if len(codes) > 0 {
		book, err = b.BitBookAlike(codes...)
	} else {
		book, err = b.BitBookLives()
	}
	if err != nil {
		return a, err
	}
	return b.AdvisorOn(book, fit), nil
}

// AdvisorOn judges by a book that was read already; fit adds the fitted life
// to the closed form, whatever the number of worn-out bits.
func (b *Book) AdvisorOn(book jobs.BitBook, fit bool) bitlife.Advisor {
	a := bitlife.NewAdvisor(book, b.Shop.BitShape, b.Shop.TestHoleCost)
	a.Fit, a.FitMM = fit, b.Shop.BitFitMM
	return a
}

// TornHoleOf is what a torn hole costs on a neck, or on a face with nothing sunk
// in it.
func (b *Book) TornHoleOf(n *jobs.Neck) (money.Amount, string, error) {
	if b.torn == nil {
		f, err := b.TornFaces()
		if err != nil {
			return money.Zero, "", err
		}
		b.torn = &f
	}
	f := *b.torn
	if n != nil {
		sunk, known := b.sunk[n.Code]
		if !known {
			var err error
			if sunk, err = b.Sunk(*n); err != nil {
				return money.Zero, "", err
			}
			if b.sunk == nil {
				b.sunk = map[string]money.Amount{}
			}
			b.sunk[n.Code] = sunk
		}
		f.Sunk = sunk
	}
	d, basis := f.TornHoleCost()
	return b.Shop.Currency.Line(d), basis, nil
}

// HeadstockHoles is how many holes a job has that nobody described.
const HeadstockHoles = 6

// PlainJob is six holes of the usual depth in hard maple on a face with nothing
// sunk in it.
func (b *Book) PlainJob() (bitlife.FaceJob, error) {
	d, basis, err := b.TornHoleOf(nil)
	return bitlife.FaceJob{Holes: HeadstockHoles, CutM: HeadstockHoles * b.Shop.HoleDepthMM / 1000, TornHoleCost: d, TornHoleBasis: basis}, err
}

// NeckJobs gives the drilling of an operation on each neck as a job, with the wood and
// the depth of its plan and the damage a torn hole would do there.
func (b *Book) NeckJobs(operation jobs.Operation, states []jobs.NeckState) ([]bitlife.FaceJob, error) {
	woods, err := b.woodTable()
	if err != nil {
		return nil, err
	}
	var out []bitlife.FaceJob
	for _, st := range states {
		n := HeadstockHoles
		if v, _, ok := st.StepFor(operation.Name); ok && v.Quantity >= 1 {
			n = RoundCount(max(v.Quantity-v.Counted, 0))
			if n < 1 {
				n = RoundCount(v.Quantity)
			}
		}
		cut, err := b.CutOf(st.Neck, operation, FinishOptions{})
		if err != nil {
			return nil, err
		}
		job := bitlife.FaceJob{Neck: st.Neck.Name(), Holes: n, Hidden: operation.Drills != jobs.DrillsPosts,
			CutM: jobs.BitUse{Holes: n, DepthMM: cut.DepthMM, Layers: cut.Layers, Backing: cut.Backing, GlueLines: cut.GlueLines}.Cut(woods)}
		if job.SizeMM, job.Planned, err = b.HoleSize(operation, st); err != nil {
			return nil, err
		}
		if !job.Hidden {
			if job.TornHoleCost, job.TornHoleBasis, err = b.TornHoleOf(&st.Neck); err != nil {
				return nil, err
			}
		}
		out = append(out, job)
	}
	return out, nil
}

// SumJobs makes one job of a session over several necks: all holes, and the
// damage of the dearest face.
func SumJobs(work []bitlife.FaceJob) bitlife.FaceJob {
	all := work[0]
	for _, j := range work[1:] {
		all.Holes += j.Holes
		all.CutM += j.CutM
		all.Neck += "+" + j.Neck
		if j.TornHoleCost.Cmp(all.TornHoleCost) > 0 {
			all.TornHoleCost, all.TornHoleBasis = j.TornHoleCost, j.TornHoleBasis
		}
	}
	return all
}

// need is a drilling that is due, and the size of its holes in mm.
type need struct {
	size float64
	job  bitlife.FaceJob
}

// needs gathers the drilling that is due on necks; about are the codes of those
// that are about to begin. only asks for one size of hole (0: every size).
func (b *Book) needs(necks []jobs.Neck, about []string, only float64) (out []need, err error) {
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		for _, v := range st.Steps {
			operation := b.Operations[v.Operation]
			next := v.State == jobs.Ready || v.State == jobs.Started || v.State == jobs.On || (v.State == jobs.Waiting && slices.Contains(about, n.Code))
			if operation.Drills == "" || !next {
				continue
			}
			size, _, err := b.HoleSize(operation, st)
			if err != nil {
				return nil, err
			}
			if only > 0 && size != only {
				continue
			}
			work, err := b.NeckJobs(operation, []jobs.NeckState{st})
			if err != nil {
				return nil, err
			}
			out = append(out, need{size, work[0]})
		}
	}
	return out, nil
}

// TonightBits deals the bits out to the open necks whose next steps drill, and
// to those of extra, which are about to begin. only deals out one size of hole
// (0: every size).
func (b *Book) TonightBits(a bitlife.Advisor, extra []jobs.NeckState, only float64) ([]bitlife.Plan, error) {
	var about []string
	for _, x := range extra {
		about = append(about, x.Neck.Code)
	}
	necks, err := b.NecksOf(jobs.Open)
	if err != nil {
		return nil, err
	}
	needs, err := b.needs(necks, about, only)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(needs, func(x, y need) int { return cmp.Compare(x.size, y.size) })
	var plans []bitlife.Plan
	for i := 0; i < len(needs); {
		j := i
		var work []bitlife.FaceJob
		for ; j < len(needs) && needs[j].size == needs[i].size; j++ {
			work = append(work, needs[j].job)
		}
		dealt, err := a.PlanBits(needs[i].size, work)
		if err != nil {
			return nil, err
		}
		plans = append(plans, dealt...)
		i = j
	}
	return plans, nil
}

// HoleSize is the diameter of an operation's holes in a neck in mm, and whether its
// plan says so.
func (b *Book) HoleSize(operation jobs.Operation, st jobs.NeckState) (mm float64, planned bool, err error) {
	if operation.Drills != jobs.DrillsPosts {
		return jobs.UsualPilotMM, false, nil
	}
	plan, ok, err := b.CurrentPlan(st.Neck.Code)
	if err != nil || !ok || len(plan.Holes) == 0 {
		return jobs.UsualPostMM, false, err
	}
	return plan.Holes[0].DiameterMM, true, nil
}
