package store

import (
	"fmt"
	"math"
	"time"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// references finds records that name others which are not there.
func (h *Health) references(tx *Tx) error {
	has := func(c anyCollection) func(string) bool {
		names := map[string]bool{}
		cur := tx.bucket(c.name()).Cursor()
		for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
			names[string(k)] = true
		}
		return func(name string) bool { return names[name] }
	}
	necks, operations, supplies, bits := has(Necks), has(Operations), has(Supplies), has(Bits)
	entry := func(id uint64) bool { return id == 0 || tx.bucket(Entries.name()).Get(idKey(id)) != nil }
	on := 0
	for e, err := range Each(tx, Entries) {
		if err != nil {
			return err
		}
		if !operations(e.Operation) {
			h.found("reference", "entry %d is of the operation %q, which is not there", e.ID, e.Operation)
		}
		for _, s := range e.Shares {
			if !necks(s.Neck) {
				h.found("reference", "entry %d is work on neck %q, which is not there", e.ID, s.Neck)
			}
		}
		if e.Running() {
			on++
		}
	}
	if on > 1 {
		h.found("reference", "%d entries are on at once", on)
	}
	for l, err := range Each(tx, Lots) {
		if err != nil {
			return err
		}
		if !supplies(l.Supply) {
			h.found("reference", "lot %d is of supply %q, which is not there", l.ID, l.Supply)
		}
	}
	for u, err := range Each(tx, Uses) {
		if err != nil {
			return err
		}
		if !supplies(u.Supply) || u.Neck != "" && !necks(u.Neck) || !entry(u.Entry) {
			h.found("reference", "supply use %d names supply %q, neck %q, entry %d, of which one is not there", u.ID, u.Supply, u.Neck, u.Entry)
		}
	}
	for u, err := range Each(tx, BitUses) {
		if err != nil {
			return err
		}
		if u.Bit != "" && !bits(u.Bit) || u.Neck != "" && !necks(u.Neck) || !entry(u.Entry) {
			h.found("reference", "bit use %d names bit %q, neck %q, entry %d, of which one is not there", u.ID, u.Bit, u.Neck, u.Entry)
		}
	}
	for p, err := range Each(tx, Plans) {
		if err != nil {
			return err
		}
		if !necks(p.Neck) {
			h.found("reference", "plan %d is of neck %q, which is not there", p.Version, p.Neck)
		}
	}
	return nil
}

// derived works out what reports are made of and finds figures that are not
// finite, negative spans, shares that do not add up and ledgers that do not
// balance. A panic on the way is a finding, too.
func (h *Health) derived(tx *Tx) {
	defer func() {
		if p := recover(); p != nil {
			h.found("derived", "a figure cannot be worked out: %v", p)
		}
	}()
	shop, ok, err := Get(tx, Shops, "shop")
	if err != nil || !ok {
		return
	}
	operations, err := tx.OperationMap()
	if err == nil {
		err = h.derivedWork(tx, shop, operations)
	}
	if err == nil {
		err = h.derivedSupplies(tx, shop)
	}
	if err == nil {
		err = h.derivedBits(tx)
	}
	if err != nil {
		h.found("derived", "%v", err)
	}
}

func (h *Health) derivedWork(tx *Tx, shop jobs.Shop, operations map[string]jobs.Operation) error {
	for e, err := range Each(tx, Entries) {
		if err != nil {
			return err
		}
		whole, parts := e.Elapsed(tx.Now), time.Duration(0)
		for _, p := range e.ShareOut(tx.Now) {
			parts += p
		}
		if whole < 0 || parts != whole.Truncate(time.Second) {
			h.found("derived", "the shares of entry %d add to %s where %s were worked", e.ID, parts, whole)
		}
	}
	for n, err := range Each(tx, Necks) {
		if err != nil {
			return err
		}
		entries, err := tx.NeckEntries(n.Code)
		if err != nil {
			return err
		}
		if st := jobs.Derive(n, entries, operations, shop, tx.Now); st.Total < 0 {
			h.found("derived", "neck %s has worked %s", n.Code, st.Total)
		}
	}
	est := tx.NewEstimator(operations, shop)
	for _, name := range jobs.SortedKeys(operations) {
		step, err := est.Step(name, 1)
		if err != nil {
			return err
		}
		h.finite(fmt.Sprintf("likely time of %s", name), step.Quantile(0.5))
		h.finite(fmt.Sprintf("safe time of %s", name), step.Quantile(0.8))
	}
	return nil
}

func (h *Health) derivedSupplies(tx *Tx, shop jobs.Shop) error {
	for s, err := range Each(tx, Supplies) {
		if err != nil {
			return err
		}
		lots, err := By(tx, Lots, LotsBySupply, s.Name)
		if err != nil {
			return err
		}
		uses, err := By(tx, Uses, UsesBySupply, s.Name)
		if err != nil {
			return err
		}
		l := stock.Fifo(s, lots, uses, tx.Now, shop.Location())
		if sum := l.Issued.Add(l.WrittenOff).Add(l.Value); sum.Cmp(l.ValueIn) != 0 {
			h.found("derived", "supply %s: %s came in, but what was used, lost and is left adds to %s", s.Name, l.ValueIn, sum)
		}
	}
	return nil
}

func (h *Health) derivedBits(tx *Tx) error {
	bits, err := All(tx, Bits)
	if err != nil {
		return err
	}
	for _, b := range bits {
		book, err := tx.BitBook(b.Code)
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
func (h *Health) finite(what string, f float64) {
	if math.IsNaN(f) || math.IsInf(f, 0) || f < 0 {
		h.found("derived", "%s is %g", what, f)
	}
}
