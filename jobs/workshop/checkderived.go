package workshop

import (
	"errors"
	"fmt"
	"math"
	"time"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Derived works out the figures of the whole file for data check and finds those
// that are not finite, negative spans, shares that do not add up and accounts that
// do not balance.
func Derived(tx *store.Tx, found func(format string, args ...any)) error {
	if _, ok, err := store.Get(tx, store.Shops, "shop"); err != nil || !ok {
		return err
	}
	b, err := Open(tx)
	if err != nil {
		return err
	}
	h := figures{b, found}
	return errors.Join(h.work(), h.supplies(), h.bitLives())
}

// figures looks at what is derived from the records.
type figures struct {
	*Book
	found func(format string, args ...any)
}

func (h figures) work() error {
	for e, err := range store.Each(h.Tx, store.Entries) {
		if err != nil {
			return err
		}
		whole, parts := e.Elapsed(h.Now), time.Duration(0)
		for _, p := range e.ShareOut(h.Now) {
			parts += p
		}
		if whole < 0 || parts != whole.Truncate(time.Second) {
			h.found("the shares of entry %d add to %s where %s were worked", e.ID, parts, whole)
		}
	}
	for n, err := range store.Each(h.Tx, store.Necks) {
		if err != nil {
			return err
		}
		entries, err := h.NeckEntries(n.Code)
		if err != nil {
			return err
		}
		if st := jobs.Derive(n, entries, h.Operations, h.Shop, h.Now); st.Total < 0 {
			h.found("neck %s has worked %s", n.Code, st.Total)
		}
	}
	est := h.NewEstimator()
	for _, name := range jobs.SortedKeys(h.Operations) {
		step, err := est.Step(name, 1)
		if err != nil {
			return err
		}
		h.finite(fmt.Sprintf("likely time of %s", name), step.Quantile(0.5))
		h.finite(fmt.Sprintf("safe time of %s", name), step.Quantile(0.8))
	}
	return nil
}

func (h figures) supplies() error {
	for s, err := range store.Each(h.Tx, store.Supplies) {
		if err != nil {
			return err
		}
		lots, err := store.By(h.Tx, store.Lots, store.LotsBySupply, s.Name)
		if err != nil {
			return err
		}
		uses, err := store.By(h.Tx, store.Uses, store.UsesBySupply, s.Name)
		if err != nil {
			return err
		}
		l := stock.Fifo(s, lots, uses, h.Now, h.Shop.Location())
		if sum := l.Issued.Add(l.WrittenOff).Add(l.Value); sum.Cmp(l.ValueIn) != 0 {
			h.found("supply %s: %s came in, but what was used, lost and is left adds to %s", s.Name, l.ValueIn, sum)
		}
	}
	return nil
}

func (h figures) bitLives() error {
	bits, err := store.All(h.Tx, store.Bits)
	if err != nil {
		return err
	}
	for _, bit := range bits {
		book, err := h.BitBook(bit.Code)
		if err != nil {
			return err
		}
		for _, l := range book.Lives() {
			name := fmt.Sprintf("bit %s edge %d", l.Bit, l.Edge)
			h.finite(name+", wear", l.WearM)
			h.finite(name+", life", l.LifeM)
			h.finite(name+", wear it may have", l.PossibleM)
		}
	}
	return nil
}

// finite finds a figure that is no number, endless or below zero.
func (h figures) finite(what string, f float64) {
	if math.IsNaN(f) || math.IsInf(f, 0) || f < 0 {
		h.found("%s is %g", what, f)
	}
}
