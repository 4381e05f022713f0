package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FindQuote resolves a typed code or unique prefix. It answers
// *jobs.NotFoundError with the nearest, or *jobs.ConflictError naming those it
// may mean.
func (b *Book) FindQuote(word string) (jobs.Quote, error) {
	if q, ok, err := store.Get(b.Tx, store.Quotes, word); ok || err != nil {
		return q, err
	}
	all, err := store.All(b.Tx, store.Quotes)
	if err != nil {
		return jobs.Quote{}, err
	}
	var codes []string
	for _, q := range all {
		codes = append(codes, q.Code)
	}
	hits := jobs.Candidates(word, codes)
	switch len(hits) {
	case 0:
		return jobs.Quote{}, &jobs.NotFoundError{Noun: "quote", Value: word, Near: jobs.Nearest(word, codes)}
	case 1:
		return all[slices.Index(codes, hits[0])], nil
	}
	return jobs.Quote{}, jobs.Ambiguous("quote", word, hits)
}

// Revision gives one revision of a quote; no 0 is the newest.
func (b *Book) Revision(q jobs.Quote, no int) (jobs.Revision, error) {
	if no == 0 {
		no = q.Revision
	}
	r, ok, err := store.GetPair[jobs.Revision](b.Tx, store.Revisions, q.Code, no)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "revision of quote " + q.Code, Value: fmt.Sprint(no)}
	}
	return r, err
}

// QuoteInput gathers everything a quote is computed from as it is in this
// transaction. *jobs.NotFoundError when route or wood are not there,
// *jobs.FieldError when nothing is left to do.
func (b *Book) QuoteInput(q jobs.Quote, ask jobs.QuoteAsk, set estimate.Settings) (quote.Input, error) {
	var err error
	var list []jobs.Operation
	for _, name := range jobs.SortedKeys(b.Operations) {
		list = append(list, b.Operations[name])
	}
	in := quote.Input{Ask: ask, At: b.Now.In(b.Shop.Location()), Shop: b.Shop.Name, Rates: quote.RatesOf(b.Shop, list), Tax: b.Shop.Tax, TaxRule: b.Shop.TaxRule, Settings: set.WithDefaults()}
	if err := b.quoteSteps(&in); err != nil {
		return in, err
	}
	if err := b.quoteWear(&in); err != nil {
		return in, err
	}
	if in.Calendar, in.Unlogged, err = b.Calendar(); err != nil {
		return in, err
	}
	in.Bench = b.bench()
	in.Before, err = b.Queue(q.Necks...)
	return in, err
}

// quoteSteps lays the route out and prices what it takes from the stock.
func (b *Book) quoteSteps(in *quote.Input) error {
	route, ok, err := store.Get(b.Tx, store.Routes, in.Ask.Route)
	if err != nil {
		return err
	}
	if !ok {
		return &jobs.NotFoundError{Noun: "route", Value: in.Ask.Route}
	}
	steps, quantities, err := jobs.PlanSteps(route, b.Operations, in.Ask.Quantities)
	if err != nil {
		return err
	}
	if len(steps) == 0 {
		return &jobs.FieldError{Field: "route", Value: in.Ask.Route, Want: "a route that leaves something to do with these quantities"}
	}
	in.Ask.Quantities = quantities
	in.Graph, in.Operations = route.Steps, map[string]jobs.GraphOperation{}
	for _, s := range route.Steps {
		o := b.Operations[s.Operation].Graph()
		o.Title, o.Uses, o.Cautions, o.Gates = "", nil, nil, nil
		in.Operations[s.Operation] = o
	}
	est := b.NewEstimator()
	necks := max(in.Ask.Necks, 1)
	copies, together := necks, 1.0
	if in.Ask.Batch {
		copies, together = 1, float64(necks)
	}
	var unpriced []string
	for _, s := range steps {
		needs := ""
		name, _, _ := strings.Cut(s.Name, "#")
		if i, err := route.Steps.Step(name); err == nil {
			needs = route.Steps[i].When
		}
		k := b.Operations[s.Operation]
		pastJobs, err := est.PastJobs(k.Name)
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
			Estimate: estimate.ForStep(std, quantity, pastJobs, pace, in.Settings), Rework: k.ReworkChance, Scrap: k.ScrapChance, CureMin: k.CureMin, Decide: k.Decide, Needs: needs})
		for _, line := range k.Recipe {
			u, err := b.quoteSupply(line, k, quantity, copies)
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
		in.Notes = append(in.Notes, fmt.Sprintf("No price of %s: left out.", strings.Join(unpriced, ", ")))
	}
	return nil
}

// quoteSupply prices what a step takes of a supply at what it costs to buy
// again; the empty Basis says that no price is known.
func (b *Book) quoteSupply(line jobs.RecipeLine, k jobs.Operation, quantity float64, copies int) (quote.Supply, error) {
	u := quote.Supply{Supply: line.Supply, Operation: k.Name}
	supply, ok, err := store.Get(b.Tx, store.Supplies, line.Supply)
	if err != nil || !ok {
		return u, err
	}
	ledger, err := b.SupplyLedger(supply)
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
func (b *Book) quoteWear(in *quote.Input) error {
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return err
	}
	table := jobs.NewWoodTable(woods)
	for _, s := range in.Steps {
		k := b.Operations[s.Operation]
		if k.Drills == "" {
			continue
		}
		want := jobs.KeepShow
		if k.Drills != jobs.DrillsPosts {
			want = jobs.KeepGeneral
		}
		w := quote.Wear{Operation: k.Name, Missing: fmt.Sprintf("No %s bit with a price and an expected life: the wear of %s is left out.", want, k.Name)}
		depth, size, said := b.Shop.HoleDepthMM, jobs.UsualPilotMM+0.0, false
		if k.Drills == jobs.DrillsPosts {
			depth, size, said = cmp.Or(in.Ask.HoleMM, depth), cmp.Or(in.Ask.HoleDiaMM, jobs.UsualPostMM), in.Ask.HoleDiaMM > 0
		}
		hole := jobs.BitUse{Layers: []jobs.Layer{{Wood: cmp.Or(in.Ask.Wood, "hard-maple"), DepthMM: depth}}}
		perHole, _ := hole.CutPerHole(table)
		bits, err := b.BitsIn(want)
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
			if bit.ExpectedM <= 0 || change.IsZero() || said && !near(bit) {
				continue
			}
			w = quote.Wear{What: "wear of bit " + bit.Code, Operation: k.Name, CutM: perHole * s.Quantity * float64(s.Copies), LifeM: bit.ExpectedM, Change: change,
				Basis: fmt.Sprintf("%g holes of %g mm, a fresh edge at %s over its expected life of %g m", s.Quantity*float64(s.Copies), depth, b.Shop.Currency.Print(change), bit.ExpectedM)}
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
