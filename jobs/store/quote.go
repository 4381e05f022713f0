package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// Quotes by code.
var Quotes = &Collection[quote.Quote]{bucket: "quotes", noun: "quote", key: func(q *quote.Quote) []byte { return []byte(q.Code) }}

// Revisions of quotes by quote and number. A revision that was sent keeps a
// copy of every input.
var Revisions = &Collection[quote.Revision]{bucket: "revisions", noun: "quote revision", key: func(r *quote.Revision) []byte { return pair(r.Quote, idKey(uint64(r.No))) }}

// FindQuote resolves a typed code or unique prefix. It answers
// *jobs.NotFoundError with the nearest, or *jobs.ConflictError naming those it
// may mean.
func (tx *Tx) FindQuote(word string) (quote.Quote, error) {
	if q, ok, err := Get(tx, Quotes, word); ok || err != nil {
		return q, err
	}
	all, err := All(tx, Quotes)
	if err != nil {
		return quote.Quote{}, err
	}
	var codes []string
	for _, q := range all {
		codes = append(codes, q.Code)
	}
	hits := jobs.Candidates(word, codes)
	switch len(hits) {
	case 0:
		return quote.Quote{}, &jobs.NotFoundError{Noun: "quote", Value: word, Near: jobs.Nearest(word, codes)}
	case 1:
		return all[slices.Index(codes, hits[0])], nil
	}
	return quote.Quote{}, &jobs.ConflictError{What: fmt.Sprintf("quote %q may be %s", word, strings.Join(hits, " or ")), How: "type a letter more"}
}

// Revision gives one revision of a quote; no 0 is the newest.
func (tx *Tx) Revision(q quote.Quote, no int) (quote.Revision, error) {
	if no == 0 {
		no = q.Revision
	}
	r, ok, err := GetPair[quote.Revision](tx, Revisions, q.Code, no)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "revision of quote " + q.Code, Value: fmt.Sprint(no)}
	}
	return r, err
}

// QuoteInput gathers everything a quote is computed from as it stands in this
// transaction. *jobs.NotFoundError when route or wood are not there,
// *jobs.FieldError when nothing is left to do.
func (tx *Tx) QuoteInput(q quote.Quote, ask quote.Ask, set estimate.Settings) (quote.Input, error) {
	shop, err := tx.Shop()
	if err != nil {
		return quote.Input{}, err
	}
	operations, err := tx.OperationMap()
	if err != nil {
		return quote.Input{}, err
	}
	var list []jobs.Operation
	for _, name := range jobs.SortedKeys(operations) {
		list = append(list, operations[name])
	}
	in := quote.Input{Ask: ask, At: tx.Now.In(shop.Location()), Shop: shop.Name, Rates: quote.RatesOf(shop, list), Tax: shop.Tax, TaxRule: shop.TaxRule, Settings: set.WithDefaults()}
	if err := tx.quoteSteps(&in, operations, shop); err != nil {
		return in, err
	}
	if err := tx.quoteWear(&in, operations, shop); err != nil {
		return in, err
	}
	if in.Calendar, in.Loose, err = tx.Calendar(operations, shop); err != nil {
		return in, err
	}
	in.Before, err = tx.OpenJobs(operations, shop, q.Necks...)
	return in, err
}

// quoteSteps lays the route out and prices what it takes from the stock.
func (tx *Tx) quoteSteps(in *quote.Input, operations map[string]jobs.Operation, shop jobs.Shop) error {
	route, ok, err := Get(tx, Routes, in.Ask.Route)
	if err != nil {
		return err
	}
	if !ok {
		return &jobs.NotFoundError{Noun: "route", Value: in.Ask.Route}
	}
	steps, quantities, err := jobs.PlanSteps(route, operations, in.Ask.Quantities)
	if err != nil {
		return err
	}
	if len(steps) == 0 {
		return &jobs.FieldError{Field: "route", Value: in.Ask.Route, Want: "a route that leaves something to do with these quantities"}
	}
	in.Ask.Quantities = quantities
	est := tx.NewEstimator(operations, shop)
	necks := max(in.Ask.Necks, 1)
	copies, together := necks, 1.0
	if in.Ask.Batch {
		copies, together = 1, float64(necks)
	}
	var unpriced []string
	for _, s := range steps {
		k := operations[s.Operation]
		samples, err := est.Samples(k.Name)
		if err != nil {
			return err
		}
		pace, err := est.Pace()
		if err != nil {
			return err
		}
		difficulty := 1.0
		if d := in.Ask.Difficulty[k.Name]; d > 0 {
			difficulty = d
		}
		std := estimate.StandardOf(k)
		std.SetupMin *= difficulty
		std.RunMin *= difficulty
		quantity := s.Quantity * together
		in.Steps = append(in.Steps, quote.Step{Operation: k.Name, Title: cmp.Or(k.Title, k.Name), Per: k.Per, Unit: k.Unit(), Quantity: quantity, Copies: copies, Difficulty: difficulty, Standard: std,
			Estimate: estimate.ForStep(std, quantity, samples, pace, in.Settings), Rework: k.ReworkChance, Scrap: k.ScrapChance, CureMin: k.CureMin, OneGo: k.OneGo, Noise: k.Noise, Hardware: k.Hardware, Decide: k.Decide})
		for _, line := range k.Recipe {
			u, err := tx.quoteSupply(line, k, quantity, copies, shop)
			if err != nil {
				return err
			}
			if u.Basis == "" {
				if !slices.Contains(unpriced, line.Supply) {
					unpriced = append(unpriced, line.Supply)
				}
				continue
			}
			in.Supplies = append(in.Supplies, u)
		}
	}
	if len(unpriced) > 0 {
		in.Notes = append(in.Notes, fmt.Sprintf("no price is known of %s: not in the quote (supply receive, or supply set %s --replacement PRICE)", strings.Join(unpriced, ", "), unpriced[0]))
	}
	return nil
}

