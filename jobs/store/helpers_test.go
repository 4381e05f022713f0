package store

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// start is the first evening of every made-up shop.
var start = time.Date(2026, 1, 6, 18, 30, 0, 0, time.UTC)

// sameAmount compares amounts by value.
var sameAmount = cmp.Comparer(func(a, b money.Amount) bool { return a.Cmp(b) == 0 })

func at(t time.Time) func() time.Time { return func() time.Time { return t } }

func newFile(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.db")
	update(t, path, start, "shop setup", func(tx *Tx) error {
		shop, err := seedShop(tx)
		if err != nil {
			return err
		}
		shop.Name, shop.Currency = "Lime Tree Lane", "EUR"
		return Put(tx, Shops, shop)
	})
	return path
}

func update(t testing.TB, path string, now time.Time, command string, fn func(*Tx) error) {
	t.Helper()
	if err := tryUpdate(path, now, command, fn); err != nil {
		t.Fatal(err)
	}
}

func tryUpdate(path string, now time.Time, command string, fn func(*Tx) error) error {
	s, err := Open(path, Options{Now: at(now), Create: true, Command: command})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.Update(fn)
}

func view(t testing.TB, path string, fn func(*Tx) error) {
	t.Helper()
	s, err := Open(path, Options{Now: at(start.AddDate(30, 0, 0)), ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.View(fn); err != nil {
		t.Fatal(err)
	}
}

func mustBeSound(t testing.TB, path string) Health {
	t.Helper()
	h, err := Check(path)
	if err != nil {
		t.Fatal(err)
	}
	if !h.Sound() {
		t.Fatalf("%s is not sound: %d troubles, first %v", path, len(h.Troubles), h.Troubles[0])
	}
	return h
}

// size says how much a made-up file holds. The last spare bits are for post holes
// and fresh, so that whoever drills has some to choose from.
type size struct{ entries, necks, bits, bitUses, supplies, lots, spare int }

var (
	oneMonth    = size{entries: 480, necks: 6, bits: 12, bitUses: 25, supplies: 20, lots: 25, spare: 2}
	twentyYears = size{entries: 100_000, necks: 2_000, bits: 500, bitUses: 20_000, supplies: 100, lots: 5_000, spare: 2}
	small       = size{entries: 40, necks: 3, bits: 3, bitUses: 8, supplies: 4, lots: 5}
)

// perEvening is how many entries a made-up evening has: twenty years of 16
// make 117 000 or so.
const perEvening = 16

// grow fills a file with a made-up shop's records from a seed, in steps that
// are journalled like commands. The newest evening is the same at every size,
// so that readers of one evening see the same work.
func grow(t testing.TB, path string, sz size, seed uint64) (last time.Time) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 7))
	s, err := Open(path, Options{Now: at(start), Create: true, Command: "made up"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	s.db.NoSync = true
	last = start.AddDate(20, 0, 0)
	var batch *bolt.Tx // several commands a commit, each with its own change
	defer func() {
		if batch != nil { // a failed test must not leave Close waiting for it
			batch.Rollback()
		}
	}()
	commands := 0
	flush := func() {
		t.Helper()
		if err := batch.Commit(); err != nil {
			t.Fatal(err)
		}
		batch = nil
	}
	do := func(now time.Time, command string, fn func(*Tx) error) {
		t.Helper()
		if batch == nil {
			if batch, err = s.db.Begin(true); err != nil {
				t.Fatal(err)
			}
		}
		s.opts.Now, s.opts.Command = at(now), command
		tx := s.tx(batch)
		err := fn(tx)
		if err == nil {
			_, err = tx.settle()
		}
		if err != nil {
			t.Fatal(err)
		}
		if commands++; commands%400 == 0 {
			flush()
		}
	}
	do(start, "shop setup", func(tx *Tx) error {
		shop, err := seedShop(tx)
		if err != nil {
			return err
		}
		shop.Name, shop.Currency, shop.Zone = "Lime Tree Lane", "EUR", "Europe/Berlin"
		shop.Labour, shop.Overhead = money.New(45, 0), money.New(12, 0)
		if err := shop.SetEvenings([]string{"tue 19:30-22:00", "thu 19:30-22:00"}); err != nil {
			return err
		}
		return Put(tx, Shops, shop)
	})
	var operations []string
	do(start, "made up supplies", func(tx *Tx) error {
		for k, err := range Each(tx, Operations) {
			if err != nil {
				return err
			}
			operations = append(operations, k.Name)
		}
		for i := range sz.supplies {
			if err := Put(tx, Supplies, jobs.Supply{Name: supplyName(i), Unit: jobs.UnitGram, DeliveryDays: 7}); err != nil {
				return err
			}
		}
		for i := range sz.bits {
			mm := bitSizes[i%len(bitSizes)]
			if i >= sz.bits-sz.spare {
				mm = 10
			}
			b := jobs.Bit{Code: bitCode(i), DiameterMM: mm, DiameterText: fmt.Sprintf("%gmm", mm), Point: "brad", Material: "hss", Keep: jobs.KeepShow, Price: money.New(12, 0), NewEdgeCost: money.New(6, 0), ExpectedM: 2.25, Added: start}
			if err := Put(tx, Bits, b); err != nil {
				return err
			}
			if err := Put(tx, Edges, jobs.Edge{Bit: b.Code, No: 1, Origin: jobs.OriginNew, Started: start, DiameterMM: mm}); err != nil {
				return err
			}
		}
		return nil
	})
	var route jobs.Route
	bitUses := 0
	perNeck := max(sz.entries/sz.necks, 1)
	n := 0
	for i := range sz.necks {
		code := fmt.Sprintf("N%d", i+1)
		// Evenings run backwards from the last, so that the newest are alike.
		day := func(k int) time.Time {
			return last.AddDate(0, 0, -(sz.entries-1-k)/perEvening).Add(time.Duration(k%perEvening) * 14 * time.Minute)
		}
		do(day(n), "neck add "+code, func(tx *Tx) error {
			if route.Name == "" {
				routes, err := All(tx, Routes)
				if err != nil || len(routes) == 0 {
					return fmt.Errorf("routes: %v", err)
				}
				route = routes[0]
			}
			km, err := tx.OperationMap()
			if err != nil {
				return err
			}
			steps, quantities, err := jobs.PlanSteps(route, km, nil)
			if err != nil {
				return err
			}
			status := jobs.Finished
			if i >= sz.necks-6 {
				status = jobs.Open
			}
			return Put(tx, Necks, jobs.Neck{Code: code, Title: "made up", Wood: "hard-maple", Route: route.Name, Status: status, Added: day(n), Steps: steps, Quantities: quantities})
		})
		for range perNeck {
			if n >= sz.entries {
				break
			}
			operation, from := operations[rng.IntN(len(operations))], day(n)
			n++
			var id uint64
			e := jobs.Entry{Operation: operation, Class: jobs.First, Shares: []jobs.Share{{Neck: code, Count: float64(1 + rng.IntN(6)), Done: true}}, From: from, Written: from}
			do(from, "on "+operation+" "+code, func(tx *Tx) (err error) {
				if e.ID, err = NextID(tx, Entries); err != nil {
					return err
				}
				id = e.ID
				return Put(tx, Entries, e)
			})
			to := from.Add(time.Duration(3+rng.IntN(11)) * time.Minute)
			do(to, "done", func(tx *Tx) error {
				e.To, e.SetupPart = &to, 0.4
				if err := Put(tx, Entries, e); err != nil {
					return err
				}
				if sz.bitUses*(n)/sz.entries > sz.bitUses*(n-1)/sz.entries {
					bit, worn := nextBit(bitUses, sz)
					bitUses++
					if worn != "" {
						move := jobs.BitMove{Bit: worn, Edge: 1, On: to, To: jobs.KeepGeneral, Cause: jobs.CauseDull}
						if move.ID, err = tx.NextBitID(); err != nil {
							return err
						}
						if err := Put(tx, BitMoves, move); err != nil {
							return err
						}
					}
					use := jobs.BitUse{Bit: bit, Edge: 1, Neck: code, Entry: id, On: to, Holes: 6, DepthMM: 15, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 15}}}
					if use.ID, err = tx.NextBitID(); err != nil {
						return err
					}
					if err := Put(tx, BitUses, use); err != nil {
						return err
					}
				}
				if sz.lots*(n)/sz.entries == sz.lots*(n-1)/sz.entries {
					return nil
				}
				lot := jobs.Lot{Supply: supplyName(n * sz.lots / sz.entries % sz.supplies), Source: jobs.SourceBought, Received: from, Quantity: money.QtyOf(500), Price: money.New(int64(10+rng.IntN(30)), 0)}
				if lot.ID, err = NextID(tx, Lots); err != nil {
					return err
				}
				if err := Put(tx, Lots, lot); err != nil {
					return err
				}
				use := jobs.SupplyUse{Supply: lot.Supply, Kind: jobs.UseIssue, Quantity: money.QtyOf(int64(10 + rng.IntN(300))), On: to, Written: to, Neck: code, Entry: id}
				if use.ID, err = NextID(tx, Uses); err != nil {
					return err
				}
				return Put(tx, Uses, use)
			})
		}
	}
	if batch != nil {
		flush()
	}
	if err := s.db.Sync(); err != nil {
		t.Fatal(err)
	}
	return last
}

