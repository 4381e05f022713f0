package store

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/quote"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// Overheads by name: what the shop costs a year.
var Overheads = &Collection[jobs.OverheadItem]{bucket: "overheads", noun: "overhead", key: func(o *jobs.OverheadItem) []byte { return []byte(o.Name) }, valid: func(o *jobs.OverheadItem) error { return o.Validate() }}

// NeckCost draws up the cost sheet of a neck from everything recorded.
func (tx *Tx) NeckCost(n jobs.Neck, operations map[string]jobs.Operation, shop jobs.Shop) (quote.NeckCost, error) {
	in, err := tx.NeckInput(n, operations, shop)
	if err != nil {
		return quote.NeckCost{}, err
	}
	return quote.CostNeck(in), nil
}

// NeckInput gathers what a neck has cost so far.
func (tx *Tx) NeckInput(n jobs.Neck, operations map[string]jobs.Operation, shop jobs.Shop) (quote.NeckInput, error) {
	in := quote.NeckInput{Neck: n, Units: map[string]jobs.Supply{}}
	list := make([]jobs.Operation, 0, len(operations))
	for _, name := range jobs.SortedKeys(operations) {
		list = append(list, operations[name])
	}
	in.Rates = quote.RatesOf(shop, list)
	entries, err := tx.NeckEntries(n.Code)
	if err != nil {
		return in, err
	}
	entries = tx.Settled(entries, operations, shop)
	in.Work = quote.SharesOf(entries, n.Code, tx.Now)
	if n.Status == jobs.Scrapped {
		for _, v := range jobs.Derive(n, entries, operations, shop, tx.Now).Steps {
			if v.State == jobs.Done {
				in.Stage = v.Operation
			}
		}
	}
	if err := tx.neckSupplies(&in, shop); err != nil {
		return in, err
	}
	if err := tx.neckBits(&in, shop); err != nil {
		return in, err
	}
	pieces, err := All(tx, Pieces)
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
	in.Parts, err = By(tx, Parts, PartsByNeck, n.Code)
	return in, err
}

// neckSupplies reads the accounts of the supplies that the neck used.
func (tx *Tx) neckSupplies(in *quote.NeckInput, shop jobs.Shop) error {
	uses, err := By(tx, Uses, UsesByNeck, in.Neck.Code)
	if err != nil {
		return err
	}
	var names []string
	for _, u := range uses {
		names = append(names, u.Supply)
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		s, ok, err := Get(tx, Supplies, name)
		if err != nil {
			return err
		}
		if !ok {
			return fmt.Errorf("supply %q is used but not in the file; run data check", name)
		}
		ledger, err := tx.SupplyLedger(s, shop)
		if err != nil {
			return err
		}
		in.Units[name] = s
		in.Issues = append(in.Issues, ledger.ForNeck(in.Neck.Code)...)
	}
	return nil
}

// neckBits adds up the neck's wear on each edge. The expected life is the rated
// one of the edge or the bit, else the default of a bit nobody rated.
func (tx *Tx) neckBits(in *quote.NeckInput, shop jobs.Shop) error {
	uses, err := By(tx, BitUses, BitUsesByNeck, in.Neck.Code)
	if err != nil || len(uses) == 0 {
		return err
	}
	woods, err := All(tx, Woods)
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
			bit, _, err := Get(tx, Bits, u.Bit)
			if err != nil {
				return err
			}
			edge, _, err := GetPair(tx, Edges, u.Bit, u.Edge)
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
func (tx *Tx) PlannedUses(operations map[string]jobs.Operation, shop jobs.Shop) (map[string][]stock.PlannedUse, error) {
	necks, err := tx.BenchNecks()
	if err != nil {
		return nil, err
	}
	var states []jobs.NeckState
	for _, n := range necks {
		st, err := tx.NeckState(n, operations, shop)
		if err != nil {
			return nil, err
		}
		states = append(states, st)
	}
	return stock.PlanUses(states, operations, shop, shop.Evening(tx.Now)), nil
}

// OverheadRate divides the yearly overhead by the hours logged in the year
// before now. Without items the shop's own yearly sum stands for them.
func (tx *Tx) OverheadRate(operations map[string]jobs.Operation, shop jobs.Shop, jobHours float64) (quote.OverheadRate, []jobs.OverheadItem, error) {
	items, err := All(tx, Overheads)
	if err != nil {
		return quote.OverheadRate{}, nil, err
	}
	if len(items) == 0 && !shop.YearlyOverhead.IsZero() {
		items = []jobs.OverheadItem{{Name: "yearly-overhead", Yearly: shop.YearlyOverhead, Note: "shop setting"}}
	}
	entries, err := tx.EntriesBetween(tx.Now.AddDate(-1, 0, 0), tx.Now.Add(time.Second))
	if err != nil {
		return quote.OverheadRate{}, nil, err
	}
	rate := quote.Absorb(items, quote.LoggedOnNecks(tx.Settled(entries, operations, shop), tx.Now), shop.PlannedHours, jobHours)
	return rate, items, nil
}
