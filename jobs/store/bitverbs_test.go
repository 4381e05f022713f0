package store

import (
	"testing"
	"time"

	"bookmatch/jobs"
)

// A bit without an edge record (brought in from a list) keeps its first edge
// when it is sharpened.
func TestSharpenBitWithoutEdgeRecord(t *testing.T) {
	s, err := Open(t.TempDir()+"/shop.db", Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	bit := jobs.Bit{Code: "S10-1", DiameterMM: 10, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: jobs.KeepShow, Added: time.Date(2026, 1, 5, 18, 0, 0, 0, time.UTC)}
	err = s.Update(func(tx *Tx) error {
		if err := Put(tx, Bits, bit); err != nil {
			return err
		}
		_, err := tx.SharpenBit(bit, jobs.Edge{Started: bit.Added.AddDate(0, 2, 0), DiameterMM: 10}, "")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	err = s.View(func(tx *Tx) error {
		book, err := tx.BitBook(bit.Code)
		if lives := book.Lives(); len(lives) != 2 || lives[1].Edge != 2 {
			t.Errorf("lives %+v", lives)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