// bitSizes are the diameters of made-up bits in mm, a class each.
var bitSizes = []float64{3.2, 5, 8, 10, 12, 16, 25}

// nextBit gives the bit of the n-th use. The sizes take turns; of a size one
// bit is used until it is dull, and another takes its place.
func nextBit(n int, sz size) (bit, worn string) {
	used := sz.bits - sz.spare
	ofSize := (used + len(bitSizes) - 1) / len(bitSizes)
	life := max(sz.bitUses/max(used, 1), 1)
	operation, turn := n%len(bitSizes), n/len(bitSizes)
	code := func(turn int) string {
		i := min(turn/life, ofSize-1)*len(bitSizes) + operation
		return bitCode(i % used)
	}
	if turn > 0 && code(turn) != code(turn-1) {
		worn = code(turn - 1)
	}
	return code(turn), worn
}

func supplyName(i int) string { return fmt.Sprintf("supply-%03d", i) }
func bitCode(i int) string    { return fmt.Sprintf("S10-%d", i+1) }

// seedShop writes what a shop begins with and gives the default shop.
func seedShop(tx *Tx) (jobs.Shop, error) {
	if s, ok, err := Get(tx, Shops, "shop"); ok || err != nil {
		return s, err
	}
	for _, o := range jobs.SeedOperations() {
		if err := Put(tx, Operations, o); err != nil {
			return jobs.Shop{}, err
		}
	}
	for _, w := range jobs.SeedWoods() {
		if err := Put(tx, Woods, w); err != nil {
			return jobs.Shop{}, err
		}
	}
	for _, r := range jobs.SeedRoutes() {
		if err := Put(tx, Routes, r); err != nil {
			return jobs.Shop{}, err
		}
	}
	return jobs.DefaultShop(), nil
}
