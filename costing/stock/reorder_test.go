package stock

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

const today = jobs.Day("2026-06-01")

// steady uses 40 a week for 52 weeks, out of one lot.
func steady(s jobs.Supply, bought string) SupplyLedger {
	lots := []jobs.Lot{lot(1, "2025-06-01", bought, "100.00")}
	var uses []jobs.SupplyUse
	for w := range 52 {
		uses = append(uses, use(uint64(w+10), string(today.Add(-7*w-1)), "40", "N1"))
	}
	return Fifo(s, lots, uses, on(string(today)), time.UTC)
}

// Reorder point = usage x lead time + safety: 40 a week x 2 weeks + 20 = 100
// (the formula of every operations text; own figures). On hand above it, the
// day to order is (on hand - 100)/40 weeks away.
func TestReorderPoint(t *testing.T) {
	s := jobs.Supply{Name: "glue", Unit: jobs.UnitML, DeliveryDays: 14, Safety: qty("20")}
	got := PlanReorder(steady(s, "2280"), nil, today) // 200 left
	if got.PerWeek.Round(0).String() != "40" || got.Point.Round(0).String() != "100" || got.OnHand.String() != "200" {
		t.Errorf("per week %s, point %s, on hand %s", got.PerWeek, got.Point, got.OnHand)
	}
	// 180 above the safety quantity last 4.5 weeks (32 days), less two to deliver.
	if got.RunsOut != today.Add(32) || got.OrderBy != today.Add(18) || got.Now {
		t.Errorf("runs out %s, order by %s", got.RunsOut, got.OrderBy)
	}
	if got = PlanReorder(steady(s, "2170"), nil, today); !got.Now || got.OrderBy != today { // 90 left, below the point
		t.Errorf("below the point: %+v", got)
	}
}

// A level of the shop's own is a day to order too: 200 left, 40 a week, 150 is met
// on the ninth day, before the eighteenth that the reorder point gives; 90 would be
// met later than that and moves nothing.
func TestReorderAtOnesOwnLevel(t *testing.T) {
	for level, want := range map[string]int{"150": 9, "90": 18} {
		s := jobs.Supply{Name: "glue", Unit: jobs.UnitML, DeliveryDays: 14, Safety: qty("20"), Reorder: qty(level)}
		if got := PlanReorder(steady(s, "2280"), nil, today); got.OrderBy != today.Add(want) || got.Now {
			t.Errorf("level %s: order by %s, want %s", level, got.OrderBy, today.Add(want))
		}
	}
}

// z at 95 % is 1.6448536 (normal table): 1.6448536 x 8 a week x sqrt(4 weeks).
func TestSafetyStock(t *testing.T) {
	if got := SafetyOf(8, 4, 0.95); math.Abs(got-26.317658) > 1e-6 {
		t.Errorf("got %.6f", got)
	}
	q, sd := SafetyStock([]float64{30, 50, 40, 40}, 14, 0.95)
	if math.Abs(sd-8.164966) > 1e-6 || math.Abs(q-SafetyOf(sd, 2, 0.95)) > 1e-12 {
		t.Errorf("sd %g, safety %g", sd, q)
	}
	if q, _ := SafetyStock([]float64{1}, 14, 0.95); q != 0 {
		t.Errorf("one week tells a spread of %g", q)
	}
	w := Weekly(steady(glue, "2280"), today, 4)
	for _, x := range w {
		if x != 40 {
			t.Errorf("weekly %v", w)
			break
		}
	}
}

