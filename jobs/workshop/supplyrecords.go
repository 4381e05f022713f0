package workshop

import (
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FindSupply resolves a name or unique prefix. It answers *jobs.NotFoundError
// with the nearest, or a *jobs.Refusal naming those it may mean.
func (b *Book) FindSupply(word string) (jobs.Supply, error) {
	if s, ok, err := store.Get(b.Tx, store.Supplies, word); ok || err != nil {
		return s, err
	}
	all, err := store.All(b.Tx, store.Supplies)
	if err != nil {
		return jobs.Supply{}, err
	}
	var names []string
	for _, s := range all {
		names = append(names, s.Name)
	}
	hits := jobs.Candidates(word, names)
	switch len(hits) {
	case 0:
		return jobs.Supply{}, &jobs.NotFoundError{Noun: "supply", Value: word, Near: jobs.Nearest(word, names)}
	case 1:
		return all[slices.Index(names, hits[0])], nil
	}
	return jobs.Supply{}, jobs.Ambiguous("supply", word, hits)
}

// SupplyLedger is the account of one supply as it is at the transaction's
// instant.
func (b *Book) SupplyLedger(s jobs.Supply) (stock.SupplyLedger, error) {
	lots, err := store.By(b.Tx, store.Lots, store.LotsBySupply, s.Name)
	if err != nil {
		return stock.SupplyLedger{}, err
	}
	uses, err := store.By(b.Tx, store.Uses, store.UsesBySupply, s.Name)
	if err != nil {
		return stock.SupplyLedger{}, err
	}
	return stock.Fifo(s, lots, uses, b.Now, b.Shop.Location()), nil
}

// SupplyLedgers gives the accounts of all supplies, by name.
func (b *Book) SupplyLedgers() ([]stock.SupplyLedger, error) {
	all, err := store.All(b.Tx, store.Supplies)
	if err != nil {
		return nil, err
	}
	var out []stock.SupplyLedger
	for _, s := range all {
		l, err := b.SupplyLedger(s)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

// AddSupply keeps a new supply. A name that is there already is refused.
func (b *Book) AddSupply(s jobs.Supply) error {
	if err := s.Validate(); err != nil {
		return err
	}
	if _, ok, err := store.Get(b.Tx, store.Supplies, s.Name); err != nil || ok {
		if ok {
			err = jobs.Refuse("taken", fmt.Sprintf("supply %s is there already", s.Name), "supply set "+s.Name+" --reorder 100")
		}
		return err
	}
	return store.Put(b.Tx, store.Supplies, s)
}

// ReceiveLot keeps a new lot under the next number.
func (b *Book) ReceiveLot(l jobs.Lot) (jobs.Lot, error) {
	if err := l.Validate(); err != nil {
		return l, err
	}
	var err error
	if l.ID, err = store.NextID(b.Tx, store.Lots); err != nil {
		return l, err
	}
	return l, store.Put(b.Tx, store.Lots, l)
}

// RecordUse keeps a new use, count or write-off under the next number. A lot
// that is not of the supply, and a neck that was closed before the use, are
// refused. A use of a closed neck dated before its closing is a late record and
// kept.
func (b *Book) RecordUse(u jobs.SupplyUse) (jobs.SupplyUse, error) {
	u.Written = b.Now
	if err := u.Validate(); err != nil {
		return u, err
	}
	if u.Lot != 0 {
		if _, err := b.LotOf(u.Supply, u.Lot); err != nil {
			return u, err
		}
	}
	if u.Neck != "" {
		n, ok, err := store.Get(b.Tx, store.Necks, u.Neck)
		if err != nil {
			return u, err
		}
		if !ok {
			return u, &jobs.NotFoundError{Noun: "neck", Value: u.Neck}
		}
		if n.IsClosed() && n.Closed != nil && u.On.After(*n.Closed) {
			closed := b.Wall(*n.Closed).Format("2006-01-02 15:04")
			return u, jobs.Refuse("closed", fmt.Sprintf("%s is %s since %s", n.Name(), n.Status, closed[:10]), fmt.Sprintf("supply use %s %s --neck %s --on %q", u.Supply, u.Quantity, n.Name(), closed))
		}
	}
	if u.ID == 0 {
		var err error
		if u.ID, err = store.NextID(b.Tx, store.Uses); err != nil {
			return u, err
		}
	}
	return u, store.Put(b.Tx, store.Uses, u)
}

// LotOf gives a lot of a supply by its number.
func (b *Book) LotOf(supply string, id uint64) (jobs.Lot, error) {
	l, ok, err := store.GetID(b.Tx, store.Lots, id)
	switch {
	case err != nil:
		return l, err
	case !ok:
		return l, &jobs.NotFoundError{Noun: "lot", Value: fmt.Sprint(id)}
	case supply != "" && l.Supply != supply:
		return l, jobs.Refuse("other-supply", fmt.Sprintf("lot %d is %s, not %s", id, l.Supply, supply), "supply show "+supply)
	}
	return l, nil
}

// OpenLot notes when a lot was opened: the one named, else the oldest that has
// something left and is closed.
func (b *Book) OpenLot(s jobs.Supply, id uint64, on time.Time) (jobs.Lot, error) {
	if id == 0 {
		ledger, err := b.SupplyLedger(s)
		if err != nil {
			return jobs.Lot{}, err
		}
		for _, l := range ledger.Lots {
			if l.ID != 0 && l.Opened.IsZero() && l.Left.Sign() > 0 && !l.Expired {
				id = l.ID
				break
			}
		}
		if id == 0 {
			return jobs.Lot{}, jobs.Refuse("none-closed", fmt.Sprintf("no unopened lot of %s has something left", s.Name), "supply show "+s.Name)
		}
	}
	l, err := b.LotOf(s.Name, id)
	if err != nil {
		return l, err
	}
	if !l.Opened.IsZero() {
		return l, jobs.Refuse("open", fmt.Sprintf("lot %d of %s is open since %s", id, s.Name, b.Wall(l.Opened).Format(time.DateOnly)), "supply show "+s.Name)
	}
	l.Opened = on
	return l, store.Put(b.Tx, store.Lots, l)
}

// RecipeUse is what `done` took from the stock by the recipe of an operation; Missing
// says that the shop does not keep the supply, so nothing was recorded.
type RecipeUse struct {
	Use     jobs.SupplyUse `json:"use"`
	Unit    jobs.Unit      `json:"unit"`
	Missing bool           `json:"missing,omitempty"`
}

// IssueRecipe records what an entry took by the recipe of its operation: one mix
// over all its necks, split by the counts of their shares (the quantity of the
// step where none is recorded). A supply for which the entry has a use by
// recipe already is left alone.
func (b *Book) IssueRecipe(e jobs.Entry, operation jobs.Operation) ([]RecipeUse, error) {
	if len(operation.Recipe) == 0 || len(e.Shares) == 0 {
		return nil, nil
	}
	had, err := store.ByID(b.Tx, store.Uses, store.UsesByEntry, e.ID)
	if err != nil {
		return nil, err
	}
	quantities := make([]money.Qty, len(e.Shares))
	for i, s := range e.Shares {
		q := s.Count
		if n, ok, err := store.Get(b.Tx, store.Necks, s.Neck); err != nil {
			return nil, err
		} else if step, has := n.Step(s.Step); q <= 0 && ok && has {
			q = step.Quantity
		}
		quantities[i] = money.QtyFromFloat(q)
	}
	var out []RecipeUse
	for _, r := range operation.Recipe {
		if slices.ContainsFunc(had, func(u jobs.SupplyUse) bool { return u.Recipe && u.Supply == r.Supply }) {
			continue
		}
		supply, kept, err := store.Get(b.Tx, store.Supplies, r.Supply)
		if err != nil {
			return nil, err
		}
		for i, q := range r.Shares(quantities) {
			if q.Sign() <= 0 {
				continue
			}
			u := jobs.SupplyUse{Supply: r.Supply, Kind: jobs.UseIssue, Quantity: q, On: e.End(b.Now), Written: b.Now,
				Neck: e.Shares[i].Neck, Step: e.Shares[i].Step, Entry: e.ID, Recipe: true}
			if e.Class == jobs.Rework {
				u.Cause = e.Cause
			}
			if kept {
				if u.ID, err = store.NextID(b.Tx, store.Uses); err != nil {
					return nil, err
				}
				if err := store.Put(b.Tx, store.Uses, u); err != nil {
					return nil, err
				}
			}
			out = append(out, RecipeUse{u, supply.Unit, !kept})
		}
	}
	return out, nil
}
