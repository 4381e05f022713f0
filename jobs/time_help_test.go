package jobs

import (
	"testing"
	"time"
)

// A shop, operations and necks that the tests of the log share. All invented.

func testShop() Shop {
	s := DefaultShop()
	s.Zone = "Europe/Berlin"
	s.Evenings = []Slot{{time.Tuesday, 19*60 + 30, 22 * 60}, {time.Thursday, 19 * 60, 21*60 + 30}}
	return s
}

func testOperations() map[string]Operation {
	out := map[string]Operation{}
	for _, k := range SeedOperations() {
		out[k.Name] = k
	}
	return out
}

func testNeck(t testing.TB, code, nick string, quantities map[string]float64) Neck {
	t.Helper()
	steps, all, err := PlanSteps(SeedRoutes()[0], testOperations(), quantities)
	if err != nil {
		t.Fatal(err)
	}
	return Neck{Code: code, Nickname: nick, Wood: "hard-maple", Route: "headstock", Status: Open, Steps: steps, Quantities: all}
}

func stepNo(t testing.TB, n Neck, operation string) int {
	t.Helper()
	for _, s := range n.Steps {
		if s.Operation == operation {
			return s.No
		}
	}
	t.Fatalf("no step %s on %s", operation, n.Code)
	return 0
}

// work is an entry on the shop's clock of 12 March 2026 (UTC+1).
func work(id uint64, operation, from, to string, shares ...Share) Entry {
	day := time.Date(2026, 3, 12, 0, 0, 0, 0, time.UTC)
	at := func(s string) time.Time {
		c, err := ParseClock("time", s)
		if err != nil {
			panic(err)
		}
		d := day.Add(time.Duration(c)*time.Minute - time.Hour)
		if c < 300 {
			d = d.Add(24 * time.Hour)
		}
		return d
	}
	e := Entry{ID: id, Operation: operation, Class: First, Shares: shares, From: at(from)}
	if to != "" {
		end := at(to)
		e.To = &end
	}
	return e
}
