package workshop

import (
	"path/filepath"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// A bit without a record of its first life (brought in from a list) keeps that
// life when it is sharpened.
func TestSharpenBitWithoutEdgeRecord(t *testing.T) {
	path := newFile(t)
	bit := jobs.Bit{Code: "S10-1", DiameterMM: 10, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: jobs.KeepShow, Added: time.Date(2026, 1, 5, 18, 0, 0, 0, time.UTC)}
	update(t, path, start, "bit sharpen", func(b *Book) error {
		if err := store.Put(b.Tx, store.Bits, bit); err != nil {
			return err
		}
		_, err := b.SharpenBit(bit, jobs.Edge{Started: bit.Added.AddDate(0, 2, 0), DiameterMM: 10}, "")
		return err
	})
	view(t, filepath.Clean(path), func(b *Book) error {
		book, err := b.BitBook(bit.Code)
		if lives := book.Lives(); len(lives) != 2 || lives[1].Edge != 2 {
			t.Errorf("lives %+v", lives)
		}
		return err
	})
}
