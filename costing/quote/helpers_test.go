package quote

import (
	"math/rand/v2"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/schedule"
	"bookmatch/costing/stock"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// randomStock makes lots (odd quantities and prices that do not divide),
// uses, counts, write-offs, gifts and offcuts in any order of time.
func randomStock(r *rand.Rand) ([]jobs.Lot, []jobs.SupplyUse) {
	var lots []jobs.Lot
	var uses []jobs.SupplyUse
	for id := uint64(1); id <= uint64(3+r.IntN(25)); id++ {
		at := on("2026-01-01").Add(time.Duration(r.IntN(200*24)) * time.Hour)
		q := money.Qty{Decimal: decimal.New(1+r.Int64N(3000), -1)}
		if r.IntN(3) == 0 {
			l := jobs.Lot{ID: id, Supply: "glue", Source: jobs.SourceBought, Received: at, Quantity: q, Price: money.New(r.Int64N(9999), -2)}
			switch r.IntN(6) {
			case 0:
				l.Source, l.Price = jobs.SourceGift, money.Zero
			case 1:
				l.Source, l.Neck = jobs.SourceOffcut, "N1"
			case 2:
				l.LabelExpires = jobs.DayOf(at).Add(r.IntN(200))
			}
			lots = append(lots, l)
			continue
		}
		u := jobs.SupplyUse{ID: id, Supply: "glue", Kind: jobs.UseIssue, Quantity: q, On: at, Neck: []string{"N1", "N2", ""}[r.IntN(3)]}
		switch r.IntN(8) {
		case 0:
			u.Kind, u.Neck = jobs.UseCount, ""
		case 1:
			u.Kind, u.Neck = jobs.UseWriteOff, ""
		case 2:
			if len(lots) > 0 {
				u.Lot = lots[r.IntN(len(lots))].ID
			}
		}
		uses = append(uses, u)
	}
	return lots, uses
}

func qty(s string) money.Qty {
	q, err := money.ParseQty(s)
	if err != nil {
		panic(err)
	}
	return q
}

func on(day string) time.Time {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err)
	}
	return t
}

func lot(id uint64, day, q, price string) jobs.Lot {
	return jobs.Lot{ID: id, Supply: "glue", Source: jobs.SourceBought, Received: on(day), Quantity: qty(q), Price: money.MustParse(price)}
}

func use(id uint64, day, q, neck string) jobs.SupplyUse {
	return jobs.SupplyUse{ID: id, Supply: "glue", Kind: jobs.UseIssue, Quantity: qty(q), On: on(day), Neck: neck}
}

var glue = jobs.Supply{Name: "glue", Unit: jobs.UnitML}

func fifo(s jobs.Supply, lots []jobs.Lot, uses ...jobs.SupplyUse) stock.SupplyLedger {
	return stock.Fifo(s, lots, uses, on("2026-06-01"), time.UTC)
}

func eq(t *testing.T, what string, got money.Amount, want string) {
	t.Helper()
	if got.Cmp(money.MustParse(want)) != 0 {
		t.Errorf("%s: got %s, want %s", what, got, want)
	}
}

var monday = time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)

func slots(words ...string) []jobs.Slot {
	var out []jobs.Slot
	for _, w := range words {
		s, err := jobs.ParseSlot(w)
		if err != nil {
			panic(err)
		}
		out = append(out, s)
	}
	return out
}

// seeded gives the route of a headstock and its operations.
func seeded() (jobs.Route, map[string]jobs.Operation, map[string]jobs.GraphOperation) {
	operations, graph := map[string]jobs.Operation{}, map[string]jobs.GraphOperation{}
	for _, k := range jobs.SeedOperations() {
		operations[k.Name], graph[k.Name] = k, k.Graph()
	}
	return jobs.SeedRoutes()[0], operations, graph
}

// queuedNeck is a headstock that comes first.
func queuedNeck(name string) schedule.QueueNeck {
	n := schedule.QueueNeck{Name: name}
	route, operations, graph := seeded()
	n.Steps = schedule.FromGraph(route.Steps, graph, route.Quantities, func(o jobs.GraphOperation, quantity float64) schedule.Minutes {
		k := operations[o.Name]
		e := estimate.ForStep(estimate.StandardOf(k), quantity, nil, estimate.Pace{}, estimate.Settings{})
		n.Works = append(n.Works, estimate.Work{Name: k.Name, Estimate: e, Rework: k.ReworkChance})
		return schedule.Minutes{SafeRun: e.SafeMin, MeanRun: e.MeanMin}
	})
	return n
}