func TestReorderReasons(t *testing.T) {
	level := jobs.Supply{Name: "glue", Unit: jobs.UnitML, Reorder: qty("100"), DeliveryDays: 7}
	ending := lot(1, "2026-05-01", "150", "15.00")
	ending.LabelExpires = "2026-06-20"
	for _, c := range []struct {
		name    string
		supply  jobs.Supply
		lots    []jobs.Lot
		uses    []jobs.SupplyUse
		planned []PlannedUse
		orderBy jobs.Day
		order   string
		reason  string
	}{
		{"nothing known", glue, nil, nil, nil, "", "0", "no rate"},
		{"enough, no plans", glue, []jobs.Lot{lot(1, "2026-05-01", "150", "15.00")}, nil, nil, "", "0", "no rate"},
		{"own level reached", level, []jobs.Lot{lot(1, "2026-05-01", "100", "10.00")}, nil, nil, today, "100", "at or below your level"},
		{"the plan needs more", jobs.Supply{Name: "glue", Unit: jobs.UnitML, DeliveryDays: 7}, []jobs.Lot{lot(1, "2026-05-01", "100", "10.00")}, nil,
			[]PlannedUse{{"N1", 3, "glue-face", qty("60"), "2026-06-10"}, {"N2", 3, "glue-face", qty("60"), "2026-06-30"}}, "2026-06-23", "100", "open necks will take 120 ml"},
		{"the plan needs it now", glue, nil, nil, []PlannedUse{{"N1", 3, "glue-face", qty("60"), ""}}, today, "60", "open necks will take 60 ml"},
		{"it expires before the step", jobs.Supply{Name: "glue", Unit: jobs.UnitML, DeliveryDays: 7}, []jobs.Lot{ending}, nil,
			[]PlannedUse{{"N1", 3, "glue-face", qty("60"), "2026-06-30"}}, "2026-06-23", "150", ""},
		{"used beyond stock", glue, []jobs.Lot{lot(1, "2026-05-01", "10", "1.00")}, []jobs.SupplyUse{use(2, "2026-05-30", "30", "N1")}, nil, today, "20", "30 ml used in 31 days"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := PlanReorder(Fifo(c.supply, c.lots, c.uses, on(string(today)), time.UTC), c.planned, today)
			if got.OrderBy != c.orderBy || got.Quantity.String() != c.order || got.Now != (c.orderBy == today) {
				t.Errorf("order by %q now %v quantity %s, want %q %s\n%s", got.OrderBy, got.Now, got.Quantity, c.orderBy, c.order, strings.Join(got.Reasons, "\n"))
			}
			if !strings.Contains(strings.Join(got.Reasons, "\n"), c.reason) {
				t.Errorf("reasons %q, want %q", got.Reasons, c.reason)
			}
		})
	}
}

func TestReorderExpiring(t *testing.T) {
	a, b, c := lot(1, "2026-01-05", "100", "10.00"), lot(2, "2026-01-06", "100", "20.00"), lot(3, "2026-01-07", "100", "30.00")
	a.LabelExpires, b.LabelExpires, c.LabelExpires = "2026-06-20", "2026-05-20", "2027-01-01"
	got := PlanReorder(fifo(glue, []jobs.Lot{a, b, c}), nil, today).Expiring
	if len(got) != 2 || got[0].Lot != 2 || !got[0].Past || got[1].Lot != 1 || got[1].Past {
		t.Fatalf("got %+v", got)
	}
	eq(t, "value about to go", got[1].Value, "10.00")
	eq(t, "value gone", got[0].Value, "20.00")
	if money.Sum(got[0].Value, got[1].Value).IsZero() {
		t.Error("no value")
	}
}

// TestShelfAgainstEveryLot holds the shelf, which asks only for what changes on a
// day, against looking at every lot on every day.
func TestShelfAgainstEveryLot(t *testing.T) {
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 3))
		today := jobs.Day("2026-02-20")
		var lots []LotState
		for range rng.IntN(7) {
			lot := LotState{Left: money.QtyOf(int64(rng.IntN(20)))}
			if rng.IntN(2) == 0 {
				lot.LastDay = today.Add(rng.IntN(40) - 5)
			}
			lot.Expired = lot.LastDay != "" && lot.LastDay < today
			lots = append(lots, lot)
		}
		s, left := shelfOf(lots), make([]money.Qty, len(lots))
		for i, l := range lots {
			if !l.Expired {
				left[i] = l.Left
			}
		}
		for n := range 45 {
			day, want := today.Add(n), money.QtyOf(int64(rng.IntN(4)))
			s.expire(day)
			short, all, rest := s.take(want), money.Qty{}, want
			for i, l := range lots {
				if l.LastDay != "" && l.LastDay < day {
					left[i] = money.Qty{}
				}
				q := money.Least(rest, left[i])
				left[i], rest = left[i].Minus(q), rest.Minus(q)
				all = all.Plus(left[i])
			}
			if short.Cmp(rest) != 0 || s.all.Cmp(all) != 0 {
				t.Fatalf("seed %d, day %d: %s left and %s short, every lot says %s and %s", seed, n, s.all, short, all, rest)
			}
		}
	}
}
