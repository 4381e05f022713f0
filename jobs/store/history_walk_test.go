package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// What the walks through the journal leave undecoded is nothing that was asked
// for: after random drops and undos they give what decoding everything gives.
func TestWalksOfTheJournalMissNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 150, necks: 5, bits: 4, bitUses: 30, supplies: 3, lots: 10}, 8)
	rng := rand.New(rand.NewPCG(8, 8))
	now := start.AddDate(20, 0, 1)
	for i := range 120 {
		now = now.Add(time.Minute)
		command := fmt.Sprintf(`entry drop {"bucket":"entries","key":"AAAAAAAAAAE="} %d`, i) // what is typed is no record
		err := tryUpdate(path, now, command, func(tx *Tx) error {
			var err error
			switch rng.IntN(4) {
			case 0:
				_, err = tx.Undo()
			case 1:
				_, err = tx.Redo()
			default:
				var e jobs.Entry
				if e, err = tx.Entry(1 + rng.Uint64N(150)); err == nil {
					_, _, err = tx.DropEntry(e)
				}
			}
			return err
		})
		if err != nil && !errors.Is(err, jobs.ErrConflict) && !errors.Is(err, jobs.ErrNotFound) {
			t.Fatal(err)
		}
	}
	view(t, path, func(tx *Tx) error {
		shown := map[uint64]bool{3: true, 77: true, 9999: true}
		keep := func(e jobs.Entry) bool { return e.ShareOf("N2") >= 0 }
		want, wanted, there := map[uint64]int{}, map[uint64]bool{}, map[uint64]bool{}
		for c, err := range Changes(tx, false) {
			if err != nil {
				return err
			}
			for _, r := range c.Records {
				if r.Bucket != Entries.bucket {
					continue
				}
				id := keyNumber(r.Key)
				want[id]++
				there[id] = noNull(r.After) != nil
				for _, raw := range [][]byte{r.Before, r.After} {
					if e, err := entryIn(raw); err != nil {
						return err
					} else if e != nil && keep(*e) {
						wanted[id] = true
					}
				}
			}
		}
		dropped := 0
		for id := range want {
			if gone := wanted[id] && !there[id]; gone {
				dropped++
			} else if !shown[id] {
				delete(want, id)
			}
		}
		past, err := tx.EntryHistory(shown, keep)
		if err != nil {
			return err
		}
		got := map[uint64]int{}
		for id, list := range past {
			got[id] = len(list)
		}
		if diff := cmp.Diff(want, got); diff != "" || dropped == 0 {
			t.Errorf("%d dropped; changes of entries (-want +got):\n%s", dropped, diff)
		}
		all, err := tx.History(RecordName{}, 0)
		if err != nil {
			return err
		}
		for _, id := range []uint64{1, 3, 77, 140} {
			of := RecordName{Entries.bucket, string(idKey(id))}
			var want []string
			for _, p := range all {
				for _, r := range p.Records {
					if r.Bucket == of.bucket && bytes.Equal(r.Key, []byte(of.key)) {
						want = append(want, fmt.Sprint(p.Seq, p.Undone))
					}
				}
			}
			some, err := tx.History(of, 0)
			if err != nil {
				return err
			}
			var got []string
			for _, p := range some {
				got = append(got, fmt.Sprint(p.Seq, p.Undone))
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("entry %d has these changes (-want +got):\n%s", id, diff)
			}
		}
		return nil
	})
}
