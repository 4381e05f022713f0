package workshop

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// keepFor is what a bit for the holes of an operation is kept for.
func keepFor(operation jobs.Operation) string {
	if operation.Drills == jobs.DrillsPosts {
		return jobs.KeepShow
	}
	return jobs.KeepGeneral
}

// hole is the hole that a neck asks for.
type hole struct {
	neck    string
	mm      float64
	planned bool // its plan says so, else it is the usual one
}

// holesAsked gives the holes that necks ask for.
func (b *Book) holesAsked(operation jobs.Operation, states []jobs.NeckState) ([]hole, error) {
	var out []hole
	for _, st := range states {
		mm, planned, err := b.HoleSize(operation, st)
		if err != nil {
			return nil, err
		}
		out = append(out, hole{st.Neck.Name(), mm, planned})
	}
	return out, nil
}

// planned gives the first hole that a plan says, else the first of all.
func planned(holes []hole) hole {
	for _, h := range holes {
		if h.planned {
			return h
		}
	}
	return holes[0]
}

// misfitOf says why a bit does not fit planned holes: "bit S9 is 9.0 mm, the plan
// of bo says 10 mm". Empty where it fits or no plan says.
func (b *Book) misfitOf(holes []hole, life jobs.EdgeLife) string {
	for _, h := range holes {
		if h.planned && !jobs.Fits(life.MeasuredMM, h.mm, b.Shop.BitFitMM, true) {
			return fmt.Sprintf("bit %s is %s, the plan of %s says %s mm", life.Bit, jobs.SizeText(life.MeasuredMM), h.neck, jobs.FormatMM(h.mm))
		}
	}
	return ""
}

// ChooseBit resolves a typed bit, or infers it: kept for the operation's holes, of
// the plan's diameter where there is a plan. why says why none was chosen though
// the shop keeps bits: "no show bit of 10 mm; the nearest is S9, 9.0 mm".
func (b *Book) ChooseBit(operation jobs.Operation, states []jobs.NeckState, word string) (bit jobs.Bit, why string, err error) {
	if word != "" {
		bit, err := b.FindBit(word)
		return bit, "", err
	}
	holes, err := b.holesAsked(operation, states)
	if err != nil {
		return bit, "", err
	}
	bits, lives, err := b.BitsAndLives(keepFor(operation))
	if err != nil {
		return bit, "", err
	}
	want := planned(holes)
	var fit []jobs.Bit
	for i, x := range bits {
		if want.planned && b.misfitOf(holes, lives[i]) == "" || !want.planned && jobs.Fits(x.DiameterMM, want.mm, 0, false) {
			fit = append(fit, x)
		}
	}
	if len(fit) == 0 && !want.planned {
		fit = bits // the usual size is a guess
	}
	switch {
	case len(fit) == 1:
		return fit[0], "", nil
	case len(fit) > 1:
		return b.takeBit(fit, operation, states)
	case !want.planned:
		return bit, "", nil
	}
	why = fmt.Sprintf("no %s bit of %s mm", keepFor(operation), jobs.FormatMM(want.mm))
	if i := nearest(lives, want.mm); i >= 0 {
		return bit, why + fmt.Sprintf("; the nearest is %s, %s", bits[i].Code, jobs.SizeText(lives[i].MeasuredMM)), nil
	}
	if all, err := store.All(b.Tx, store.Bits); err != nil || len(all) == 0 {
		return bit, "", err // a shop that keeps no bits
	}
	return bit, why, nil
}

// nearest gives the index of the bit whose size is nearest to a hole, -1 where
// there is none.
func nearest(lives []jobs.EdgeLife, mm float64) int {
	best := -1
	for i, l := range lives {
		if best < 0 || math.Abs(l.MeasuredMM-mm) < math.Abs(lives[best].MeasuredMM-mm) {
			best = i
		}
	}
	return best
}

// fitBit holds a chosen bit against the plans. Without a bit that fits the drilling
// is refused. With a reason to go on, the chosen or the nearest bit is taken, and a
// caution says so.
func (b *Book) fitBit(g *DrillGate, bit jobs.Bit, why string, operation jobs.Operation, states []jobs.NeckState, anyway string) (jobs.Bit, error) {
	holes, err := b.holesAsked(operation, states)
	if err != nil {
		return bit, err
	}
	if bit.Code != "" {
		life, err := b.PresentLife(bit.Code)
		if err != nil {
			return bit, err
		}
		why = b.misfitOf(holes, life)
	}
	if why == "" {
		return bit, nil
	}
	mm := jobs.FormatMM(planned(holes).mm)
	if anyway == "" {
		r := jobs.Refuse("misfit", why, fmt.Sprintf("bit add S%s-1 --diameter %smm --point brad --keep %s", mm, mm, keepFor(operation)),
			fmt.Sprintf("on %s %s --anyway \"a test piece\"", operation.Name, jobs.NeckNames(states)))
		r.Anyway = true
		return bit, r
	}
	g.Cautions = append(g.Cautions, jobs.Caution{Code: "misfit", Text: strings.ToUpper(why[:1]) + why[1:] + ".", Stops: true})
	if bit.Code != "" {
		return bit, nil
	}
	bits, lives, err := b.BitsAndLives(keepFor(operation))
	if i := nearest(lives, planned(holes).mm); err == nil && i >= 0 {
		return bits[i], nil
	}
	return bit, err
}
