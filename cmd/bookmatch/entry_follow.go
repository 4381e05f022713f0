package main

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
)

// follow writes a mended entry with what follows from it. Where operation, necks and
// what is done are as before, holes and recipe quantities take the new counts
// and the new end in place; else what was written for the old entry goes and
// the new one is finished as `done` would have.
func (b *desk) follow(was, is jobs.Entry) (jobs.Entry, error) {
	uses, holes, err := b.EntryFollowers(was.ID)
	if err != nil {
		return is, err
	}
	if sameWork(was, is) && !(workshop.EntryDone(is) && len(uses)+len(holes) == 0 && countsDiffer(was, is)) {
		if err := b.recount(is, uses, holes); err != nil {
			return is, err
		}
		return is, store.Put(b.Tx, store.Entries, is)
	}
	o := workshop.FinishOptions{Bit: is.Bit}
	for _, u := range holes {
		if !u.Estimated {
			o.DepthMM = u.DepthMM
		}
		if u.Backing.State != "" {
			o.Backing = u.Backing.State
		}
	}
	for _, u := range uses {
		if !u.Recipe { // told by hand: it stays and goes where the entry goes
			if u.Neck != "" && is.ShareOf(u.Neck) < 0 {
				u.Neck, u.Step = is.Shares[0].Neck, is.Shares[0].Step
			}
			if err := store.Put(b.Tx, store.Uses, u); err != nil {
				return is, err
			}
			continue
		}
		if err := store.Delete(b.Tx, store.Uses, u); err != nil {
			return is, err
		}
	}
	for _, u := range holes {
		if err := store.Delete(b.Tx, store.BitUses, u); err != nil {
			return is, err
		}
	}
	if b.Operations[is.Operation].Drills == "" {
		o.Bit, o.Backing, o.DepthMM = "", "", 0
		is.Bit = ""
	}
	if !workshop.EntryDone(is) {
		// What was drilled stays drilled, though the step is open.
		if operation := b.Operations[is.Operation]; len(holes) > 0 && operation.Drills != "" {
			states, err := b.ShareStates(is)
			if err != nil {
				return is, err
			}
			if _, err := b.LogHoles(&is, operation, states, o); err != nil {
				return is, err
			}
		}
		return is, store.Put(b.Tx, store.Entries, is)
	}
	// The shares say already what was done; finish must not plan anew.
	var counts []jobs.Count
	for _, s := range is.Shares {
		if s.Done || s.Left {
			counts = append(counts, jobs.Count{Neck: s.Neck, N: s.Count, Left: s.Left})
		}
	}
	part := is.SetupPart
	late := is.Late
	if err := b.Finish(is, counts, o, nil); err != nil {
		return is, err
	}
	done, err := b.Entry(is.ID)
	if err != nil {
		return is, err
	}
	done.Late = late
	if part > 0 && !countsDiffer(was, is) && was.Operation == is.Operation {
		done.SetupPart = part // the standard of then
	}
	return done, store.Put(b.Tx, store.Entries, done)
}

// sameWork says that two states of an entry are of one operation, bit and class, and
// on the same steps, done alike.
func sameWork(a, b jobs.Entry) bool {
	if a.Operation != b.Operation || a.Bit != b.Bit || a.Class != b.Class || a.Cause != b.Cause || len(a.Shares) != len(b.Shares) {
		return false
	}
	for i := range a.Shares {
		x, y := a.Shares[i], b.Shares[i]
		if x.Neck != y.Neck || x.Step != y.Step || x.Done != y.Done || x.Left != y.Left {
			return false
		}
	}
	return true
}

func countsDiffer(a, b jobs.Entry) bool {
	return !slices.EqualFunc(a.Shares, b.Shares, func(x, y jobs.Share) bool { return x.Neck == y.Neck && x.Count == y.Count })
}

// recount gives what points at an entry its counts, its end and its grade.
func (b *desk) recount(e jobs.Entry, uses []jobs.SupplyUse, holes []jobs.BitUse) error {
	for _, u := range holes {
		i := e.ShareOf(u.Neck)
		if i < 0 || e.To == nil {
			continue
		}
		u.On, u.Holes = *e.To, workshop.RoundCount(e.Shares[i].Count)
		if e.Grade != nil {
			u.GradeIn = e.Grade
		}
		var err error
		if u.Holes < 1 {
			err = store.Delete(b.Tx, store.BitUses, u)
		} else {
			err = store.Put(b.Tx, store.BitUses, u)
		}
		if err != nil {
			return err
		}
	}
	var quantities []money.Qty
	for _, s := range e.Shares {
		q := s.Count
		if n, ok, err := store.Get(b.Tx, store.Necks, s.Neck); err != nil {
			return err
		} else if step, has := n.Step(s.Step); q <= 0 && ok && has {
			q = step.Quantity // what the recipe took where no count was recorded
		}
		quantities = append(quantities, money.QtyFromFloat(q))
	}
	for _, u := range uses {
		if e.To != nil {
			u.On = *e.To
		}
		line := slices.IndexFunc(b.Operations[e.Operation].Recipe, func(r jobs.RecipeLine) bool { return r.Supply == u.Supply })
		i := e.ShareOf(u.Neck)
		if u.Recipe && line >= 0 && i >= 0 {
			u.Quantity = b.Operations[e.Operation].Recipe[line].Shares(quantities)[i]
		}
		var err error
		if u.Quantity.Sign() <= 0 {
			err = store.Delete(b.Tx, store.Uses, u)
		} else {
			err = store.Put(b.Tx, store.Uses, u)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// overlap is the refusal of work that claims time which is logged, with both
// shown.
func (b *desk) overlap(es, hits []jobs.Entry) error {
	var want, have []string
	for _, e := range es {
		for _, f := range hits {
			if e.Overlaps(f, b.Now) {
				if t := b.spanText(e); !slices.Contains(want, t) {
					want = append(want, t)
				}
				if t := fmt.Sprintf("entry %d %s", f.ID, b.spanText(f)); !slices.Contains(have, t) {
					have = append(have, t)
				}
			}
		}
	}
	return &jobs.ConflictError{What: strings.Join(want, ", ") + " overlaps " + strings.Join(have, ", "),
		How: fmt.Sprintf(`look at both with entry list; mend with entry amend %d --from or --to, or entry drop %d --why "..."`, hits[0].ID, hits[0].ID)}
}

// spanText shows an entry with its hours: "drill ada 2026-03-12 19:45-21:15".
func (b *desk) spanText(e jobs.Entry) string {
	end := "now"
	if e.To != nil {
		end = b.Clock(*e.To)
	}
	s := fmt.Sprintf("%s %s %s %s-%s", e.Operation, b.NecksText(e), b.Shop.Evening(e.From), b.Clock(e.From), end)
	if e.Assumed {
		s += " (assumed)"
	}
	return s
}