// quoteSupply prices what a step takes of a supply at what it costs to buy
// again; the empty Basis says that no price is known.
func (tx *Tx) quoteSupply(line jobs.RecipeLine, k jobs.Operation, quantity float64, copies int, shop jobs.Shop) (quote.Supply, error) {
	u := quote.Supply{Supply: line.Supply, Operation: k.Name}
	supply, ok, err := Get(tx, Supplies, line.Supply)
	if err != nil || !ok {
		return u, err
	}
	ledger, err := tx.SupplyLedger(supply, shop)
	if err != nil {
		return u, err
	}
	u.Unit = string(supply.Unit)
	once := line.Quantity(money.QtyFromFloat(quantity))
	u.Quantity = money.Qty{Decimal: once.Mul(money.QtyOf(int64(copies)).Decimal)}
	u.Waste = money.Qty{Decimal: line.Waste.Mul(money.QtyOf(int64(copies)).Decimal)}
	switch {
	case supply.Replacement.Sign() > 0:
		u.UnitPrice, u.Basis = supply.Replacement, "replacement price set for it"
	case ledger.Known:
		u.UnitPrice, u.Basis = ledger.LastPrice, "price of the lot that came last"
	}
	if u.Basis != "" {
		u.Basis = "recipe of " + k.Name + ", " + u.Basis
	}
	return u, nil
}

// quoteWear gives the share of a bit's life that the drilling steps take.
func (tx *Tx) quoteWear(in *quote.Input, operations map[string]jobs.Operation, shop jobs.Shop) error {
	woods, err := All(tx, Woods)
	if err != nil {
		return err
	}
	table := jobs.NewWoodTable(woods)
	for _, s := range in.Steps {
		k := operations[s.Operation]
		if k.Drills == "" {
			continue
		}
		want := jobs.KeepShow
		if k.Drills != "posts" {
			want = jobs.KeepGeneral
		}
		w := quote.Wear{Operation: k.Name, Missing: fmt.Sprintf("no bit of the %s set with a price and a rated life: the wear of %s is not in the price", want, k.Name)}
		depth, size, said := shop.HoleDepthMM, jobs.UsualPilotMM+0.0, false
		if k.Drills == "posts" {
			depth, size, said = cmp.Or(in.Ask.HoleMM, depth), cmp.Or(in.Ask.HoleDiaMM, jobs.UsualPostMM), in.Ask.HoleDiaMM > 0
		}
		hole := jobs.BitUse{Layers: []jobs.Layer{{Wood: cmp.Or(in.Ask.Wood, "hard-maple"), DepthMM: depth}}}
		perHole, _ := hole.CutPerHole(table)
		bits, err := tx.BitsIn(want)
		if err != nil {
			return err
		}
		near := func(b jobs.Bit) bool { return jobs.DiameterClass(b.DiameterMM) == jobs.DiameterClass(size) }
		if !said { // the size is a guess: as at the bench, one near it goes first
			slices.SortStableFunc(bits, func(a, b jobs.Bit) int { return cmp.Compare(rank(near(b)), rank(near(a))) })
		}
		for _, bit := range bits {
			change := bit.NewEdgeCost
			if change.IsZero() {
				change = bit.Price
			}
			if bit.RatedM <= 0 || change.IsZero() || said && !near(bit) {
				continue
			}
			w = quote.Wear{What: "wear of bit " + bit.Code, Operation: k.Name, CutM: perHole * s.Quantity * float64(s.Copies), LifeM: bit.RatedM, Change: change,
				Basis: fmt.Sprintf("%g holes of %g mm, a fresh edge at %s over its rated life of %g m", s.Quantity*float64(s.Copies), depth, shop.Currency.Print(change), bit.RatedM)}
			break
		}
		in.Wear = append(in.Wear, w)
	}
	return nil
}

func rank(first bool) int {
	if first {
		return 1
	}
	return 0
}
