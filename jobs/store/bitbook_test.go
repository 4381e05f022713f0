package store

import (
	"encoding/json"
	"path/filepath"
	"testing"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// Reading only the bits alike gives the same closed edges to count as reading
// all of them.
func TestBitBookAlikeGivesTheSamePool(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 900, necks: 30, bits: 40, bitUses: 400, supplies: 4, lots: 10}, 2)
	view(t, path, func(tx *Tx) error {
		all, err := tx.BitBook()
		if err != nil {
			return err
		}
		lives := all.Lives()
		wide := 0
		for _, bit := range all.Bits {
			some, err := tx.BitBookAlike(bit.Code)
			if err != nil {
				return err
			}
			if set, err := tx.BitSet(bit); err != nil || set != all.Where(bit.Code) {
				t.Errorf("%s is in the set %q, all records say %q (%v)", bit.Code, set, all.Where(bit.Code), err)
			}
			if len(some.Uses) < len(all.Uses) {
				wide++
			}
			for _, no := range []int{0, 1} {
				want := bitlife.PoolFor(bit, no, all.EdgeAges(lives))
				got := bitlife.PoolFor(bit, no, some.EdgeAges(some.Lives()))
				if diff := cmp.Diff(want, got, sameAmount); diff != "" {
					t.Errorf("%s (-all +alike):\n%s", bit.Code, diff)
				}
			}
			for _, fit := range []bool{false, true} {
				judge := func(book jobs.BitBook) string {
					a := bitlife.NewAdvisor(book, 2.5, money.MustParse("1"))
					a.Fit = fit
					v, err := a.Verdict(bit.Code, bitlife.FaceJob{Holes: 6, CutM: 0.09, TornHoleCost: money.MustParse("120")})
					if err != nil {
						t.Fatal(err)
					}
					raw, err := json.Marshal(v)
					if err != nil {
						t.Fatal(err)
					}
					return string(raw)
				}
				if diff := cmp.Diff(judge(all), judge(some)); diff != "" {
					t.Errorf("%s judged (-all +alike):\n%s", bit.Code, diff)
				}
			}
		}
		if wide == 0 {
			t.Error("nothing was left out")
		}
		return nil
	})
}
