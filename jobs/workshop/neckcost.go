package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/quote"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckCost draws up the cost sheet of a neck from everything recorded.
func (b *Book) NeckCost(n jobs.Neck) (quote.NeckCost, error) {
	in, err := b.NeckInput(n)
	if err != nil {
		return quote.NeckCost{}, err
	}
	return quote.CostNeck(in), nil
}

// NeckInput gathers what a neck has cost so far.
func (b *Book) NeckInput(n jobs.Neck) (quote.NeckInput, error) {
	in := quote.NeckInput{Neck: n, Units: map[string]jobs.Supply{}}
	list := make([]jobs.Operation, 0, len(b.Operations))
	for _, name := range jobs.SortedKeys(b.Operations) {
		list = append(list, b.Operations[name])
	}
	in.Rates = quote.RatesOf(b.Shop, list)
	entries, err := b.NeckEntries(n.Code)
	if err != nil {
		return in, err
	}
	entries = b.Settled(entries)
	in.Work = quote.SharesOf(entries, n.Code, b.Now)
	if n.Status == jobs.Scrapped {
		for _, v := range jobs.Derive(n, entries, b.Operations, b.Shop, b.Now).Steps {
			if v.State == jobs.Done {
				in.Stage = v.Operation
			}
		}
	}
	if err := b.neckSupplies(&in); err != nil {
		return in, err
	}
	if err := b.neckBits(&in); err != nil {
		return in, err
	}
	pieces, err := store.All(b.Tx, store.Pieces)
	if err != nil {
		return in, err
	}
	for _, p := range pieces {
		if p.Neck == n.Code {
			in.Pieces = append(in.Pieces, p)
		}
		if p.From != "" {
			in.Cuts = append(in.Cuts, p)
		}
	}
	in.Parts, err = store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
	return in, err
}

// neckSupplies reads the accounts of the supplies that the neck used.
func (b *Book) neckSupplies(in *quote.NeckInput) error {
	uses, err := store.By(b.Tx, store.Uses, store.UsesByNeck, in.Neck.Code)
	if err != nil {
		return err
	}
	var names []string
	for _, u := range uses {
		names = append(names, u.Supply)
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		s, ok, err := store.Get(b.Tx, store.Supplies, name)
		if err != nil {
			return err
		}
		if !ok {
			return fmt.Errorf("supply %q is used but not in the file. Run data check", name)
		}
		ledger, err := b.SupplyLedger(s)
		if err != nil {
			return err
		}
		in.Units[name] = s
		in.Issues = append(in.Issues, ledger.ForNeck(in.Neck.Code)...)
	}
	return nil
}

// neckBits adds up the neck's wear on each edge. The expected life is the rated
// one of the edge or the bit, else the default of a bit without one.
func (b *Book) neckBits(in *quote.NeckInput) error {
	uses, err := store.By(b.Tx, store.BitUses, store.BitUsesByNeck, in.Neck.Code)
	if err != nil || len(uses) == 0 {
		return err
	}
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return err
	}
	table := jobs.NewWoodTable(woods)
	reworked := map[uint64]bool{}
	for _, w := range in.Work {
		reworked[w.Entry] = reworked[w.Entry] || w.Class == jobs.Rework
	}
	for _, u := range uses {
		if u.Bit == "" {
			continue
		}
		again := u.Entry != 0 && reworked[u.Entry]
		i := slices.IndexFunc(in.Bits, func(b quote.BitWear) bool { return b.Bit == u.Bit && b.Edge == u.Edge && b.Reworked == again })
		if i < 0 {
			bit, _, err := store.Get(b.Tx, store.Bits, u.Bit)
			if err != nil {
				return err
			}
			edge, _, err := store.GetPair(b.Tx, store.Edges, u.Bit, u.Edge)
			if err != nil {
				return err
			}
			in.Bits = append(in.Bits, quote.WearOf(bit, edge, again))
			i = len(in.Bits) - 1
		}
		in.Bits[i].CutM += u.Cut(table)
	}
	slices.SortFunc(in.Bits, func(a, b quote.BitWear) int {
		return cmp.Or(cmp.Compare(a.Bit, b.Bit), cmp.Compare(a.Edge, b.Edge))
	})
	return nil
}

// PlannedUses says what the open necks will take of each supply.
func (b *Book) PlannedUses() (map[string][]stock.PlannedUse, error) {
	states, err := b.benchStates()
	if err != nil {
		return nil, err
	}
	likely, err := b.likelyEnds()
	if err != nil {
		return nil, err
	}
	return stock.PlanUses(states, likely, b.Operations, b.Shop, b.Shop.Evening(b.Now)), nil
}

// OverheadRate divides the yearly overhead by the hours logged on necks in the
// year before now.
func (b *Book) OverheadRate(jobHours float64) (quote.OverheadRate, error) {
	entries, err := b.EntriesBetween(b.Now.AddDate(-1, 0, 0), b.Now.Add(time.Second))
	if err != nil {
		return quote.OverheadRate{}, err
	}
	return quote.Absorb(b.Shop.YearlyOverhead, quote.LoggedOnNecks(b.Settled(entries), b.Now), b.Shop.PlannedHours, jobHours), nil
}
