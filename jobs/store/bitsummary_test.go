package store

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

// TestSummariesFollowTheRecords writes random records of bits, amends and deletes
// them, changes woods and takes changes back; after each the lives read from the
// cards are those derived from all records, inside the transaction too.
func TestSummariesFollowTheRecords(t *testing.T) {
	for seed := range uint64(4 * scale()) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) { summariesFollow(t, rand.New(rand.NewPCG(seed, 9))) })
	}
}

func summariesFollow(t *testing.T, rng *rand.Rand) {
	path := newFile(t)
	s, err := Open(path, Options{Now: at(start), Command: "made up"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	s.db.NoSync = true
	codes := []string{"B1", "B2", "B3", "C9"}
	moment := func() time.Time { return start.Add(time.Duration(rng.IntN(5000)) * time.Hour) }
	grade := func() *int {
		if g := rng.IntN(6); g <= jobs.MaxGrade {
			return &g
		}
		return nil
	}
	one := func(tx *Tx) error {
		code := codes[rng.IntN(len(codes))]
		switch rng.IntN(8) {
		case 0:
			mm := []float64{9.5, 10, 6}[rng.IntN(3)]
			return Put(tx, Bits, jobs.Bit{Code: code, DiameterMM: mm, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: jobs.BitKeeps()[rng.IntN(2)], ExpectedM: float64(rng.IntN(3)), Added: start})
		case 1:
			return Put(tx, Edges, jobs.Edge{Bit: code, No: 1 + rng.IntN(3), Origin: jobs.OriginSharpened, Started: moment()})
		case 2:
			m := jobs.BitMove{Bit: code, Edge: 1 + rng.IntN(3), On: moment(), To: jobs.BitKeeps()[rng.IntN(3)], Cause: jobs.MoveCauses()[rng.IntN(6)]}
			if m.ID, err = tx.NextBitID(); err != nil {
				return err
			}
			return Put(tx, BitMoves, m)
		case 3:
			w := jobs.Wood{Name: "apple", Title: "Apple", Abrasion: 0.5 + rng.Float64(), TearOut: rng.IntN(3), Source: "made up"}
			return Put(tx, Woods, w)
		case 4: // a record goes, or becomes another bit's
			uses, err := All(tx, BitUses)
			if err != nil || len(uses) == 0 {
				return err
			}
			u := uses[rng.IntN(len(uses))]
			if rng.IntN(2) == 0 {
				return Delete(tx, BitUses, u)
			}
			u.Bit = code
			return Put(tx, BitUses, u)
		case 5:
			b, ok, err := Get(tx, Bits, code)
			if err != nil || !ok || rng.IntN(3) > 0 {
				return err
			}
			return Delete(tx, Bits, b)
		}
		u := jobs.BitUse{Bit: code, Edge: 1 + rng.IntN(3), On: moment(), Holes: 1 + rng.IntN(8), DepthMM: 15, Layers: []jobs.Layer{{Wood: []string{"apple", "hard-maple", "nobody-knows"}[rng.IntN(3)], DepthMM: 15}},
			Backing: jobs.Backing{State: jobs.BackingTight}, GradeIn: grade(), GradeOut: grade(), Test: rng.IntN(9) == 0, Estimated: rng.IntN(9) == 0}
		if rng.IntN(8) == 0 {
			u.Bit, u.UnknownMM, u.Edge = "", 10, 0
		}
		if u.ID, err = tx.NextBitID(); err != nil {
			return err
		}
		return Put(tx, BitUses, u)
	}
	same := func(tx *Tx) error {
		all, err := tx.BitBook()
		if err != nil {
			return err
		}
		kept, err := tx.BitBookLives()
		if err != nil {
			return err
		}
		if diff := cmp.Diff(all.Lives(), kept.Lives(), sameAmount); diff != "" {
			t.Errorf("lives (-derived +summaries):\n%s", diff)
		}
		in := map[string]string{}
		for _, set := range jobs.BitKeeps() {
			bits, err := tx.BitsIn(set)
			if err != nil {
				return err
			}
			for _, b := range bits {
				in[b.Code] = set
			}
		}
		want := map[string]string{}
		for _, b := range all.Bits {
			want[b.Code] = all.Where(b.Code)
		}
		if diff := cmp.Diff(want, in); diff != "" {
			t.Errorf("sets (-derived +summaries):\n%s", diff)
		}
		return nil
	}
	for range 40 {
		err := s.Update(func(tx *Tx) error {
			if rng.IntN(6) == 0 {
				_, err := tx.Undo()
				return err
			}
			for range 1 + rng.IntN(4) {
				if err := one(tx); err != nil {
					return err
				}
			}
			if rng.IntN(2) == 0 {
				return same(tx)
			}
			return nil
		})
		if err != nil && !strings.Contains(err.Error(), "nothing left to take back") {
			t.Fatal(err)
		}
		if err := s.View(same); err != nil {
			t.Fatal(err)
		}
		if t.Failed() {
			return
		}
	}
	if err := s.View(func(tx *Tx) error {
		h := Health{}
		return h.summariesOnly(t, tx)
	}); err != nil {
		t.Fatal(err)
	}
}

func (h *Health) summariesOnly(t *testing.T, tx *Tx) error {
	err := h.summaries(tx)
	for _, x := range h.Troubles {
		t.Error(x.Text)
	}
	return err
}

// A summary that is missing, altered or too many is found.
func TestCheckFindsWrongSummaries(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(tx *bolt.Tx) error
		want  string
	}{
		"gone": {func(tx *bolt.Tx) error { return tx.Bucket([]byte(BitSummaries)).Delete([]byte("S10-1")) }, "the summary of bit S10-1 is not what its records come to"},
		"altered": {func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte(BitSummaries))
			raw := b.Get([]byte("S10-2"))
			return b.Put([]byte("S10-2"), seal([]byte("S10-2"), bytes.Replace(raw[sealLen:], []byte(`"wear_m":`), []byte(`"wear_m":9`), 1)))
		}, "the summary of bit S10-2 is not"},
		"of no bit": {func(tx *bolt.Tx) error {
			return tx.Bucket([]byte(BitSummaries)).Put([]byte("X"), seal([]byte("X"), []byte("{}")))
		}, "entries where the records ask for 3"},
		"not readable": {func(tx *bolt.Tx) error {
			return tx.Bucket([]byte(BitSummaries)).Put([]byte("S10-1"), seal([]byte("S10-1"), []byte("{")))
		}, "the summary of bit S10-1 is not"},
	} {
		t.Run(name, func(t *testing.T) {
			path := newFile(t)
			grow(t, path, small, 1)
			mustBeSound(t, path)
			raw(t, path, c.spoil)
			h, err := Check(path)
			if err != nil {
				t.Fatal(err)
			}
			if h.Sound() || !strings.Contains(fmt.Sprint(h.Troubles), c.want) {
				t.Errorf("found %v", h.Troubles)
			}
		})
	}
}
