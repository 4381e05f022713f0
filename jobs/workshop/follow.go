package workshop

import (
	"slices"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// follow writes a corrected entry with all that follows from it. Where
// operation, necks and what is done are as before, holes and recipe quantities
// take the new counts and the new end in place. Else what was written for the
// old entry goes and the new one is finished as done would have.
func (b *Book) follow(was, is jobs.Entry) (jobs.Entry, error) {
	uses, holes, err := b.EntryFollowers(was.ID)
	if err != nil {
		return is, err
	}
	if sameWork(was, is) && !(EntryDone(is) && len(uses)+len(holes) == 0 && countsDiffer(was, is)) {
		if err := b.recount(is, uses, holes); err != nil {
			return is, err
		}
		return is, store.Put(b.Tx, store.Entries, is)
	}
	if err := b.release(was, is, uses, holes); err != nil {
		return is, err
	}
	operation, o := b.Operations[is.Operation], FinishOptions{}
	if operation.Drills == "" {
		is.Bit, is.Grade = "", nil
		is.Shares = slices.Clone(is.Shares)
		for i := range is.Shares {
			is.Shares[i].Grade = nil
		}
	} else {
		o = drilledLike(is.Bit, holes)
	}
	if !EntryDone(is) {
		return b.reopen(is, operation, o, len(holes) > 0)
	}
	return b.refinish(was, is, o)
}

// release takes back what was written for an entry. A use that was logged by
// hand stays, and goes to the neck that took the place of its own.
func (b *Book) release(was, is jobs.Entry, uses []jobs.SupplyUse, holes []jobs.BitUse) error {
	for _, u := range holes {
		if err := store.Delete(b.Tx, store.BitUses, u); err != nil {
			return err
		}
	}
	for _, u := range uses {
		if u.Recipe {
			if err := store.Delete(b.Tx, store.Uses, u); err != nil {
				return err
			}
			continue
		}
		if u.Neck == "" || is.ShareOf(u.Neck) >= 0 {
			continue
		}
		to := is.Shares[min(max(was.ShareOf(u.Neck), 0), len(is.Shares)-1)]
		u.Neck, u.Step = to.Neck, to.Step
		if err := store.Put(b.Tx, store.Uses, u); err != nil {
			return err
		}
	}
	return nil
}

// drilledLike gives what is known of holes that are to be written again.
func drilledLike(bit string, holes []jobs.BitUse) FinishOptions {
	o := FinishOptions{Bit: bit}
	for _, u := range holes {
		if !u.Estimated {
			o.DepthMM = u.DepthMM
		}
		if u.Backing.State != "" {
			o.Backing = u.Backing.State
		}
	}
	return o
}

// reopen writes an entry whose step stays open. What was drilled stays drilled.
func (b *Book) reopen(is jobs.Entry, operation jobs.Operation, o FinishOptions, drilled bool) (jobs.Entry, error) {
	if drilled && operation.Drills != "" {
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

// refinish finishes an entry as done would have. Its shares say already what was
// done, so nothing is planned again.
func (b *Book) refinish(was, is jobs.Entry, o FinishOptions) (jobs.Entry, error) {
	var counts []jobs.Count
	for _, s := range is.Shares {
		if s.Done || s.Left {
			counts = append(counts, jobs.Count{Neck: s.Neck, N: s.Count, Left: s.Left, Grade: s.Grade})
		}
	}
	if err := b.Finish(is, counts, o, nil); err != nil {
		return is, err
	}
	done, err := b.Entry(is.ID)
	if err != nil {
		return is, err
	}
	done.Late = is.Late
	if is.SetupPart > 0 && !countsDiffer(was, is) && was.Operation == is.Operation {
		done.SetupPart = is.SetupPart // of the standard at that time
	}
	return done, store.Put(b.Tx, store.Entries, done)
}

// sameWork says that two states of an entry have the same operation, bit and
// class, and the same steps, done alike.
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

// countsDiffer says that a neck or a count is another in two states of an entry.
func countsDiffer(a, b jobs.Entry) bool {
	return !slices.EqualFunc(a.Shares, b.Shares, func(x, y jobs.Share) bool { return x.Neck == y.Neck && x.Count == y.Count })
}

// recount gives what points at an entry its counts, its end and its grade.
func (b *Book) recount(e jobs.Entry, uses []jobs.SupplyUse, holes []jobs.BitUse) error {
	for _, u := range holes {
		i := e.ShareOf(u.Neck)
		if i < 0 || e.To == nil {
			continue
		}
		u.On, u.Holes = *e.To, RoundCount(e.Shares[i].Count)
		if g := e.GradeOn(e.Shares[i]); g != nil {
			woods, err := b.woodTable()
			if err != nil {
				return err
			}
			u.PlaceGrade(g, woods)
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
